"""Plans and charts as they look: each decal in its ink, where it was placed."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image

from livery.drawing import Drawing, Paint, Symbol, Use
from livery.jobs.survey import Survey
from livery.limits import RuleBook
from livery.output import render_png
from livery.output.paints import screen_colour
from livery.placement import Layout, books_in_force
from livery.scheme.model import Scheme
from livery.views import grading_chart, plan_chart, surface_plan

PX_PER_MM = 7.0


@pytest.fixture(scope="module")
def scheme(demo: Survey) -> Scheme:
    return demo.scheme


@pytest.fixture(scope="module")
def books(scheme: Scheme) -> tuple[RuleBook, ...]:
    return books_in_force(scheme)


@pytest.fixture(scope="module")
def layouts(demo: Survey) -> tuple[Layout, ...]:
    return demo.of_range


def _picture(drawing: Drawing, px_per_mm: float) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(render_png(drawing, px_per_mm=px_per_mm))))


def _broadest(symbol: Symbol) -> tuple[np.ndarray, Paint | None]:
    """The middle of the broadest part that is seen of a decal, in its frame, and its paint."""
    areas = [(shape.path.polygon(0.05), shape.fill) for shape in symbol.elements]
    best, found = 0.0, (np.zeros(2), areas[0][1])
    for index, (area, fill) in enumerate(areas):
        seen = area.difference(shapely.unary_union([above for above, _ in areas[index + 1 :]]))
        for part in shapely.get_parts(seen):
            line = shapely.maximum_inscribed_circle(part, tolerance=0.2)
            if line.length > best:
                best, found = line.length, (np.array(line.coords[0]), fill)
    return found


def _look_at_decals(drawing: Drawing, px_per_mm: float, folder: Path) -> int:
    """How many decals were looked at; fails where one is not seen in its ink."""
    picture, high = _picture(drawing, px_per_mm), drawing.pages[0].height_mm
    spots = {symbol.key: _broadest(symbol) for symbol in drawing.symbols}
    uses = [e for e in drawing.pages[0].layers[0].elements if isinstance(e, Use)]
    for use in uses:
        middle, fill = spots[use.symbol]
        x, y = use.affine.apply(middle)
        column, row = int(x * px_per_mm), int((high - y) * px_per_mm)
        seen = picture[row - 1 : row + 2, column - 1 : column + 2].reshape(-1, 3).astype(int)
        colour = screen_colour(fill)
        aim = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)])
        if np.abs(seen - aim).max(axis=1).min() > 12:
            Image.fromarray(picture).save(folder / "picture.png")
            pytest.fail(f"{use.symbol} shows {seen.tolist()}, not {aim.tolist()}: {folder}")
    return len(uses)


@pytest.mark.parametrize("index", [0, 3, 7, 15])
def test_a_plan_shows_each_decal_in_its_ink(
    scheme: Scheme,
    books: tuple[RuleBook, ...],
    layouts: tuple[Layout, ...],
    index: int,
    tmp_path: Path,
) -> None:
    layout = layouts[index]
    drawing = surface_plan(scheme, layout, books)
    assert _look_at_decals(drawing, PX_PER_MM, tmp_path) >= len(layout.placements)


def test_the_chart_shows_each_decal_in_its_ink(
    scheme: Scheme, books: tuple[RuleBook, ...], layouts: tuple[Layout, ...], tmp_path: Path
) -> None:
    drawing = grading_chart(scheme, plan_chart(layouts), books)
    assert _look_at_decals(drawing, PX_PER_MM, tmp_path) > 40


def test_both_hands_of_a_bat_mirror_their_places_but_not_their_lettering(
    layouts: tuple[Layout, ...],
) -> None:
    right, left = ({p.key: p for p in layout.placements} for layout in layouts[:2])
    mark, mirrored = (hand["shoulder-mark-back"].affine for hand in (right, left))
    assert abs(mark.e) > 5.0
    assert mirrored.e == pytest.approx(-mark.e)
    lettered = [placement for placement in left.values() if placement.decal.texts]
    assert lettered and all(one.affine.determinant > 0.0 for one in lettered)
