"""The matrix of verdicts fitted into one box, whatever the number of pairs and inks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from livery.drawing import Anchor, Element, LabPaint, Shape
from livery.geometry import Path
from livery.match.marks import GROUND, LINE, WORDS, draw_mark, fit_text, write_text
from livery.match.model import Comparison
from livery.match.plots import Box

_NAME, _HEAD = 24.0, 9.0  # workshop choice, mm
_WIDE, _HIGH = 42.0, 22.0  # largest cell
_NARROW, _LOW = 17.0, 10.5  # smallest


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
    pairs = list(dict.fromkeys((one.a, one.b) for one in comparisons))
    columns = min(len(pairs), int((box.width - _NAME) // _NARROW))
    rows = min(len(inks), int((box.height - _HEAD - 4.0) // _LOW))
    if columns < len(pairs):  # the pairs furthest outside their tolerance are kept
        worst = {pair: min(c.margin for c in comparisons if (c.a, c.b) == pair) for pair in pairs}
        kept = sorted(pairs, key=lambda pair: worst[pair])[:columns]
        pairs = [pair for pair in pairs if pair in kept]
    shown = [c for c in comparisons if (c.a, c.b) in pairs and c.ink in inks[:rows]]
    width = min(_WIDE, (box.width - _NAME) / columns)
    height = min(_HIGH, (box.height - _HEAD - 4.0) / rows)
    top = box.y + box.height - _HEAD
    elements: list[Element] = []
    for column, (a, b) in enumerate(pairs):
        x = box.x + _NAME + column * width
        elements.append(write_text(fit_text(a, width, 7), x + 1, top + 5.0, 7, bold=True))
        elements.append(write_text(fit_text(b, width, 7), x + 1, top + 1.6, 7, bold=True))
    for row, ink in enumerate(inks[:rows]):
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
    if one.lab_a is not None and one.lab_b is not None:
        half = left + side / 2
        elements += [
            Shape(Path.rectangle(left, low, half, low + side), fill=LabPaint(one.lab_a)),
            Shape(Path.rectangle(half, low, left + side, low + side), fill=LabPaint(one.lab_b)),
            Shape(Path.rectangle(left, low, left + side, low + side), stroke=LINE),
        ]
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
