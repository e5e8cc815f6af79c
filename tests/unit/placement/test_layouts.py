"""A whole season laid out: every size and hand, then every order."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import pytest

from livery.artwork.model import Decal, InkRegion
from livery.errors import ArtworkError, Fault
from livery.geometry import Affine, Path
from livery.placement import Layout, Wardrobe, lay_out
from livery.placement.grading import grade
from livery.scheme import load_season
from livery.scheme.model import Along, DecalSpec, Hand, PlacementSpec, Role, ScalesWith, Scheme

ROOT = FilePath(__file__).parent.parent.parent.parent


@cache
def _season() -> Scheme:
    return load_season(ROOT / "artwork_demo" / "season.toml")


def _oval(spec: DecalSpec, words: Mapping[str, str]) -> Decal:
    """A stand-in for artwork: an oval half as high as wide."""
    outline = Path.circle(0, 0, spec.width_mm / 2).transformed(Affine.scaling(1.0, 0.5))
    texts = tuple((field, template.format(**words)) for field, template in spec.text)
    return Decal(
        "#".join([spec.key, *[text for _, text in texts]]),
        spec.name,
        (InkRegion("tarn", outline),),
        outline,
        spec.width_mm,
        spec.width_mm / 2,
        spec.thickness_mm,
        str(spec.role),
        spec.may_mirror,
        texts,
    )


def _only(**changes: object) -> Scheme:
    """The demo season with one decal, on the face."""
    values: dict[str, object] = {
        "key": "badge-face",
        "decal": "badge",
        "item": "sedge",
        "surface": "face",
        "along": Along.DATUM,
        "x_mm": 10.0,
        "y_mm": 120.0,
        **changes,
    }
    spec = DecalSpec("badge", "Badge", FilePath("badge.svg"), 50.0, Role.IDENTIFICATION, 0.1)
    placement = PlacementSpec(**values)  # type: ignore[arg-type]
    return replace(_season(), decals=(spec,), placements=(placement,))


def _bats(layouts: tuple[Layout, ...]) -> dict[tuple[str, str], Layout]:
    return {
        (layout.item.size, str(layout.item.hand)): layout
        for layout in layouts
        if layout.item.key == "sedge" and not layout.order
    }


def test_the_range_comes_first_then_every_order() -> None:
    season = _season()
    layouts = lay_out(season, _oval)
    assert len([layout for layout in layouts if not layout.order]) == 3 * 2 + 2 * 2 * 2 + 2 * 2 * 2
    assert sum(len(layout.placements) for layout in layouts if not layout.order) >= 40
    orders = [layout for layout in layouts if layout.order == "Q-101"]
    assert [layout.copies for layout in orders] == [2, 1, 1, 1, 1]
    names = {p.decal.key for layout in orders for p in layout.placements if "name" in p.key}
    assert len(names) == 1
    assert "Tamsin Orrowby" in names.pop()


def test_two_runs_agree_to_the_last_bit() -> None:
    first, second = (lay_out(_season(), _oval) for _ in range(2))
    for one, other in zip(first, second, strict=True):
        assert one.findings == other.findings
        assert [p.affine for p in one.placements] == [p.affine for p in other.placements]


def test_five_millimetres_below_the_face_limit_is_named_with_its_margin() -> None:
    below = _only(x_mm=0.0, y_mm=228.6 - 12.5 + 5.0, may_shrink_to=0.5, may_slide_mm=10.0)
    layouts = _bats(lay_out(below, _oval))
    broken = [
        f for f in layouts["short-handle", "right"].findings if not f.ok and f.severity == "limit"
    ]
    (finding,) = broken
    assert finding.rule == "laws/face-identification"
    assert finding.margin == pytest.approx(-5.0, abs=1e-9)
    assert "5.00 mm (0.197 in) too much" in finding.text
    assert "Appendix B.6" in finding.source
    assert "from memory" in finding.source
    mends = {f.rule: f for f in layouts["short-handle", "right"].findings if "placement/" in f.rule}
    assert mends["placement/move"].measured == pytest.approx(5.0, abs=1e-8)
    assert "towards the handle" in mends["placement/move"].text


def test_other_sizes_are_fitted_within_what_is_allowed_and_say_so() -> None:
    below = _only(x_mm=0.0, y_mm=221.1, may_shrink_to=0.5, may_slide_mm=10.0)
    layout = _bats(lay_out(below, _oval))["harrow", "right"]
    assert all(f.ok for f in layout.findings if f.severity == "limit")
    (moved,) = [f for f in layout.findings if f.rule == "placement/moved"]
    assert moved.measured == pytest.approx(5.0, abs=1e-8)
    assert "“Decals on the face stay within the top 9 in” (laws)" in moved.text


def test_master_size_stands_as_stated() -> None:
    layouts = _bats(lay_out(_only(), _oval))
    assert layouts["short-handle", "right"].placements[0].affine == Affine.translation(10.0, 120.0)


@pytest.mark.parametrize("may_mirror", [False, True])
def test_left_hand_mirrors_the_place_and_only_willing_artwork(may_mirror: bool) -> None:
    season = _only(mirror_for_left=True, rotation_deg=90.0)
    season = replace(season, decals=(replace(season.decals[0], may_mirror=may_mirror),))
    layouts = _bats(lay_out(season, _oval))
    right = layouts["short-handle", "right"].placements[0]
    left = layouts["short-handle", "left"].placements[0]
    assert (right.affine.e, left.affine.e) == (10.0, -10.0)
    assert left.mirrored is may_mirror
    assert (left.affine.determinant < 0) is may_mirror
    if may_mirror:
        assert left.affine == Affine.mirror_x() @ right.affine


def test_a_side_mirrors_to_the_other_side() -> None:
    season = _only(surface="edge-left", x_mm=0.0, mirror_for_left=True)
    layouts = _bats(lay_out(season, _oval))
    assert layouts["short-handle", "right"].placements[0].surface == "edge-left"
    assert layouts["short-handle", "left"].placements[0].surface == "edge-right"


@pytest.mark.parametrize("scales_with", list(ScalesWith))
def test_grading_scales_about_the_anchor(scales_with: ScalesWith) -> None:
    season = _only(scales_with=scales_with, along=Along.TOE)
    wardrobe = Wardrobe(season)
    (item,) = wardrobe.items("sedge", "size-5", Hand.RIGHT)
    master = wardrobe.master_of(item)
    intent = grade(season.placements[0], _oval(season.decals[0], {}), item, master)
    small, large = item.surface("face").outline.bounds, master.surface("face").outline.bounds
    ratio = {
        ScalesWith.NOTHING: 1.0,
        ScalesWith.WIDTH: (small[2] - small[0]) / (large[2] - large[0]),
        ScalesWith.LENGTH: (small[3] - small[1]) / (large[3] - large[1]),
    }[scales_with]
    assert intent.scale == pytest.approx(ratio)
    assert intent.x_mm == pytest.approx(10.0 * ratio)
    toe = item.surface("face").datum("toe").y_mm
    assert intent.y_mm == pytest.approx(toe - 120.0 * ratio)


def test_rotation_is_counter_clockwise_as_seen() -> None:
    season = _only(rotation_deg=90.0)
    placement = _bats(lay_out(season, _oval))["short-handle", "right"].placements[0]
    affine = placement.affine
    assert (affine.a, affine.b) == (0.0, -1.0)  # its right end points up, towards the handle


def _lettered(role: Role, template: str) -> tuple[Scheme, dict[str, Layout]]:
    scheme = _only()
    spec = replace(scheme.decals[0], role=role, text=(("number", template),))
    one, two, *_ = scheme.orders
    orders = (replace(one, number="7"), replace(two, number=""))
    scheme = replace(scheme, decals=(spec,), orders=orders)
    layouts = lay_out(scheme, decal_for=_oval)
    return scheme, {o.order: o for o in layouts if o.order and o.item.key == "sedge"}


@pytest.mark.parametrize(
    ("role", "template", "left_off"),
    [
        (Role.LETTERING, "{number}", True),
        (Role.LETTERING, "No. {number}", False),
        (Role.IDENTIFICATION, "{number}", False),
    ],
)
def test_an_order_without_a_number_is_told(role: Role, template: str, left_off: bool) -> None:
    scheme, by_order = _lettered(role, template)
    one, two = (by_order[order.key] for order in scheme.orders)
    assert len(one.placements) == 1 and not any(f.rule == "order/words" for f in one.findings)
    (told,) = (f for f in two.findings if f.rule == "order/words")
    assert not told.ok and "Decal Badge: the order has no number" in told.text
    assert ("left off" in told.text) is left_off
    assert len(two.placements) == (0 if left_off else 1)


def test_a_range_without_orders_has_a_specimen_number() -> None:
    scheme, _ = _lettered(Role.LETTERING, "{number}")
    for orders in ((), (replace(scheme.orders[0], number=""),)):
        layouts = lay_out(replace(scheme, orders=orders), decal_for=_oval)
        first = next(one for one in layouts if not one.order)
        assert first.placements[0].decal.texts == (("number", "00"),)


def test_every_order_whose_words_cannot_be_set_is_named() -> None:
    def set_none_but_the_first(spec: DecalSpec, words: Mapping[str, str]) -> Decal:
        if words["player"] in refused:
            raise ArtworkError(Fault("badge.svg", "text", 3, "no such letter", "Mend it"))
        return _oval(spec, words)

    scheme = _only()
    refused = {order.player for order in scheme.orders[1:3]}
    longest = replace(scheme.orders[0], player="A name longer than any other in the season")
    scheme = replace(scheme, orders=(longest, *scheme.orders[1:]))
    with pytest.raises(ArtworkError) as caught:
        lay_out(scheme, decal_for=set_none_but_the_first)
    assert [fault.place for fault in caught.value.faults] == [
        f"text, for order {order.key}" for order in scheme.orders[1:3]
    ]
