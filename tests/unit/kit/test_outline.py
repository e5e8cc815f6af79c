"""A drawn outline instead of the parametric one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import box

from livery.errors import InputError
from livery.geometry import Path
from livery.kit import build_bat, build_surfaces, find_outline_faults
from livery.kit.section import profile_of


@pytest.fixture
def drawn(short_handle) -> Path:
    """The parametric outline, drawn as a path in the face's frame."""
    profile = profile_of(short_handle)
    y = profile.axis_mm - short_handle.grip_below_entry
    right = np.column_stack([profile.right_mm, y])
    left = np.column_stack([profile.left_mm, y])
    return Path.polyline(np.concatenate([right, left[::-1]]))


def test_the_parametric_outline_drawn_by_hand_gives_the_same_surfaces(short_handle, drawn):
    for one, other in zip(
        build_surfaces(short_handle), build_surfaces(short_handle, drawn), strict=True
    ):
        assert one.area_mm2 == pytest.approx(other.area_mm2, rel=1e-3), one.key
        assert one.outline.symmetric_difference(other.outline).area < 1e-3 * one.area_mm2


@pytest.mark.parametrize("turn", [0, 7, 100, 300, 500])
def test_it_may_start_anywhere_and_run_either_way(short_handle, drawn, turn):
    points = np.roll(drawn.points, turn, axis=0)
    for order in (points, points[::-1]):
        face = build_surfaces(short_handle, Path.polyline(order))[0]
        assert face.area_mm2 == pytest.approx(build_surfaces(short_handle)[0].area_mm2, rel=1e-4)


def test_curves_are_accepted(short_handle):
    dims = replace(short_handle, taper=0.0, toe_radius=0.0)
    points = [(18, -40), (40, -40), (53.5, 0), (53.5, 25), (53.5, 519), (-53.5, 519)]
    points += [(-53.5, 25), (-53.5, 0), (-40, -40), (-18, -40)]
    face = build_surfaces(dims, Path("MCLLLCZ", np.array(points, dtype=float)))[0]
    exact = Path("MCLLLCZ", np.array(points, dtype=float)).polygon(1e-4)
    assert face.area_mm2 == pytest.approx(exact.intersection(box(-99, 0, 99, 999)).area, rel=1e-4)


def test_a_pointed_toe_is_an_outline_too(short_handle):
    dims = replace(short_handle, grip_below_entry=0.0)
    right = [(18, 0), (53.5, 65), (53.5, 500)]
    kite = Path.polyline([*right, (0, 559), *[(-x, y) for x, y in right[::-1]]])
    surfaces = build_surfaces(dims, kite)
    assert surfaces[0].outline.is_valid
    assert surfaces[0].area_mm2 == pytest.approx(kite.polygon().area, rel=1e-3)
    assert "toe" not in {surface.key for surface in surfaces}


@pytest.mark.parametrize(
    ("points", "found"),
    [
        ([(0, 0), (50, 400), (50, 0), (0, 400)], "crosses or touches itself"),
        (
            [(-53.5, -40), (53.5, -40), (53.5, 519), (30, 519), (30, 400), (-53.5, 519)],
            "turns back on itself at y = 400.0, 519.0 mm",
        ),
        ([(-50, -40), (50, -40), (50, 519), (-50, 519)], "width is 100.00 mm"),
        ([(-53.5, -40), (53.5, -40), (53.5, 480), (-53.5, 480)], "blade_length is 520.00 mm"),
        ([(-53.5, 0), (53.5, 0), (53.5, 559), (-53.5, 559)], "grip_below_entry is 0.00 mm"),
        ([(-50.5, -40), (56.5, -40), (56.5, 519), (-50.5, 519)], "halves differ by 6.00 mm"),
        ([(-18, -40), (18, -40)], "not one closed subpath"),
    ],
)
def test_a_faulty_outline_is_told_what_is_wrong(short_handle, points, found):
    with pytest.raises(InputError, match=found):
        build_surfaces(short_handle, Path.polyline(points))


def test_an_open_outline_is_refused(short_handle, drawn):
    faults = find_outline_faults(short_handle, Path.polyline(drawn.points, closed=False))
    assert "not one closed subpath" in faults[0].found


def test_a_bat_may_be_built_on_a_drawn_outline(model, drawn):
    item = build_bat(model, "short-handle", outline=drawn)
    assert item.surface("face").outline.is_valid
