"""A season in every size there is, for both hands, in numbers that nobody would choose."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from folders import copy_demo
from labels import words_of

from livery.drawing import Use
from livery.kit import build_bat
from livery.kit.section import profile_of
from livery.limits import RuleBook
from livery.placement import Layout, books_in_force, lay_out
from livery.scheme import bat_sizes, load_season, size_keys
from livery.scheme.model import BatModel, Hand, ItemKind, Scheme
from livery.views import grading_chart, plan_chart, surface_plan

BATS, GLOVES, PADS = (size_keys(kind) for kind in (ItemKind.BAT, ItemKind.GLOVE, ItemKind.PAD))

ODD_DIMS = """
[bats.dims.size-1]
width = "3.437 in"
spine_offset = "-4.321 mm"
hollow = -0.731
[bats.dims.size-4]
grip_below_entry = 0
shoulder_power = 1.0
taper = 0
toe_radius = 0
[bats.dims.size-6]
grip_below_entry = "2.73 in"
swell = 7.77
entry_share = 0.13
[bats.dims.long-handle]
spine_height = "66.97 mm"
edge_thickness = "39.61 mm"
spine_offset = "11.3 mm"
bow = "17.7 mm"
hollow = 1.0
[bats.dims.long-blade]
width = "4.31 in"                   # wider than the Laws allow
spine_height = "2.7 in"             # and deeper
[bats.outlines]
harrow = "harrow.svg"
"""


def _sizes(keys: tuple[str, ...]) -> str:
    return "sizes = [" + ", ".join(f'"{key}"' for key in keys) + "]"


def _odd(text: str) -> str:
    changes = {
        'sizes = ["short-handle", "harrow", "size-5"]': _sizes(BATS),
        "[bats.dims.short-handle]": ODD_DIMS + "\n[bats.dims.short-handle]",
        'spine_height = "62 mm"': 'spine_height = "61.803 mm"\nspine_offset = "2.718 mm"',
        'width = "58 mm"': 'width = "2.2713 in"',
        'width = "70 mm"': 'width = "69.3147 mm"',
        'y = "115 mm"': 'y = "117.77 mm"\nx = "-3.33 mm"\nrotation = 7.31',
        'y = "175 mm"': 'y = "6.913 in"\nrotation = -0.07',
    }
    for old, new in changes.items():
        assert old in text, old
        text = text.replace(old, new, 1)
    return text.replace('sizes = ["men", "youth"]', _sizes(GLOVES))


@pytest.fixture(scope="module")
def scheme(tmp_path_factory: pytest.TempPathFactory) -> Scheme:
    """The demo season with every size, odd numbers, and a drawn harrow."""
    season = copy_demo(tmp_path_factory.mktemp("whole-range"))
    season.write_text(_odd(season.read_text("utf-8")), "utf-8")
    (season.parent / "harrow.svg").write_text(_outline(), "utf-8")
    return load_season(season)


def _outline() -> str:
    """The harrow's face as a designer might export it: inches, a group, a transform."""
    profile = profile_of(bat_sizes()["harrow"])
    right = np.column_stack([profile.right_mm, profile.axis_mm])
    ring = np.concatenate([right, (right * (-1.0, 1.0))[::-1]]) / 25.4
    points = " ".join(f"{x:.6f},{y:.6f}" for x, y in ring)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="6in" height="24in" viewBox="0 0 6 24">'
        f'<g transform="translate(3 1)"><polygon points="{points}"/></g></svg>'
    )


@pytest.fixture(scope="module")
def books(scheme: Scheme) -> tuple[RuleBook, ...]:
    return books_in_force(scheme)


@pytest.fixture(scope="module")
def layouts(scheme: Scheme, books: tuple[RuleBook, ...]) -> tuple[Layout, ...]:
    return tuple(layout for layout in lay_out(scheme, books=books) if not layout.order)


def test_every_size_is_laid_out_for_both_hands(layouts: tuple[Layout, ...]) -> None:
    made = Counter((x.item.kind, x.item.size, x.item.hand, x.item.side) for x in layouts)
    wanted = [(ItemKind.BAT, size, hand, "") for size in BATS for hand in Hand]
    for kind, sizes in ((ItemKind.GLOVE, GLOVES), (ItemKind.PAD, PADS)):
        wanted += [
            (kind, s, hand, side) for s in sizes for hand in Hand for side in ("left", "right")
        ]
    assert made == Counter(wanted)
    assert (len(BATS), len(GLOVES), len(PADS)) == (11, 5, 5)


def test_every_blade_is_held_against_the_laws_in_both_units(layouts: tuple[Layout, ...]) -> None:
    for layout in layouts:
        if layout.item.kind is ItemKind.BAT:
            shape = {f.rule: f for f in layout.findings if f.rule.startswith("laws/")}
            for rule in ("laws/overall-length", "laws/width", "laws/depth", "laws/edge"):
                assert " mm (" in shape[rule].text
                assert " in)" in shape[rule].text
            beyond = layout.item.size == "long-blade"
            assert shape["laws/width"].ok is not beyond
            assert shape["laws/depth"].ok is not beyond


def test_the_drawn_blade_is_as_its_outline(layouts: tuple[Layout, ...]) -> None:
    harrow = next(layout.item for layout in layouts if layout.item.size == "harrow")
    assert harrow.dims is not None
    assert "drawn outline" in harrow.dims.source
    listed = BatModel("listed", "Listed", ("harrow",), (bat_sizes()["harrow"],))
    meant = build_bat(listed, "harrow").surface("face").outline
    assert harrow.surface("face").outline.symmetric_difference(meant).area < 0.1


def test_every_decal_lies_on_its_surface(layouts: tuple[Layout, ...]) -> None:
    for layout in layouts:
        for placement in layout.placements:
            area = placement.decal.outline.transformed(placement.affine).polygon()
            surface = layout.item.surface(placement.surface).outline
            assert surface.buffer(1e-6).covers(area), (layout.item.size, placement.key)


def test_lettering_reads_forwards_on_every_item(layouts: tuple[Layout, ...]) -> None:
    lettered = [p for layout in layouts for p in layout.placements if p.decal.texts]
    assert len(lettered) == 2 * len(BATS)
    assert all(placement.affine.determinant > 0.0 for placement in lettered)
    assert not any(placement.mirrored for placement in lettered)


def test_every_size_has_a_plan_and_a_place_on_the_chart(
    scheme: Scheme, layouts: tuple[Layout, ...], books: tuple[RuleBook, ...]
) -> None:
    for layout in layouts:
        page = surface_plan(scheme, layout, books).pages[0]
        uses = [e for e in page.layers[0].elements if isinstance(e, Use)]
        assert len(uses) >= len(layout.placements)
    chart = grading_chart(scheme, plan_chart(layouts), books)
    words = words_of(chart.pages[0])
    for size in (*BATS, *GLOVES, *PADS):
        assert size.replace("-", " ") in words
