"""Groups and alignments on every size and both hands."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import pytest

from livery.artwork.model import Decal, InkRegion
from livery.errors import SeasonError
from livery.geometry import Affine, Path
from livery.kit.model import KitItem
from livery.placement import Layout, Placement, Wardrobe, lay_out
from livery.placement.cluster import settle_all
from livery.placement.grading import grade_all
from livery.placement.intent import Fit
from livery.scheme import load_season
from livery.scheme.model import (
    Alignment,
    Along,
    DecalSpec,
    GroupSpec,
    Hand,
    PlacementSpec,
    Role,
    ScalesWith,
    Scheme,
    Side,
)

ROOT = FilePath(__file__).parent.parent.parent.parent
WIDTHS = {"badge": 40.0, "strip": 50.0, "dot": 12.0}


@cache
def _season() -> Scheme:
    return load_season(ROOT / "artwork_demo" / "season.toml")


def _oval(spec: DecalSpec, words: Mapping[str, str]) -> Decal:
    width = WIDTHS[spec.key]
    outline = Path.circle(0, 0, width / 2).transformed(Affine.scaling(1.0, 0.5))
    regions = (InkRegion("tarn", outline),)
    role = "decoration"
    return Decal(spec.key, spec.key, regions, outline, width, width / 2, 0.1, role, True)


def _put(decal: str, y_mm: float = 0.0, align: Alignment | None = None, **more: object) -> object:
    values = {"surface": "back", "along": Along.DATUM, "x_mm": 0.0, **more}
    values |= {"item": "sedge", "y_mm": y_mm, "align": align}
    return PlacementSpec(key=f"{decal}-back", decal=decal, **values)  # type: ignore[arg-type]


def _scheme(*placements: object, groups: tuple[GroupSpec, ...] = ()) -> Scheme:
    specs = tuple(
        DecalSpec(key, key, FilePath("x.svg"), width, Role.DECORATION, 0.1)
        for key, width in WIDTHS.items()
    )
    season = replace(_season(), decals=specs, orders=(), groups=groups)
    return replace(season, placements=placements)  # type: ignore[arg-type]


def _bats(scheme: Scheme) -> dict[tuple[str, str], Layout]:
    layouts = lay_out(scheme, _oval)
    return {(one.item.size, str(one.item.hand)): one for one in layouts if one.item.key == "sedge"}


def _by_key(layout: Layout) -> dict[str, Placement]:
    return {placement.key: placement for placement in layout.placements}


def _graded(
    scheme: Scheme, item: KitItem, master: KitItem
) -> dict[str, tuple[float, float, float]]:
    """Where each decal's centre and scale would be before any limit."""
    decals = {
        p.key: _oval(next(d for d in scheme.decals if d.key == p.decal), {})
        for p in scheme.placements
    }
    intents = grade_all(scheme.placements, decals, scheme.groups, item, master)
    found = {}
    for intent, fit in settle_all(intents, [Fit(one.scale, 0.0) for one in intents]):
        for part in intent.parts:
            affine = intent.affine(part, fit)
            found[part.key] = (affine.e, affine.f, fit.scale)
    return found


SET = GroupSpec("set", ("badge-back", "dot-back"), may_shrink_to=0.3, may_slide_mm=6.0)


@pytest.mark.parametrize("scales_with", list(ScalesWith))
@pytest.mark.parametrize("along", [Along.DATUM, Along.TOE, Along.MIDDLE])
def test_a_group_is_graded_as_its_decals_would_be(scales_with: ScalesWith, along: Along) -> None:
    pair = (
        _put("badge", 60.0, along=along, x_mm=-8.0, scales_with=scales_with),
        _put("dot", 84.0, along=along, x_mm=10.0, scales_with=scales_with, rotation_deg=20.0),
    )
    alone, grouped = _scheme(*pair), _scheme(*pair, groups=(SET,))
    wardrobe = Wardrobe(alone)
    for size in ("short-handle", "harrow", "size-5"):
        (item,) = wardrobe.items("sedge", size, Hand.RIGHT)
        master = wardrobe.master_of(item)
        expected = _graded(alone, item, master)
        for key, values in _graded(grouped, item, master).items():
            assert values == pytest.approx(expected[key], abs=1e-9)


def test_a_group_shrinks_and_slides_as_one() -> None:
    pair = (_put("badge", 6.0, x_mm=-8.0), _put("dot", 14.0, x_mm=26.0))
    bats = _bats(_scheme(*pair, groups=(SET,)))
    stated, fitted = _by_key(bats["short-handle", "right"]), _by_key(bats["size-5", "right"])
    scale = fitted["badge-back"].scale
    assert scale < 1.0
    assert fitted["dot-back"].scale == scale
    for axis in (0, 1):
        apart = [
            each["dot-back"].box[axis] - each["badge-back"].box[axis] for each in (stated, fitted)
        ]
        assert apart[1] == pytest.approx(scale * apart[0], abs=1e-9)
    assert all(f.ok for f in bats["size-5", "right"].findings if f.severity == "limit")
    (shrunk,) = [f for f in bats["size-5", "right"].findings if f.rule == "placement/shrunk"]
    assert shrunk.subject.endswith("back: badge-back and dot-back")


def test_a_group_that_cannot_fit_names_what_holds_it_and_what_would_help() -> None:
    pair = (_put("badge", 2.0), _put("dot", 30.0))
    tied = replace(SET, may_shrink_to=0.99, may_slide_mm=1.0)
    layout = _bats(_scheme(*pair, groups=(tied,)))["harrow", "right"]
    found = {f.rule: f for f in layout.findings if f.rule.startswith("placement/")}
    assert found["placement/binding"].measured == pytest.approx(12.0 - 0.1, abs=0.2)
    assert "“Decals keep clear of the grip” (workshop)" in found["placement/binding"].text
    assert "mm (" in found["placement/binding"].text
    assert found["placement/move"].measured == pytest.approx(13.0, abs=1e-6)
    assert found["placement/move"].subject.endswith("badge-back and dot-back")


def test_decals_of_a_group_keep_their_gap() -> None:
    pair = (_put("badge", 60.0), _put("dot", 60.0 + 10.0 + 3.0 + 2.05))
    near = replace(SET, may_shrink_to=0.1)
    layout = _bats(_scheme(*pair, groups=(near,)))["size-5", "right"]
    gap = _by_key(layout)["dot-back"].box[1] - _by_key(layout)["badge-back"].box[3]
    assert gap >= 2.0 - 1e-6
    assert all(f.ok for f in layout.findings if f.severity == "limit")


@pytest.mark.parametrize("side", [Side.BELOW, Side.ABOVE, Side.LEFT, Side.RIGHT])
def test_a_decal_keeps_its_gap_from_another_on_every_size(side: Side) -> None:
    shrinks = {"scales_with": ScalesWith.WIDTH, "may_shrink_to": 0.2, "may_slide_mm": 4.0}
    badge = _put("badge", 95.0, x_mm=-4.0, **shrinks)
    dot = _put("dot", 0.0, Alignment("badge-back", side, 3.5), may_shrink_to=0.2)
    for layout in _bats(_scheme(dot, badge)).values():
        dot_box, box = (_by_key(layout)[key].box for key in ("dot-back", "badge-back"))
        gap = {
            Side.BELOW: dot_box[1] - box[3],
            Side.ABOVE: box[1] - dot_box[3],
            Side.RIGHT: dot_box[0] - box[2],
            Side.LEFT: box[0] - dot_box[2],
        }[side]
        assert gap == pytest.approx(3.5, abs=1e-6)
        level = 0 if side in (Side.BELOW, Side.ABOVE) else 1
        middles = [each[level] + each[level + 2] for each in (dot_box, box)]
        assert middles[0] == pytest.approx(middles[1], abs=1e-9)


@pytest.mark.parametrize(
    ("line", "side", "edge"),
    [
        ("shoulder-line", Side.BELOW, 1),
        ("shoulder-line", Side.ABOVE, 3),
        ("toe-line", Side.ABOVE, 3),
        ("middle", Side.BELOW, 1),
    ],
)
def test_an_edge_keeps_to_a_line_across_the_surface(line: str, side: Side, edge: int) -> None:
    placed = _put("badge", 0.0, Alignment(line, side, 15.0), scales_with=ScalesWith.WIDTH)
    datum = {"shoulder-line": "shoulder", "toe-line": "toe", "middle": "middle"}[line]
    for layout in _bats(_scheme(placed)).values():
        y = layout.item.surface("back").datum(datum).y_mm
        sign = 1.0 if side is Side.BELOW else -1.0
        assert layout.placements[0].box[edge] == pytest.approx(y + sign * 15.0, abs=1e-9)


def test_a_decal_lies_on_or_beside_the_centre_line_mirrored_for_left_handers() -> None:
    beside = Alignment("centre-line", Side.RIGHT, 4.0)
    placed = _put("dot", 120.0, beside, scales_with=ScalesWith.WIDTH, mirror_for_left=True)
    for (_, hand), layout in _bats(_scheme(placed)).items():
        x0, _, x1, _ = layout.placements[0].box
        assert (x0 if hand == "right" else -x1) == pytest.approx(4.0, abs=1e-9)
    on = _put("dot", 0.0, Alignment("middle", Side.ON))
    for layout in _bats(_scheme(on)).values():
        affine = layout.placements[0].affine
        middle = layout.item.surface("back").datum("middle").y_mm
        assert (affine.e, affine.f) == (0.0, pytest.approx(middle))


def test_a_left_handers_bat_is_the_mirror_image() -> None:
    more = {"mirror_for_left": True, "scales_with": ScalesWith.WIDTH}
    placements = (
        _put("badge", 90.0, x_mm=9.0, rotation_deg=10.0, **more),
        _put("strip", 0.0, Alignment("badge-back", Side.BELOW, 5.0), **more),
        _put("dot", 0.0, Alignment("badge-back", Side.LEFT, 3.0), **more),
    )
    group = GroupSpec("all", ("badge-back", "strip-back", "dot-back"), 0.5, 3.0)
    for groups in ((), (group,)):
        bats = _bats(_scheme(*placements, groups=groups))
        for size in ("short-handle", "harrow", "size-5"):
            right, left = bats[size, "right"], bats[size, "left"]
            for key, placement in _by_key(right).items():
                x0, y0, x1, y1 = placement.box
                assert _by_key(left)[key].box == pytest.approx((-x1, y0, -x0, y1), abs=1e-6)


def test_what_is_aligned_to_nothing_on_the_item_is_a_fault() -> None:
    scheme = _scheme(_put("dot", 0.0, Alignment("nothing", Side.BELOW, 3.5)))
    with pytest.raises(SeasonError, match="no placement 'nothing'"):
        lay_out(scheme, _oval)


def test_an_invented_competitions_areas_are_solved_over_a_whole_item(
    demo_season: FilePath, invented_cup: FilePath
) -> None:
    text = invented_cup.read_text("utf-8")
    per_item = text.replace('area = "8 sq in"\nper = "surface"', 'area = "3 sq in"\nper = "item"')
    assert per_item != text
    folder = demo_season.parent
    (folder / "invented-cup.toml").write_text(per_item, "utf-8")
    season = demo_season.read_text("utf-8").replace('"workshop"]', '"invented-cup.toml"]', 1)
    demo_season.write_text(season, "utf-8")
    layouts = [one for one in lay_out(load_season(demo_season)) if one.item.size == "harrow"]
    for layout in layouts:
        back = [f for f in layout.findings if f.rule == "invented-cup/bat-back-area"]
        assert [f.measured for f in back] == pytest.approx([3 * 25.4**2], rel=1e-6)
        shrunk = {p.key: p.scale for p in layout.placements if p.surface == "back"}
        assert shrunk["heron-back"] == pytest.approx(shrunk["shoulder-mark-back"], rel=1e-6)
        assert shrunk["toe-knot-back"] == pytest.approx(0.9682205, rel=1e-6)


def test_an_area_too_small_for_the_smallest_sizes_says_what_would_hold(
    demo_season: FilePath, invented_cup: FilePath
) -> None:
    text = invented_cup.read_text("utf-8").replace('"8 sq in"', '"1 sq in"')
    (demo_season.parent / "invented-cup.toml").write_text(text, "utf-8")
    season = demo_season.read_text("utf-8").replace('"workshop"]', '"invented-cup.toml"]', 1)
    demo_season.write_text(season, "utf-8")
    layouts = [one for one in lay_out(load_season(demo_season)) if one.item.size == "harrow"]
    mends = [f for f in layouts[0].findings if f.rule == "placement/area"]
    assert len(mends) == 2  # face and back
    for mend in mends:
        assert "cover" in mend.text and "(invented-cup)" in mend.text
        assert 0.0 < mend.measured < 100.0
