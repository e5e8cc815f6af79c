"""Lines of text as PDF operators.

Characters are written by their number in Unicode, so that what a line is written as does not depend
on its document.

Source:
    text, 9 [source: iso-32000-1]
"""

from __future__ import annotations

from functools import lru_cache

from livery.artwork.shaping import outline_text, seen_order
from livery.output.lettering import Line
from livery.output.pdf_fonts import character_code, character_width
from livery.output.pdf_names import font_name

_INVISIBLE = 3  # text rendering mode, 9.3.6


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
        run += character_code(character)
        at += character_width(character, line.font) / per_mm
    return f"{font_name(line.font)} {line.size_mm:.6g} Tf [{''.join(parts)}<{run}>] TJ"


def unseen_operators(line: Line) -> str:
    """The words of an outlined line, as wide as its outlines, in a text that draws nothing."""
    stretches, _ = seen_stretches(line)
    wide = (
        sum(character_width(c, font) for font, words in stretches for c in words)
        * line.size_mm
        / 1000.0
    )
    advance = outline_text(line.text, line.font, line.size_mm)[1]
    scale = 100.0 * advance / wide if wide else 100.0
    shown = (
        f"{font_name(font)} {line.size_mm:.6g} Tf <{''.join(map(character_code, words))}> Tj"
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
