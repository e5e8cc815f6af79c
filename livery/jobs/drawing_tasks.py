"""What the pages show, drawn as work that another process can do: values in, bytes out."""

from __future__ import annotations

import gzip
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from livery.drawing import Drawing
from livery.jobs.narrowing import only_order
from livery.jobs.survey import Survey
from livery.limits import RuleBook
from livery.output import render_pdf, render_svg
from livery.placement import Layout
from livery.proof import (
    Proof,
    changes_drawing,
    likenesses_of,
    likenesses_to_bytes,
    proof_drawing,
)
from livery.records.history import TrendPoint
from livery.records.trend_picture import trend_drawing
from livery.scheme.model import Order, Palette, Scheme
from livery.views import ChartPlan, grading_chart

Pages = tuple[bytes, ...]
"""Pages as compressed SVG."""

Given = tuple[Scheme, Order, tuple[Layout, ...], Proof | None]
"""What drawing a proof takes: season, order, its layouts, and the revision before."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A proof as it is kept when offered: PDF, pages, and its likeness to draw changes from."""

    pdf: bytes
    pages: Pages
    likeness: bytes


def given_for(found: Survey, order: Order, previous: Proof | None) -> Given:
    """No more of a season than drawing one order's proof takes."""
    own = found.of_order(order)
    return only_order(found.scheme, order, own), order, own, previous


def draw_pages(
    scheme: Scheme, order: Order, layouts: tuple[Layout, ...], previous: Proof | None
) -> Pages:
    """A proof's pages."""
    return _pages(proof_drawing(scheme, order, layouts, previous=previous))


def draw_papers(
    scheme: Scheme, order: Order, layouts: tuple[Layout, ...], previous: Proof | None
) -> Drawn:
    """All that is kept of a proof when it is offered."""
    drawing = proof_drawing(scheme, order, layouts, previous=previous)
    likeness = likenesses_to_bytes(likenesses_of(layouts, scheme.palette))
    return Drawn(render_pdf(drawing), _pages(drawing), likeness)


def draw_changes(scheme: Scheme, before: Proof, after: Proof) -> Pages:
    """Pictures of what looks different between two revisions; none where nothing does."""
    drawing = changes_drawing(scheme, before, after)
    return () if drawing is None else _pages(drawing)


def draw_range(scheme: Scheme, plan: ChartPlan, books: tuple[RuleBook, ...]) -> Pages:
    """Pages of every size of a season side by side."""
    return _pages(grading_chart(scheme, plan, books))


def draw_trends(points: Sequence[TrendPoint], palette: Palette, names: Mapping[str, str]) -> Pages:
    """Colours over time."""
    return _pages(trend_drawing(points, palette, names))


def _pages(drawing: Drawing) -> Pages:
    pages = (render_svg(drawing, number) for number in range(len(drawing.pages)))
    return tuple(gzip.compress(page.encode("utf-8"), 6, mtime=0) for page in pages)
