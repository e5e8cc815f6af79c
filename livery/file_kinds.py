"""What a file really is, by its first bytes: for messages about a file of the wrong kind."""

from __future__ import annotations

_STARTS = (
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"\x89PNG\r\n\x1a\n", "a PNG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\0", "a TIFF picture"),
    (b"MM\0*", "a TIFF picture"),
    (b"%PDF-", "a PDF"),
    (b"%!PS", "a PostScript file"),
    (b"PK\x03\x04", "a zip archive or an office document"),
    (b"\x1f\x8b", "a compressed file"),
    (b"\xd0\xcf\x11\xe0", "an old office document"),
    (b"{\\rtf", "a text with formatting"),
    (b"SQLite format 3\0", "a database"),
)
_WORDS = ((b"<svg", "an SVG drawing"), (b"<html", "a web page"), (b"<?xml", "an XML file"))


def kind_of_file(data: bytes) -> str:
    """A file's kind in words, ``a PDF``; "" where its first bytes do not tell."""
    for start, kind in _STARTS:
        if data.startswith(start):
            return kind
    head = data[:2000].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    if not head.startswith(b"<"):
        return ""
    return next((kind for word, kind in _WORDS if word in head), "")
