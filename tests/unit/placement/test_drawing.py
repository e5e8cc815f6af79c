"""Placed decals as pictures."""

import pytest

from livery.artwork.model import Decal, InkRegion
from livery.drawing import LabPaint
from livery.geometry import Affine, Path
from livery.kit import build_bat, place_on_page
from livery.placement import Layout, Placement, decal_symbols, draw_placed
from livery.scheme.model import BatModel, Finish, Hand, Ink, Palette
from livery.scheme.sizes import bat_sizes

INKS = (
    Ink("tarn", "Tarn", (35.0, -12.0, -25.0), Finish.SATIN, 2.0),
    Ink("ember", "Ember", (55.0, 52.0, 45.0), Finish.SATIN, 2.0),
)
PALETTE = Palette("p", "P", INKS, "invented for this test")


@pytest.fixture
def layout() -> Layout:
    """A bat with one two-ink decal on its face, at 0.8 of its size."""
    model = BatModel("b", "B", ("harrow",), (bat_sizes()["harrow"],))
    square = Path.rectangle(-10.0, -5.0, 10.0, 5.0)
    regions = (InkRegion("tarn", square), InkRegion("ember", Path.circle(0.0, 0.0, 4.0)))
    decal = Decal("d", "D", regions, square, 20.0, 10.0, 0.15, "decoration", False)
    place = Affine.translation(3.0, 100.0) @ Affine.scaling(0.8)
    placement = Placement("d-face", decal, "face", place, 0.8)
    return Layout(build_bat(model, "harrow", Hand.RIGHT), (placement,), ())


def test_each_decal_is_stored_once_in_its_inks_one_over_another(layout: Layout) -> None:
    (symbol,) = decal_symbols([layout, layout], PALETTE)
    assert [shape.fill for shape in symbol.elements] == [LabPaint(ink.lab) for ink in INKS]


def test_decals_lie_where_they_were_placed_at_the_drawings_scale(layout: Layout) -> None:
    (symbol,) = decal_symbols([layout], PALETTE)
    (use,) = draw_placed(layout, "face", place_on_page(50.0, 200.0, 0.5))
    assert use.symbol == symbol.key
    found = symbol.elements[0].path.transformed(use.affine).bounds()
    assert found == pytest.approx((50 + 1.5 - 4, 200 - 50 - 2, 50 + 1.5 + 4, 200 - 50 + 2))


def test_a_surface_without_decals_draws_nothing(layout: Layout) -> None:
    assert draw_placed(layout, "back", place_on_page(0.0, 0.0)) == ()


def test_an_ink_that_the_palette_lacks_is_not_guessed(layout: Layout) -> None:
    bare = Palette("q", "Q", INKS[:1], "invented for this test")
    with pytest.raises(KeyError):
        decal_symbols([layout], bare)


def test_a_decal_is_shown_as_it_is_cut_and_bleed_is_not(layout: Layout) -> None:
    round_one = Path.circle(0.0, 0.0, 10.0)
    ground = InkRegion("tarn", Path.rectangle(-12.0, -12.0, 12.0, 12.0))
    whole, lost = Path.circle(0.0, 0.0, 4.0), Path.rectangle(8.5, 8.5, 11.0, 11.0)
    regions = (ground, InkRegion("ember", whole), InkRegion("ember", lost))
    decal = Decal("r", "R", regions, round_one, 20.0, 20.0, 0.15, "decoration", False)
    placed = Placement("r-face", decal, "face", Affine.translation(0.0, 100.0), 1.0)
    (symbol,) = decal_symbols([Layout(layout.item, (placed,), ())], PALETTE)
    assert [shape.fill for shape in symbol.elements] == [LabPaint(ink.lab) for ink in INKS]
    shown, inner = symbol.elements
    assert shown.path.polygon().area == pytest.approx(round_one.polygon().area, rel=1e-3)
    assert inner.path is whole  # drawn as exactly as it was
