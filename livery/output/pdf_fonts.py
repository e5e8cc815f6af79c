"""The packaged fonts as PDF carries them: reportlab reads, measures and cuts down their files.

Source:
    composite fonts, 9.7 [source: iso-32000-1]
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Collection
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from livery.artwork.fonts import font_bytes

if TYPE_CHECKING:
    import pikepdf

LAST_CODE = 0xFFFF  # two bytes a character; no packaged font draws any beyond
_SYMBOLIC = 4  # descriptor flags, table 123
_MOST_MAPPED = 100  # characters in one block of a character map, 9.7.5.4


def character_code(character: str) -> str:
    """A character's number as it is written: its place in Unicode's first plane, in hex."""
    return f"{min(ord(character), LAST_CODE):04x}"


def character_width(character: str, font: str) -> float:
    """A character's advance in thousandths of a packaged font's size."""
    return round(float(_face(font).getCharWidth(ord(character))), 3)


def embed_font(pdf: pikepdf.Pdf, font: str, characters: Collection[str]) -> Any:
    """A packaged font with what draws these characters.

    Args:
        pdf: the document it goes into.
        font: its key.
        characters: single characters.

    Raises:
        ArtworkError: no packaged font has that key.
    """
    from pikepdf import Array, Dictionary, Name, Stream, String

    used = tuple(sorted(c for c in characters if ord(c) <= LAST_CODE))
    name = Name(f"/{_tag(font, used)}+{_face(font).name.decode('ascii')}")
    widths = [part for c in used for part in (ord(c), Array([_real(character_width(c, font))]))]
    inner = Dictionary(
        Type=Name.Font,
        Subtype=Name.CIDFontType2,
        BaseFont=name,
        CIDSystemInfo=Dictionary(
            Registry=String("Adobe"), Ordering=String("Identity"), Supplement=0
        ),
        FontDescriptor=pdf.make_indirect(_descriptor(pdf, name, font, used)),
        W=Array(widths),
        CIDToGIDMap=Stream(pdf, _glyph_map(used, font)),
    )
    return pdf.make_indirect(
        Dictionary(
            Type=Name.Font,
            Subtype=Name.Type0,
            BaseFont=name,
            Encoding=Name("/Identity-H"),
            DescendantFonts=Array([pdf.make_indirect(inner)]),
            ToUnicode=Stream(pdf, _character_map(used).encode("ascii")),
        )
    )


@lru_cache(maxsize=8)
def _face(font: str) -> Any:
    from reportlab.pdfbase.ttfonts import TTFontFace  # type: ignore[import-untyped]

    return TTFontFace(io.BytesIO(font_bytes(font)))


@lru_cache(maxsize=64)
def _subset(font: str, used: tuple[str, ...]) -> bytes:
    return bytes(_face(font).makeSubset([ord(c) for c in used]))


def _glyph_map(used: tuple[str, ...], font: str) -> bytes:
    """By a character's number its glyph's in the subset, two bytes each, 9.7.4.3.

    A subset numbers glyphs in the order its characters first need them, after .notdef.
    """
    known, places = _face(font).charToGlyph, {0: 0}
    numbers = [0] * (ord(used[-1]) + 1 if used else 1)
    for character in used:
        glyph = known.get(ord(character), 0)
        numbers[ord(character)] = places.setdefault(glyph, len(places))
    return np.array(numbers, dtype=">u2").tobytes()


def _descriptor(pdf: pikepdf.Pdf, name: Any, font: str, used: tuple[str, ...]) -> Any:
    from pikepdf import Dictionary, Name, Stream

    face, data = _face(font), _subset(font, used)
    return Dictionary(
        Type=Name.FontDescriptor,
        FontName=name,
        Flags=_SYMBOLIC,
        FontBBox=[_real(side) for side in face.bbox],
        ItalicAngle=_real(face.italicAngle),
        Ascent=_real(face.ascent),
        Descent=_real(face.descent),
        CapHeight=_real(face.capHeight),
        StemV=face.stemV,
        FontFile2=Stream(pdf, data, Length1=len(data)),
    )


def _tag(font: str, used: tuple[str, ...]) -> str:
    """Six letters that tell this subset from others, 9.6.4."""
    number = int.from_bytes(hashlib.sha256(f"{font} {used}".encode()).digest()[:8])
    return "".join(chr(ord("A") + number // 26**place % 26) for place in range(6))


def _character_map(used: tuple[str, ...]) -> str:
    """What text each number stands for, so that words can be found and copied, 9.10.3."""
    pairs = [f"<{character_code(c)}> <{character_code(c)}>" for c in used]
    blocks = [pairs[at : at + _MOST_MAPPED] for at in range(0, len(pairs), _MOST_MAPPED)]
    return "\n".join(
        [
            "/CIDInit /ProcSet findresource begin 12 dict begin begincmap",
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def",
            "/CMapName /Adobe-Identity-UCS def /CMapType 2 def",
            "1 begincodespacerange <0000> <ffff> endcodespacerange",
            *(f"{len(b)} beginbfchar\n" + "\n".join(b) + "\nendbfchar" for b in blocks),
            "endcmap CMapName currentdict /CMap defineresource pop end end\n",
        ]
    )


def _real(value: float) -> Any:
    from decimal import Decimal

    return Decimal(f"{value:.3f}")
