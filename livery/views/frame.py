"""What the pages of this room share: their sizes, colours, heads and feet."""

from __future__ import annotations

from collections.abc import Sequence

from livery.artwork.typesetting import INK as INK
from livery.artwork.typesetting import fit_line, head_of
from livery.drawing import (
    A3_MM,
    A4_MM,
    Anchor,
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
from livery.limits import UMPIRES_DECIDE
from livery.scheme.model import Scheme

WIDE_A3_MM, WIDE_A4_MM = A3_MM[::-1], A4_MM[::-1]
MARGIN_MM = 12.0
"""[source: workshop-choice]"""

SOFT = LabPaint((46.0, 0.0, -4.0))
FAINT = LabPaint((84.0, 0.0, -1.0))
LIMIT = LabPaint((44.0, 62.0, 42.0))
ADVICE = LabPaint((42.0, 2.0, -38.0))
"""Colours of words and lines: what holds, what limits, what only advises.

[source: workshop-choice]
"""

SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0)
"""Reductions a drawing is made at, so that a scale rule reads it [source: common-practice]."""


def draw_head(title: str, under: str, right: str, size_mm: tuple[float, float]) -> list[Element]:
    """A page's title, a line under it, and words on the right."""
    width, height = size_mm
    room = width - 2 * MARGIN_MM
    return [
        fit_line(title, MARGIN_MM, height - 16.0, 15.0, room * 0.72, "display", INK),
        fit_line(under, MARGIN_MM, height - 21.5, 7.5, room * 0.72, "text", SOFT),
        fit_line(
            right, width - MARGIN_MM, height - 16.0, 10.0, room * 0.26, "text-bold", INK, Anchor.END
        ),
        draw_rule(MARGIN_MM, width - MARGIN_MM, height - 24.0),
    ]


def draw_foot(words: str, size_mm: tuple[float, float]) -> list[Element]:
    """The foot of a page: what it belongs to, and who decides."""
    width, half = size_mm[0], size_mm[0] / 2 - MARGIN_MM
    end = width - MARGIN_MM
    return [
        draw_rule(MARGIN_MM, end, 10.0),
        fit_line(words, MARGIN_MM, 6.2, 6.5, half, "text", SOFT),
        fit_line(UMPIRES_DECIDE, end, 6.2, 6.5, half, "text", SOFT, Anchor.END),
    ]


def season_words(scheme: Scheme) -> str:
    """Workshop, season, revision and date."""
    return head_of(scheme.workshop, scheme.name, f"revision {scheme.revision}", scheme.date)


def make_page(elements: Sequence[Element], size_mm: tuple[float, float], title: str) -> Page:
    """One page of one layer."""
    layer = Layer("page", LayerKind.INFORMATION, tuple(elements))
    return Page(*size_mm, (layer,), title)


def draw_rule(x0: float, x1: float, y: float, paint: LabPaint = FAINT) -> Shape:
    """A horizontal line."""
    path = Path.polyline([(x0, y), (x1, y)], closed=False)
    return Shape(path, None, Stroke(paint, 0.25))


def scale_words(reduction: float) -> str:
    """``1 : 2.5``."""
    return f"1 : {reduction:g}"


def draw_scale_rule(x: float, y: float, reduction: float, longest_mm: float) -> list[Element]:
    """A rule of true lengths: bars of alternating tone, numbered in mm.

    Args:
        x: its left end on the page.
        y: its foot on the page.
        reduction: true size over drawn size.
        longest_mm: longest it may be drawn.
    """
    step = next((s for s in (100.0, 50.0, 20.0, 10.0) if 5 * s / reduction <= longest_mm), 5.0)
    elements: list[Element] = []
    for index in range(5):
        x0, x1 = x + index * step / reduction, x + (index + 1) * step / reduction
        bar = Path.rectangle(x0, y, x1, y + 1.6)
        fill = INK if index % 2 == 0 else LabPaint((98.0, 0.0, 0.0))
        elements.append(Shape(bar, fill, Stroke(INK, 0.15)))
    for index in range(6):
        words = f"{index * step:g}" + (" mm" if index == 5 else "")
        at = x + index * step / reduction
        elements.append(Label(words, at, y + 2.6, 6.0, INK, Anchor.MIDDLE))
    return elements
