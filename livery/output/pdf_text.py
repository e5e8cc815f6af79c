"""Lines of text as PDF operators, and the fonts a document carries for them.

Characters are written by their number in Unicode, so that what a line is written as does not depend
on its document.

Source:
    text 9 and composite fonts 9.7 [source: iso-32000-1]
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from livery.artwork.embedding import (
    FontFacts,
    font_facts,
    glyph_number,
    glyph_width,
    subset_font,
)
from livery.artwork.fonts import outline_text, seen_order
from livery.output.lettering import Line
from livery.output.pdf_names import font_name

if TYPE_CHECKING:
    import pikepdf

_SYMBOLIC = 4  # descriptor flags, table 123
_STEM = (
    80  # of an upright text face: viewers use it only without the font [source: workshop-choice]
)
_INVISIBLE = 3  # text rendering mode, 9.3.6
_LAST_CODE = 0xFFFF  # two bytes a character; no packaged font draws any beyond
_MOST_MAPPED = 100  # characters in one block of a character map, 9.7.5.4


@lru_cache(maxsize=4096)
def text_operators(line: Line) -> str:
    """Show a line whose matrix is already set; each character stands where the line says."""
    places = line.places_mm or ()
    per_mm = 1000.0 / line.size_mm
    parts, run, at = [], "", places[0] if places else 0.0
    for character, x in zip(line.text, places, strict=True):
        back = round((at - x) * per_mm, 1)
        if back:
            parts.append(f"<{run}>{back:g}")
            run, at = "", at - back / per_mm
        run += _code(character)
        at += _width(character, line.font) / per_mm
    return f"{font_name(line.font)} {line.size_mm:.6g} Tf [{''.join(parts)}<{run}>] TJ"


def unseen_operators(line: Line) -> str:
    """The words of an outlined line, as wide as its outlines, in a text that draws nothing."""
    stretches, _ = seen_stretches(line)
    wide = sum(_width(c, font) for font, words in stretches for c in words) * line.size_mm / 1000.0
    advance = outline_text(line.text, line.font, line.size_mm)[1]
    scale = 100.0 * advance / wide if wide else 100.0
    shown = (
        f"{font_name(font)} {line.size_mm:.6g} Tf <{''.join(map(_code, words))}> Tj"
        for font, words in stretches
    )
    start = f"BT {_INVISIBLE} Tr {scale:.4g} Tz 1 0 0 1 {line.start_mm:.4f} 0 Tm"
    return " ".join((start, *shown, "ET"))


@lru_cache(maxsize=1024)
def seen_stretches(line: Line) -> tuple[tuple[tuple[str, str], ...], bool]:
    """An outlined line as seen, in fonts that can be embedded.

    Returns:
        Stretches of one font each, and whether some read from right to left.
    """
    plain = "text-bold" if line.font == "display" else line.font
    seen = seen_order(line.text, plain)
    parts = tuple((key, words[::-1] if level % 2 else words) for key, words, level in seen)
    return parts, any(level % 2 for *_, level in seen)


def _code(character: str) -> str:
    """A character's number in its font, as it is written: its place in Unicode's first plane."""
    return f"{min(ord(character), _LAST_CODE):04x}"


def _width(character: str, font: str) -> float:
    return glyph_width(glyph_number(character, font), font)


def embed_font(pdf: pikepdf.Pdf, font: str, characters: Collection[str]) -> Any:
    """A packaged font with what draws these characters.

    Args:
        pdf: the document it goes into.
        font: its key.
        characters: single characters.
    """
    from pikepdf import Array, Dictionary, Name, Stream, String

    used = sorted(c for c in characters if ord(c) <= _LAST_CODE)
    facts = font_facts(font)
    name = Name(f"/{_tag(font, used)}+{facts.name}")
    widths = [part for c in used for part in (ord(c), Array([_real(_width(c, font))]))]
    inner = Dictionary(
        Type=Name.Font,
        Subtype=Name.CIDFontType2,
        BaseFont=name,
        CIDSystemInfo=Dictionary(
            Registry=String("Adobe"), Ordering=String("Identity"), Supplement=0
        ),
        FontDescriptor=pdf.make_indirect(_descriptor(pdf, facts, name, font, used)),
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


def _glyph_map(used: list[str], font: str) -> bytes:
    """By a character's number its glyph's, two bytes each, 9.7.4.3."""
    numbers = [0] * (ord(used[-1]) + 1 if used else 1)
    for character in used:
        numbers[ord(character)] = glyph_number(character, font)
    return b"".join(number.to_bytes(2) for number in numbers)


def _descriptor(pdf: pikepdf.Pdf, facts: FontFacts, name: Any, font: str, used: list[str]) -> Any:
    from pikepdf import Dictionary, Name, Stream

    data = subset_font(font, tuple(sorted({glyph_number(c, font) for c in used})))
    return Dictionary(
        Type=Name.FontDescriptor,
        FontName=name,
        Flags=_SYMBOLIC,
        FontBBox=[_real(side) for side in facts.box],
        ItalicAngle=0,
        Ascent=_real(facts.ascender),
        Descent=_real(facts.descender),
        CapHeight=_real(facts.cap_height),
        StemV=_STEM,
        FontFile2=Stream(pdf, data, Length1=len(data)),
    )


def _tag(font: str, used: list[str]) -> str:
    """Six letters that tell this subset from others, 9.6.4."""
    number = int.from_bytes(hashlib.sha256(f"{font} {used}".encode()).digest()[:8])
    return "".join(chr(ord("A") + number // 26**place % 26) for place in range(6))


def _character_map(used: list[str]) -> str:
    """What text each number stands for, so that words can be found and copied, 9.10.3."""
    pairs = [f"<{_code(c)}> <{_code(c)}>" for c in used]
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
