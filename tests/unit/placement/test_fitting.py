"""The largest scale and the smallest move, against closed forms."""

from collections.abc import Callable

import pytest
from shapely.geometry import Polygon, box

from livery.artwork.model import Decal
from livery.kit.model import Surface, Zone
from livery.limits import RuleBook
from livery.placement.bounds import gather_bounds
from livery.placement.fitting import Fitter
from livery.placement.intent import Fit, Intent
from livery.placement.seating import seat_as_stated, seat_decals

MakeDecal = Callable[..., Decal]
MakeSurface = Callable[..., Surface]
MakeIntent = Callable[..., Intent]
MakeBook = Callable[..., RuleBook]

WITHIN: tuple[str, dict[str, float | str]] = (
    "confined-within",
    {"datum": "grip-bottom", "within": 228.6},
)
INSIDE: tuple[str, dict[str, float | str]] = ("inside-surface", {"gap": 3.0})


def _fit(intent: Intent, book: RuleBook) -> Fit | None:
    fitter = Fitter(intent, gather_bounds(intent, [book], []))
    return fitter.largest(intent.least_scale, intent.scale, intent.slide_mm)


def test_a_decal_that_fits_is_left_alone(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    assert _fit(intent(decal(), surface(), 100.0), book(WITHIN, INSIDE)) == Fit(1.0, 0.0)


def test_moving_comes_before_shrinking(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    fit = _fit(intent(decal(), surface(), 222.0), book(WITHIN))
    assert fit is not None
    assert fit.scale == 1.0
    assert fit.slide_mm == pytest.approx(-3.4, abs=1e-8)


def test_then_it_shrinks_as_little_as_serves(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    fit = _fit(intent(decal(), surface(), 226.6), book(WITHIN))
    assert fit is not None
    assert fit.scale == pytest.approx(0.7, abs=1e-9)
    assert fit.slide_mm == pytest.approx(-5.0, abs=1e-8)


def test_what_cannot_fit_is_said(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    assert _fit(intent(decal(), surface(), 228.7), book(WITHIN)) is None
    (seat,) = seat_decals([intent(decal(), surface(), 228.7)], [book(WITHIN)])
    assert not seat.fits
    assert seat.fit == Fit(0.5, -5.0)


def test_as_stated_moves_nothing(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    (seat,) = seat_as_stated([intent(decal(), surface(), 223.6)], [book(WITHIN)])
    assert seat.fit == Fit(1.0, 0.0)
    ((rule, short),) = seat.wanted
    assert rule == "book/confined-within"
    assert short == pytest.approx(5.0)


def test_a_taper_is_held_on_the_polygon_not_its_box(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    wedge = Polygon([(-50, 0), (50, 0), (10, 400), (-10, 400)])
    fit = _fit(intent(decal(), surface(wedge), 310.0), book(("inside-surface", {"gap": 0.0})))
    assert fit is not None
    far = 310.0 + fit.slide_mm + 10.0 * fit.scale
    assert fit.slide_mm == pytest.approx(-5.0, abs=1e-8)
    assert 20.0 * fit.scale == pytest.approx(50.0 - 0.1 * far, abs=1e-7)


def test_a_channel_exactly_as_wide_as_the_decal_holds_it(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    channel = surface(box(-23.0, 0.0, 23.0, 500.0))
    assert _fit(intent(decal(), channel, 100.0), book(INSIDE)) == Fit(1.0, 0.0)
    narrow = surface(box(-23.0 + 1e-6, 0.0, 23.0, 500.0))
    fit = _fit(intent(decal(), narrow, 100.0), book(INSIDE))
    assert fit is not None
    assert fit.scale == pytest.approx(1.0 - 1e-6 / 20.0, abs=1e-9)


def test_the_nearer_side_of_a_zone_is_taken(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    zone = Zone("vent", box(-5.0, 100.0, 5.0, 104.0), False)
    wanted = intent(decal(), surface(zones=(zone,)), 104.0, slide_mm=30.0)
    fit = _fit(wanted, book(("clear-of-zone", {"gap": 2.0})))
    assert fit is not None
    assert (fit.scale, fit.slide_mm) == (1.0, pytest.approx(12.0, abs=1e-8))


def test_smallest_lettering_forbids_shrinking(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    words = decal(text_height_mm=1.5)
    rules = book(WITHIN, ("text-height-at-least", {"height": 1.25}))
    assert _fit(intent(words, surface(), 225.0), rules) is not None
    assert _fit(intent(words, surface(), 226.6), rules) is None


def test_neighbours_keep_their_gap_and_the_first_comes_first(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    face = surface()
    pair = [intent(decal(), face, 100.0, key="a"), intent(decal(), face, 118.0, key="b")]
    first, second = seat_decals(pair, [book(("gap-at-least", {"gap": 2.0}))])
    assert first.fit == Fit(1.0, 0.0)
    assert (second.fit.scale, second.fit.slide_mm) == (1.0, pytest.approx(4.0, abs=1e-8))


def test_a_share_of_the_area_is_solved_by_shrinking_alike(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    face = surface()
    pair = [intent(decal(), face, 100.0, key="a"), intent(decal(), face, 200.0, key="b")]
    seats = seat_decals(pair, [book(("share-of-area-at-most", {"share": 0.02}))])
    assert all(seat.fits for seat in seats)
    scale = (0.02 * 50_000.0 / 1600.0) ** 0.5
    assert [seat.fit.scale for seat in seats] == pytest.approx([scale, scale], abs=1e-9)


def test_a_better_fit_above_a_gap_in_the_scales_is_found(
    decal: MakeDecal, surface: MakeSurface, intent: MakeIntent, book: MakeBook
) -> None:
    """A bracket round a post: small it hits the post, large it clears it on all sides."""
    frame = [(-30, -30), (30, -30), (30, 30), (20, 30), (20, -20), (-20, -20), (-20, 30), (-30, 30)]
    post = Zone("post", box(-12.0, 92.0, 12.0, 108.0), False)
    wanted = intent(decal(frame), surface(zones=(post,)), 100.0, slide_mm=0.0, least_scale=0.2)
    fit = _fit(wanted, book(("clear-of-zone", {"gap": 2.0}), INSIDE))
    assert fit == Fit(1.0, 0.0)
    tight = intent(
        decal(frame), surface(zones=(post,)), 100.0, slide_mm=0.0, scale=0.65, least_scale=0.2
    )
    fit = _fit(tight, book(("clear-of-zone", {"gap": 2.0}), INSIDE))
    assert fit is None


def test_scales_that_cover_a_post_whole_are_ruled_out_together(
    decal: MakeDecal,
    surface: MakeSurface,
    intent: MakeIntent,
    book: MakeBook,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A thick bracket lies over the post, far from its own sides, at most of its scales."""
    tried: list[float] = []
    whole = Fitter.smallest_slide

    def counted(fitter: Fitter, scale: float, slide_mm: float) -> float | None:
        tried.append(scale)
        return whole(fitter, scale, slide_mm)

    monkeypatch.setattr(Fitter, "smallest_slide", counted)
    frame = [(-30, -30), (30, -30), (30, 30), (10, 30), (10, -6), (-10, -6), (-10, 30), (-30, 30)]
    post = Zone("post", box(14.0, 95.0, 18.0, 99.0), False)
    wanted = intent(decal(frame), surface(zones=(post,)), 100.0, slide_mm=5.0, least_scale=0.2)
    fit = _fit(wanted, book(("clear-of-zone", {"gap": 2.0}), INSIDE))
    assert fit is not None
    assert (fit.scale, fit.slide_mm) == (pytest.approx(0.4, abs=1e-9), 0.0)
    assert len(tried) < 300
