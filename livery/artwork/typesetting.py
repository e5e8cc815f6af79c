"""Type set on a page: lines that fit their width, paragraphs, notes that keep apart."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from livery.artwork.fonts import font_for, missing_characters
from livery.artwork.shaping import measure_text
from livery.drawing import Anchor, Label, LabPaint, Paint
from livery.units import pt_to_mm

INK = LabPaint((18.0, 0.0, -3.0))
"""Of running words (workshop choice)."""
LEADING = 1.36
"""Line to line over type size (workshop choice)."""
_JOINER, _VIRAMA = "\u200d", 9  # ZWJ; Unicode's combining class of viramas
SMALLEST_SHARE = 0.7
"""How far a line of type shrinks before it is cut short (workshop choice)."""


def leading_mm(size_pt: float) -> float:
    """Line to line, mm, at a type size."""
    return LEADING * pt_to_mm(size_pt)


def head_of(*parts: str) -> str:
    """A running head of those parts that say anything."""
    return "  ·  ".join(filter(None, parts))


def fit_line(
    text: str,
    x: float,
    y: float,
    size_pt: float,
    width_mm: float,
    font: str = "text",
    paint: Paint = INK,
    anchor: Anchor = Anchor.START,
) -> Label:
    """A line of type no wider than ``width_mm``: shrunk first, then cut short with dots.

    A font that does not hold the text gives way to one that does; a character that none holds
    is shown as a question mark.
    """
    text, size_pt, font = _fit(text, size_pt, width_mm, font)
    return Label(text, x, y, size_pt, paint, anchor, 0.0, font)


@lru_cache(maxsize=4096)
def _fit(text: str, size_pt: float, width_mm: float, font: str) -> tuple[str, float, str]:
    """Text, size and font of a line that fits."""
    font = font_for(text, font)
    text = _settable(text, font)
    wide = measure_text(text, font, pt_to_mm(size_pt))
    if wide > width_mm:
        size_pt *= max(SMALLEST_SHARE, width_mm / wide)
    return _cut(text, font, size_pt, width_mm), size_pt, font


def line_width_mm(text: str, font: str, size_pt: float) -> float:
    """Width of a line of type, in the font that holds it, a question mark for what none holds."""
    return measure_text(settable_line(text, font), font_for(text, font), pt_to_mm(size_pt))


def cut_line(text: str, font: str, size_pt: float, width_mm: float) -> str:
    """A line's words cut short with dots until they are no wider than ``width_mm``."""
    return _cut(settable_line(text, font), font_for(text, font), size_pt, width_mm)


def settable_line(text: str, font: str) -> str:
    """A line as it is shown: a question mark for each letter that no font holds."""
    return _settable(text, font_for(text, font))


def _settable(text: str, font: str) -> str:
    absent = missing_characters(text, font)
    return "".join("?" if character in absent else character for character in text)


def _cut(text: str, font: str, size_pt: float, width_mm: float) -> str:
    size_mm = pt_to_mm(size_pt)
    if measure_text(text, font, size_mm) <= width_mm + 1e-6:
        return text
    letters = clusters_of(text)
    low, high = 0, len(letters)
    while low < high:
        middle = (low + high + 1) // 2
        if measure_text("".join(letters[:middle]).rstrip() + "…", font, size_mm) <= width_mm:
            low = middle
        else:
            high = middle - 1
    return "".join(letters[:low]).rstrip() + "…"


def clusters_of(text: str) -> list[str]:
    """Letters with the marks and joiners that belong to them: where a text may be broken.

    Consonants that a virama binds stay together, as do those about a joiner.
    """
    clusters: list[str] = []
    for character in text:
        before = clusters[-1][-1] if clusters else ""
        bound = before == _JOINER or (before and unicodedata.combining(before) == _VIRAMA)
        if clusters and (bound or unicodedata.category(character) in ("Mn", "Mc", "Me", "Cf")):
            clusters[-1] += character
        else:
            clusters.append(character)
    return clusters


@lru_cache(maxsize=4096)
def wrap_text(text: str, size_pt: float, width_mm: float, font: str = "text") -> tuple[str, ...]:
    """Text broken into lines no wider than ``width_mm``; a word too long is broken too.

    A character that the font does not hold is shown as a question mark.
    """
    text = _settable(text, font)
    size_mm = pt_to_mm(size_pt)
    space = measure_text(" ", font, size_mm)
    lines: list[str] = []
    line, wide = "", 0.0
    for word in text.split():
        for piece in _pieces(word, font, size_mm, width_mm):
            own = measure_text(piece, font, size_mm)
            if line and wide + space + own > width_mm:
                lines.append(line)
                line, wide = piece, own
            else:
                line, wide = (f"{line} {piece}", wide + space + own) if line else (piece, own)
    return (*lines, line)


def _pieces(word: str, font: str, size_mm: float, width_mm: float) -> list[str]:
    if measure_text(word, font, size_mm) <= width_mm:
        return [word]
    pieces, piece = [], ""
    for letter in clusters_of(word):
        if piece and measure_text(piece + letter, font, size_mm) > width_mm:
            pieces.append(piece)
            piece = ""
        piece += letter
    return [*pieces, piece]


def spread(levels: Sequence[float], apart: float) -> list[float]:
    """Levels, falling down the page, moved as little as keeps them apart.

    Args:
        levels: from the top of the page down.
        apart: least distance of two neighbours.
    """
    groups: list[list[float]] = []  # (sum of wished tops, count) of runs that touch
    for level in levels:
        groups.append([level, 1.0])
        while len(groups) > 1 and _top(groups[-2]) - apart * groups[-2][1] < _top(groups[-1]):
            total, count = groups.pop()
            before = groups[-1]
            before[0] += total + count * before[1] * apart
            before[1] += count
    return [_top(g) - apart * index for g in groups for index in range(int(g[1]))]


def _top(group: list[float]) -> float:
    """Where the first of a run stands: the mean of what its members wish for it."""
    return group[0] / group[1]
