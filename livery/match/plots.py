"""Plots of one ink: aim, items, the tolerance's true edge, and how sure each item is.

Shapes and words carry the meaning: the aim is a cross hair, each item its verdict's shape with its
name, the tolerance a solid line and uncertainty a dashed one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from livery.drawing import (
    Anchor,
    Drawing,
    Element,
    LabColour,
    LabPaint,
    Layer,
    LayerKind,
    Page,
    Shape,
    Stroke,
)
from livery.geometry import Path
from livery.match.contour import tolerance_contour, uncertainty_ellipse
from livery.match.marks import (
    GREY,
    GROUND,
    INKED,
    LINE,
    PAGE_MM,
    PAPER,
    Box,
    draw_mark,
    text_width,
    write_text,
)
from livery.match.model import AIM, Comparison, Verdict
from livery.scheme.model import Palette
from livery.units import pt_to_mm

Floats = NDArray[np.float64]

_MARGIN, _TITLE, _GAP = 12.0, 15.0, 6.0  # workshop choice
_ACROSS, _DOWN = 2, 2
_TYPE_PT = 7.0
_ROOM = 1.18  # workshop choice: of what is shown, so that names have somewhere to stand


@dataclass(frozen=True, slots=True, eq=False)
class PlottedItem:
    """One item of a plot: its colour, the covariance of it, and what was said of it."""

    name: str
    lab: LabColour
    cov: Floats
    verdict: Verdict


@dataclass(frozen=True, slots=True, eq=False)
class InkPlot:
    """What the plots of one ink show."""

    name: str
    aim: LabColour
    tolerance: float
    items: tuple[PlottedItem, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Plane:
    """A plane of Lab on paper: its axes' names, directions, and where colours lie in it."""

    names: tuple[str, str]
    axes: tuple[LabColour, LabColour]
    centre: Floats
    points: Floats
    floor: float = -math.inf

    def moved(self, steps: Floats, start: Floats) -> Floats:
        """Steps from a place, kept where the plane has colours."""
        places: Floats = steps + start
        places[:, 0] = np.maximum(places[:, 0], self.floor)
        return places


def collect_plots(comparisons: Sequence[Comparison], palette: Palette) -> tuple[InkPlot, ...]:
    """One plot for each ink that was held against its aim, in the order of the comparisons."""
    found: dict[str, list[Comparison]] = {}
    for one in comparisons:
        if one.a == AIM and one.lab_b is not None and one.ink in palette.keys:
            found.setdefault(one.ink, []).append(one)
    return tuple(
        InkPlot(
            palette.ink(ink).name,
            palette.ink(ink).lab,
            group[0].tolerance,
            tuple(_item(one) for one in group),
        )
        for ink, group in found.items()
    )


def plots_drawing(comparisons: Sequence[Comparison], palette: Palette) -> Drawing:
    """Draw a*b* and L*C* plots of every ink that was held against its aim.

    Args:
        comparisons: as ``compare`` gives them.
        palette: aims and names of the inks.

    Returns:
        Pages of A4 landscape, mm; one page that says so when no ink has an aim.

    Source:
        [source: sharma-2005]; the layout is a [source: workshop-choice].
    """
    plots = collect_plots(comparisons, palette)
    per_page = _ACROSS * _DOWN
    pages = [_page(plots[at : at + per_page]) for at in range(0, len(plots), per_page)]
    return Drawing("Colour plots", tuple(pages) or (_page(()),))


def _page(plots: Sequence[InkPlot]) -> Page:
    top = PAGE_MM[1] - _MARGIN
    words = (
        "Cross hair: the aim. Solid line: where ΔE00 from the aim is the tolerance, in the plane "
        "through the aim. Dashed: 95 % uncertainty. Disc pass, cross fail, triangle re-shoot."
        if plots
        else "No ink was held against an aim: there is nothing to plot."
    )
    elements: list[Element] = [
        Shape(Path.rectangle(0, 0, *PAGE_MM), fill=PAPER),
        write_text("Colour plots", _MARGIN, top - 5, 15, bold=True),
        write_text(words, _MARGIN, top - 11, 8),
    ]
    width = (PAGE_MM[0] - 2 * _MARGIN - (_ACROSS - 1) * _GAP) / _ACROSS
    height = (PAGE_MM[1] - 2 * _MARGIN - _TITLE - (_DOWN - 1) * _GAP) / _DOWN
    for index, plot in enumerate(plots):
        x = _MARGIN + index % _ACROSS * (width + _GAP)
        y = top - _TITLE - height - index // _ACROSS * (height + _GAP)
        elements += draw_plot(plot, Box(x, y, width, height))
    layer = Layer("plots", LayerKind.INFORMATION, tuple(elements))
    return Page(*PAGE_MM, (layer,), title="Colour plots")


def draw_plot(plot: InkPlot, box: Box) -> list[Element]:
    """The two plots of one ink side by side in a box, under the ink's name."""
    head, gap = 6.0, 9.0
    swatch = Path.rectangle(box.x, box.y + box.height - 4, box.x + 5, box.y + box.height)
    words = f"{plot.name}, tolerance {plot.tolerance:g}"
    elements: list[Element] = [
        Shape(swatch, fill=LabPaint(plot.aim), stroke=LINE),
        write_text(words, box.x + 7, box.y + box.height - 3.2, 9, bold=True),
    ]
    width = (box.width - 2 * gap) / 2
    for side, plane in enumerate((_ab_plane(plot), _lc_plane(plot))):
        x = box.x + gap + side * (width + gap)
        frame = Box(x, box.y + 7.0, width, box.height - head - 7.0)
        elements += _draw_plane(plot, plane, frame)
    return elements


def _item(one: Comparison) -> PlottedItem:
    assert one.lab_b is not None
    cov = np.zeros((3, 3)) if one.cov is None else np.array(one.cov, dtype=np.float64)
    return PlottedItem(one.b, one.lab_b, cov, one.verdict)


def _ab_plane(plot: InkPlot) -> _Plane:
    axes = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    return _Plane(("a*", "b*"), axes, np.array(plot.aim[1:]), _labs(plot)[:, 1:])


def _lc_plane(plot: InkPlot) -> _Plane:
    """Chroma across and lightness up; steps in chroma are taken along the aim's own hue."""
    lightness, a, b = plot.aim
    chroma = math.hypot(a, b)
    along = (a / chroma, b / chroma) if chroma > 0.0 else (1.0, 0.0)
    axes = ((0.0, *along), (1.0, 0.0, 0.0))
    labs = _labs(plot)
    points = np.stack([np.hypot(labs[:, 1], labs[:, 2]), labs[:, 0]], axis=1)
    return _Plane(("C*", "L*"), axes, np.array([chroma, lightness]), points, floor=0.0)


def _labs(plot: InkPlot) -> Floats:
    return np.array([item.lab for item in plot.items], dtype=np.float64).reshape(-1, 3)


def _draw_plane(plot: InkPlot, plane: _Plane, box: Box) -> list[Element]:
    edge = plane.moved(_edge(plot.aim, plot.tolerance, plane.axes), plane.centre)
    clouds = [
        plane.moved(uncertainty_ellipse(item.cov, plane.axes), point)
        for item, point in zip(plot.items, plane.points, strict=True)
    ]
    everything = np.concatenate([edge, *clouds, plane.points])
    low, high = everything.min(axis=0), everything.max(axis=0)
    middle = (low + high) / 2.0
    scale = float((np.array([box.width, box.height]) / (high - low)).min() / _ROOM)
    centre = np.array([box.x + box.width / 2, box.y + box.height / 2])

    def place(values: Floats) -> Floats:
        placed: Floats = (values - middle) * scale + centre
        return placed

    elements = _frame(plane.names, box, middle, scale, centre)
    elements.append(Shape(Path.polyline(place(edge)), stroke=Stroke(INKED, 0.35)))
    dashed = Stroke(INKED, 0.18, (0.8, 0.6))
    elements += [Shape(Path.polyline(place(cloud)), stroke=dashed) for cloud in clouds]
    elements += _cross_hair(place(plane.centre))
    places = place(plane.points)
    for item, (x, y) in zip(plot.items, places.tolist(), strict=True):
        elements += [
            Shape(Path.circle(x, y, 2.3), fill=LabPaint(item.lab), stroke=Stroke(INKED, 0.15)),
            Shape(Path.circle(x, y, 1.5), fill=PAPER),
            *draw_mark(item.verdict, x, y, 0.45),
        ]
    return elements + _names(plot.items, places, box)


@lru_cache(maxsize=256)
def _edge(aim: LabColour, tolerance: float, axes: tuple[LabColour, LabColour]) -> Floats:
    """Kept: a season's inks are plotted for every kit, on two pages each."""
    return tolerance_contour(aim, tolerance, axes)


def _frame(
    names: tuple[str, str], box: Box, middle: Floats, scale: float, centre: Floats
) -> list[Element]:
    """Ground, grid at round numbers, and the axes' names; both axes have one scale."""
    right, top = box.x + box.width, box.y + box.height
    elements: list[Element] = [Shape(Path.rectangle(box.x, box.y, right, top), fill=GROUND)]
    step = _round_step(min(box.width, box.height) / scale / 4.0)
    for axis, (start, length) in enumerate(((box.x, box.width), (box.y, box.height))):
        low = (start - centre[axis]) / scale + middle[axis]
        first = math.ceil(low / step)
        for number in range(first, first + math.floor(length / scale / step) + 1):
            at = (number * step - middle[axis]) * scale + centre[axis]
            if start + 0.5 <= at <= start + length - 0.5:
                elements += _grid_line(axis, at, f"{number * step:g}", box)
    elements += [
        Shape(Path.rectangle(box.x, box.y, right, top), stroke=LINE),
        write_text(names[0], right, box.y - 5.6, _TYPE_PT, bold=True, anchor=Anchor.END),
        write_text(names[1], box.x - 5.5, top - 2.2, _TYPE_PT, bold=True),
    ]
    return elements


def _grid_line(axis: int, at: float, number: str, box: Box) -> list[Element]:
    thin = Stroke(GREY, 0.1)
    if axis == 0:
        ends = [(at, box.y), (at, box.y + box.height)]
        label = write_text(number, at, box.y - 2.8, 6, anchor=Anchor.MIDDLE)
    else:
        ends = [(box.x, at), (box.x + box.width, at)]
        label = write_text(number, box.x - 0.8, at - 0.8, 6, anchor=Anchor.END)
    line = Shape(Path.polyline(ends, closed=False), stroke=thin)
    by_name = axis == 1 and at > box.y + box.height - 4.0  # where the axis's own name stands
    return [line] if by_name else [line, label]


def _round_step(wanted: float) -> float:
    """The least of 1, 2 and 5 times a power of ten that is not below what is wanted."""
    power = 10.0 ** math.floor(math.log10(wanted))
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= wanted)


def _cross_hair(spot: Floats) -> list[Element]:
    x, y = (float(value) for value in spot)
    arms = ([(x - 3.0, y), (x + 3.0, y)], [(x, y - 3.0), (x, y + 3.0)])
    line = Stroke(INKED, 0.25)
    return [Shape(Path.polyline(arm, closed=False), stroke=line) for arm in arms]


def _names(items: Sequence[PlottedItem], spots: Floats, box: Box) -> list[Element]:
    """Names beside their marks, each where it meets fewest others."""
    high = pt_to_mm(_TYPE_PT) * 0.8
    taken = [(x - 2.2, y - 2.2, x + 2.2, y + 2.2) for x, y in spots]
    elements: list[Element] = []
    for item, (x, y) in zip(items, spots, strict=True):
        name = item.name if len(item.name) <= 18 else f"{item.name[:17]}…"
        wide = text_width(name, _TYPE_PT)
        places = [
            (left, bottom, left + wide, bottom + high)
            for bottom in (y - high / 2, y + 2.6, y - 2.6 - high, y + 5.4, y - 5.4 - high)
            for left in (x + 2.8, x - 2.8 - wide, x - wide / 2)
            if not (left == x - wide / 2 and bottom == y - high / 2)
        ]
        best = min(places, key=lambda place: _crowding(place, taken, box))
        taken.append(best)
        elements.append(write_text(name, best[0], best[1] + 0.2, _TYPE_PT))
    return elements


def _crowding(
    place: tuple[float, float, float, float],
    taken: Sequence[tuple[float, float, float, float]],
    box: Box,
) -> float:
    """Area shared with what is there, and ten times what lies outside the box."""
    left, low, right, high = place

    def shared(other: tuple[float, float, float, float]) -> float:
        wide = min(right, other[2]) - max(left, other[0])
        tall = min(high, other[3]) - max(low, other[1])
        return max(wide, 0.0) * max(tall, 0.0)

    inside = shared((box.x, box.y, box.x + box.width, box.y + box.height))
    outside = (right - left) * (high - low) - inside
    return sum(shared(other) for other in taken) + 10.0 * outside
