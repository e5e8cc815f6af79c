"""The matrix of verdicts fitted into one box, whatever the number of pairs and inks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from livery.drawing import Anchor, Element, Shape
from livery.geometry import Path
from livery.match.marks import (
    GROUND,
    LINE,
    WORDS,
    Box,
    draw_mark,
    draw_swatch,
    fit_text,
    write_text,
)
from livery.match.model import Comparison

# All mm, workshop choice: room for names, and for the count of what is left out; cells
_NAME, _HEAD, _FOOT = 24.0, 9.0, 4.0
_WIDE, _HIGH = 42.0, 22.0  # the largest
_NARROW, _LOW = 17.0, 10.5  # the smallest


def draw_matrix(
    comparisons: Sequence[Comparison], names: Mapping[str, str], box: Box
) -> list[Element]:
    """Draw inks by pairs; what finds no room in the smallest cells is counted below.

    Args:
        comparisons: as ``compare`` gives them.
        names: of inks by key.
        box: where, mm.

    Source:
        [source: workshop-choice]
    """
    if not comparisons:
        words = "Nothing to compare: no sample shows an ink on two items or with an aim."
        return [write_text(words, box.x, box.y + box.height / 2, 10)]
    cells = {(one.ink, (one.a, one.b)): one for one in comparisons}
    inks = list(dict.fromkeys(one.ink for one in comparisons))
    every = list(dict.fromkeys((one.a, one.b) for one in comparisons))
    pairs = _worst_pairs(comparisons, every, int((box.width - _NAME) // _NARROW))
    inks = inks[: int((box.height - _HEAD - _FOOT) // _LOW)]
    shown = [c for c in comparisons if (c.a, c.b) in pairs and c.ink in inks]
    width = min(_WIDE, (box.width - _NAME) / len(pairs))
    height = min(_HIGH, (box.height - _HEAD - _FOOT) / len(inks))
    top = box.y + box.height - _HEAD
    elements: list[Element] = []
    for column, (a, b) in enumerate(pairs):
        x = box.x + _NAME + column * width
        elements.append(write_text(fit_text(a, width, 7), x + 1, top + 5.0, 7, bold=True))
        elements.append(write_text(fit_text(b, width, 7), x + 1, top + 1.6, 7, bold=True))
    for row, ink in enumerate(inks):
        y = top - (row + 1) * height
        name = fit_text(names.get(ink, ink), _NAME - 1, 9)
        elements.append(write_text(name, box.x, y + height / 2 - 1, 9, bold=True))
        for column, pair in enumerate(pairs):
            x = box.x + _NAME + column * width
            elements += _cell(cells.get((ink, pair)), Box(x, y, width, height))
    left_out = len(comparisons) - len(shown)
    if left_out:
        words = f"{left_out} comparisons more, further inside: see match.html."
        elements.append(write_text(words, box.x, box.y, 7))
    return elements


def _worst_pairs(
    comparisons: Sequence[Comparison], pairs: Sequence[tuple[str, str]], most: int
) -> Sequence[tuple[str, str]]:
    """As many pairs as there is room for, in their order: those furthest outside tolerance."""
    if len(pairs) <= most:
        return pairs
    worst = {pair: min(c.margin for c in comparisons if (c.a, c.b) == pair) for pair in pairs}
    kept = sorted(pairs, key=lambda pair: worst[pair])[:most]
    return [pair for pair in pairs if pair in kept]


def _cell(one: Comparison | None, box: Box) -> list[Element]:
    """Swatch on the left; mark, number and tolerance on the right, the word if there is room."""
    edge = Path.rectangle(box.x, box.y, box.x + box.width, box.y + box.height)
    if one is None:
        middle = (box.x + box.width / 2, box.y + box.height / 2 - 0.8)
        return [
            Shape(edge, stroke=LINE),
            write_text("not seen", *middle, 6, anchor=Anchor.MIDDLE),
        ]
    side = min(box.height - 3.0, box.width * 0.32)
    left, low = box.x + 1.5, box.y + (box.height - side) / 2
    right = left + side + 1.5
    roomy = box.width >= 30.0 and box.height >= 15.0
    upper = box.y + box.height / 2 + (3.2 if roomy else 2.2)
    scale = 0.8 if roomy else 0.55
    elements: list[Element] = [Shape(edge, fill=GROUND, stroke=LINE)]
    elements += draw_swatch(one, left, low, side)
    elements += draw_mark(one.verdict, right + 2.0 * scale, upper + 0.9, scale)
    if roomy:
        elements += [
            write_text(WORDS[one.verdict], right + 5.0, upper, 8, bold=True),
            write_text(f"{one.de00:.2f} ± {one.u95:.2f}", right, upper - 4.6, 8),
            write_text(f"tolerance {one.tolerance:g}", right, upper - 8.4, 6.5),
        ]
    else:
        elements += [
            write_text(f"{one.de00:.1f}", right + 3.2, upper, 7, bold=True),
            write_text(f"± {one.u95:.1f}", right, upper - 3.1, 5.5),
            write_text(f"of {one.tolerance:g}", right, upper - 5.6, 5.5),
        ]
    return elements
