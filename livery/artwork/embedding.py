"""What a document carries of a packaged font: glyph numbers, widths, and a subset of its file."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from livery.artwork.fonts import font_bytes

_PER_EM = 1000.0  # units of a font's size in PDF, 9.2.4 [source: iso-32000-1]
_HEAD_BOX = 36  # where the font's box stands in its head table [source: iso-14496-22]
_UNNEEDED = (b"GSUB", b"GPOS", b"GDEF", b"STAT", b"DSIG", b"gasp", b"meta")  # glyphs are chosen


@dataclass(frozen=True, slots=True)
class FontFacts:
    """What a document says of a font, in thousandths of its size.

    Attributes:
        name: the font's PostScript name.
        box: (x0, y0, x1, y1) round all its glyphs.
    """

    name: str
    box: tuple[float, float, float, float]
    ascender: float
    descender: float
    cap_height: float


@lru_cache(maxsize=8)
def font_facts(font: str) -> FontFacts:
    """Facts of a packaged font.

    Raises:
        ArtworkError: no packaged font has that key.
    """
    import uharfbuzz as hb  # type: ignore[import-untyped]

    face, tags = _face(font), hb.OTMetricsTag
    corners = struct.unpack_from(">4h", face.reference_table("head").data, _HEAD_BOX)
    wanted = (tags.HORIZONTAL_ASCENDER, tags.HORIZONTAL_DESCENDER, tags.CAP_HEIGHT)
    heights = [_measured(font).get_metric_position_with_fallback(tag) for tag in wanted]
    x0, y0, x1, y1, *ups = (round(_PER_EM * part / face.upem, 3) for part in (*corners, *heights))
    name = face.get_name(hb.OTNameIdPredefined.POSTSCRIPT_NAME)
    return FontFacts(name, (x0, y0, x1, y1), *ups)


@lru_cache(maxsize=4096)
def glyph_number(character: str, font: str) -> int:
    """The glyph that draws a character; 0 where the font has none."""
    return _measured(font).get_nominal_glyph(ord(character)) or 0


@lru_cache(maxsize=4096)
def glyph_width(glyph: int, font: str) -> float:
    """A glyph's advance in thousandths of the font's size."""
    face = _measured(font)
    return float(round(face.get_glyph_h_advance(glyph) * _PER_EM / face.face.upem, 3))


@lru_cache(maxsize=64)
def subset_font(font: str, glyphs: tuple[int, ...]) -> bytes:
    """A packaged font's file with only these glyphs, each under its own number.

    Args:
        font: its key.
        glyphs: their numbers.
    """
    import uharfbuzz as hb

    wanted = hb.SubsetInput()
    wanted.glyph_set.update(glyphs)
    wanted.flags = hb.SubsetFlags.RETAIN_GIDS | hb.SubsetFlags.NOTDEF_OUTLINE
    wanted.drop_table_tag_set.update(int.from_bytes(tag) for tag in _UNNEEDED)
    return bytes(hb.subset(_face(font), wanted).blob.data)


@lru_cache(maxsize=8)
def _face(font: str) -> Any:
    import uharfbuzz as hb

    return hb.Face(font_bytes(font))


@lru_cache(maxsize=8)
def _measured(font: str) -> Any:
    import uharfbuzz as hb

    return hb.Font(_face(font))
