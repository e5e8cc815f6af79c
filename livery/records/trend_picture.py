"""Colours over time as plots: how far each ink was from its aim, capture after capture.

Benches are told by shape, batches by the words under the axis; no plot relies on colour.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from livery.artwork.typesetting import fit_line
from livery.colour import ciede2000
from livery.drawing import (
    A4_MM,
    Anchor,
    Drawing,
    Element,
    Label,
    LabPaint,
    Layer,
    LayerKind,
    Page,
    Shape,
    Stroke,
)
from livery.geometry import Path
from livery.records.history import TrendPoint
from livery.scheme.model import Ink, Palette

PAGE_MM = A4_MM[::-1]
_LEFT, _RIGHT, _TOP, _BOTTOM = 28.0, 285.0, 180.0, 22.0  # workshop choice
_PANELS = 4  # items on a page; workshop choice
MOST_POINTS = 400
"""Newest of an item and ink that are shown; more would touch (workshop choice)."""
_DARK, _SOFT, _LINE = LabPaint((15.0, 0.0, 0.0)), LabPaint((45.0, 0.0, 0.0)), LabPaint((80.0, 0, 0))
_LIMIT = LabPaint((45.0, 55.0, 40.0))
_LEGEND = 150.0  # where the benches' marks begin; workshop choice
_APART_MM = 3.0  # from the foot to the tolerance, for both to be numbered; workshop choice
_NAMED_MM = 7.0  # a batch narrower than this bears no name; workshop choice
_SIDES = (24, 4, 3, 5, 6)  # corners of a bench's mark: round, square, triangle and so on
_OTHERS = len(_SIDES) - 1  # the mark that all further benches share
_NO_NAMES: Mapping[str, str] = MappingProxyType({})


def trend_drawing(
    points: Sequence[TrendPoint], palette: Palette, names: Mapping[str, str] = _NO_NAMES
) -> Drawing:
    """Plot every ink, a panel for each item.

    Args:
        points: samples of good captures, oldest first.
        palette: the season's aims and tolerances; inks it does not know are left out.
        names: of items, by key; a key without a name is shown itself.

    Returns:
        A4 landscape pages; one page that says so when there is nothing to plot.
    """
    benches = _marks(points)
    pages: list[Page] = []
    for ink in palette.inks:
        own = [point for point in points if point.ink == ink.key]
        items = list(dict.fromkeys(point.item for point in own))
        for at in range(0, len(items), _PANELS):
            shown = items[at : at + _PANELS]
            panels = [[p for p in own if p.item == item][-MOST_POINTS:] for item in shown]
            titles = [names.get(item, item) for item in shown]
            pages.append(_page(ink, panels, titles, benches))
    if not pages:
        words = "No good capture shows an ink of this season yet."
        pages.append(_bind([Label(words, _LEFT, 100.0, 11.0, _DARK)], "Trends"))
    return Drawing("Colours over time", tuple(pages))


def _marks(points: Sequence[TrendPoint]) -> dict[str, int]:
    """Which mark each bench has: the busiest one of its own each, all others the last together."""
    counts = Counter(point.bench for point in points)
    ranked = sorted(counts, key=lambda bench: (-counts[bench], bench))
    shared = len(ranked) > len(_SIDES)
    own = ranked[:_OTHERS] if shared else ranked
    return {
        **{bench: number for number, bench in enumerate(sorted(own))},
        **dict.fromkeys(ranked[len(own) :], _OTHERS),
    }


def _page(
    ink: Ink,
    panels: Sequence[Sequence[TrendPoint]],
    titles: Sequence[str],
    benches: Mapping[str, int],
) -> Page:
    title = f"{ink.name}: how far from its aim"
    elements: list[Element] = [
        fit_line(title, _LEFT, PAGE_MM[1] - 16.0, 15.0, _LEGEND - _LEFT - 5.0, "text-bold", _DARK),
        fit_line(
            f"ΔE00 of each capture, oldest at the left. Dashed: tolerance {ink.tolerance_de00:g}. "
            "Thin: mean of a batch.",
            _LEFT,
            PAGE_MM[1] - 22.0,
            8.5,
            _LEGEND - _LEFT - 5.0,
            "text",
            _SOFT,
        ),
        *_legend(benches),
    ]
    height = (_TOP - _BOTTOM) / max(2, len(panels))
    for number, (points, name) in enumerate(zip(panels, titles, strict=True)):
        top = _TOP - number * height
        elements.append(fit_line(name, _LEFT, top - 4.4, 9.0, 240.0, "text-bold", _DARK))
        elements += _panel(ink, points, benches, top - height + 13.0, top - 6.0)
    return _bind(elements, title)


def _panel(
    ink: Ink, points: Sequence[TrendPoint], benches: Mapping[str, int], y0: float, y1: float
) -> list[Element]:
    labs = np.array([point.lab for point in points])
    distances = np.atleast_1d(ciede2000(labs, np.asarray(ink.lab)))
    most = max(float(distances.max()), ink.tolerance_de00) * 1.15
    rise = (y1 - y0) / most
    step = (_RIGHT - _LEFT) / len(points)
    limit = y0 + ink.tolerance_de00 * rise
    elements: list[Element] = [
        _line(_LEFT, y0, _RIGHT, y0, Stroke(_SOFT, 0.2)),
        _line(_LEFT, limit, _RIGHT, limit, Stroke(_LIMIT, 0.3, (2.0, 1.2))),
        Label("0", _LEFT - 2.0, y0 - 1.0, 7.5, _SOFT, Anchor.END),
    ]
    if limit - y0 >= _APART_MM:
        words = f"{ink.tolerance_de00:g}"
        elements.append(Label(words, _LEFT - 2.0, limit - 1.0, 7.5, _LIMIT, Anchor.END))
    size = min(1.9, step * 0.45)
    for number, (point, distance) in enumerate(zip(points, distances, strict=True)):
        x = _LEFT + (number + 0.5) * step
        outside = distance > ink.tolerance_de00
        mark = _mark(benches[point.bench], x, y0 + float(distance) * rise, size)
        edge = Stroke(_LIMIT if outside else _DARK, 0.35 if outside else 0.15)
        elements.append(Shape(mark, LabPaint(point.lab), edge))
    return [*elements, *_batches(points, distances, step, y0, rise)]


def _batches(
    points: Sequence[TrendPoint], distances: np.ndarray, step: float, y0: float, rise: float
) -> list[Element]:
    """Under the axis, each run of one batch with its mean, or of one day where none is given."""
    elements: list[Element] = []
    start = 0
    names = [f"batch {p.batch}" if p.batch else p.date[:10] for p in points]
    for end in range(1, len(points) + 1):
        if end < len(points) and names[end] == names[start]:
            continue
        x0, x1 = _LEFT + start * step, _LEFT + end * step
        mean = y0 + float(distances[start:end].mean()) * rise
        elements.append(_line(x0 + 0.2, mean, x1 - 0.2, mean, Stroke(_SOFT, 0.15)))
        elements.append(_line(x0, y0, x0, y0 - 1.6, Stroke(_LINE, 0.2)))
        if x1 - x0 >= _NAMED_MM:
            room = x1 - x0 - 1.2
            elements.append(fit_line(names[start], x0 + 0.6, y0 - 3.4, 6.5, room, "text", _SOFT))
        start = end
    return elements


def _legend(benches: Mapping[str, int]) -> list[Element]:
    elements: list[Element] = []
    for number in range(len(_SIDES)):
        own = [bench for bench, mark in benches.items() if mark == number]
        if not own:
            continue
        words = own[0] or "no bench named"
        if len(own) > 1:
            words = f"{len(own)} other benches"
        x = _LEGEND + (number % 3) * 46.0
        y = PAGE_MM[1] - 14.5 - (number // 3) * 5.5
        elements.append(Shape(_mark(number, x, y + 1.0, 1.7), None, Stroke(_DARK, 0.25)))
        elements.append(fit_line(words, x + 3.5, y, 8.0, 40.0, "text", _SOFT))
    return elements


def _mark(bench: int, x: float, y: float, radius: float) -> Path:
    sides = _SIDES[bench]
    turn = math.pi / 4 if sides == 4 else math.pi / 2
    angles = [turn + 2 * math.pi * n / sides for n in range(sides)]
    return Path.polyline([(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles])


def _line(x0: float, y0: float, x1: float, y1: float, stroke: Stroke) -> Shape:
    return Shape(Path.polyline([(x0, y0), (x1, y1)], closed=False), None, stroke)


def _bind(elements: Sequence[Element], title: str) -> Page:
    layer = Layer("trend", LayerKind.INFORMATION, tuple(elements))
    return Page(*PAGE_MM, (layer,), title)
