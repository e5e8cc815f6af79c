"""What holds of every blade, glove and pad."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.affinity import scale
from strategies import blade_dims

from livery.geometry import Path
from livery.kit import build_gloves, build_pads, build_surfaces, find_dims_faults
from livery.kit.section import profile_of
from livery.scheme import soft_sizes
from livery.scheme.model import BladeDims, Hand, ItemKind, SoftKit


@given(blade_dims())
def test_every_surface_of_a_coherent_blade_is_one_simple_polygon(dims: BladeDims) -> None:
    assert find_dims_faults(dims) == ()
    for surface in build_surfaces(dims):
        assert surface.outline.is_valid
        assert surface.outline.geom_type == "Polygon"
        assert surface.area_mm2 > 0
        for zone in surface.zones:
            assert zone.area.is_valid
            assert zone.area.difference(surface.outline.buffer(1e-6)).area < 1e-6


@given(blade_dims())
def test_face_and_back_are_symmetric(dims: BladeDims) -> None:
    for surface in build_surfaces(dims)[:2]:
        flipped = scale(surface.outline, -1.0, 1.0, origin=(0, 0))
        assert flipped.symmetric_difference(surface.outline).area < 1e-6 * surface.area_mm2


@given(blade_dims())
def test_the_two_edges_mirror_each_other(dims: BladeDims) -> None:
    left, right = build_surfaces(dims)[2:4]
    flipped = scale(left.outline, -1.0, 1.0, origin=(0, 0))
    assert flipped.symmetric_difference(right.outline).area < 1e-6 * left.area_mm2
    assert left.area_mm2 == pytest.approx(right.area_mm2)


@given(blade_dims())
def test_the_back_is_no_smaller_than_the_face_in_front_of_it(dims: BladeDims) -> None:
    face, back = build_surfaces(replace(dims, bow=0.0))[:2]
    assert back.outline.bounds[2] >= face.outline.bounds[2] - 1e-9
    assert back.datum("toe").y_mm >= face.datum("toe").y_mm - 1e-9
    assert back.area_mm2 >= face.area_mm2 * (1 - 1e-9)


@given(blade_dims())
def test_the_datums_are_in_order(dims: BladeDims) -> None:
    for surface in build_surfaces(dims)[:4]:
        grip, shoulder, middle, toe = (datum.y_mm for datum in surface.datums)
        assert grip == 0.0
        assert grip < middle < toe
        assert shoulder < toe
        assert (shoulder > 0) == (dims.shoulder_length > dims.grip_below_entry)
        assert surface.outline.bounds[3] == pytest.approx(toe)


@given(blade_dims(), st.floats(0.5, 10.0))
def test_a_wider_blade_has_more_face_and_more_back(dims: BladeDims, more: float) -> None:
    face, back = build_surfaces(dims)[:2]
    wider, broader = build_surfaces(replace(dims, width=dims.width + more))[:2]
    assert wider.area_mm2 > face.area_mm2
    assert broader.area_mm2 > back.area_mm2


@given(blade_dims(), st.floats(0.5, 10.0))
def test_a_thicker_edge_has_more_area(dims: BladeDims, more: float) -> None:
    assume(dims.edge_thickness + more <= dims.spine_height)
    thicker = replace(dims, edge_thickness=dims.edge_thickness + more)
    assert build_surfaces(thicker)[2].area_mm2 > build_surfaces(dims)[2].area_mm2


@given(blade_dims(), st.integers(0, 1000), st.booleans())
def test_a_drawn_outline_gives_back_the_blade_it_was_drawn_from(
    dims: BladeDims, start: int, reverse: bool
) -> None:
    profile = profile_of(dims)
    y = profile.axis_mm - dims.grip_below_entry
    right = np.column_stack([profile.right_mm, y])
    ring = np.concatenate([right, (right * (-1, 1))[::-1]])
    ring = np.roll(ring[np.concatenate([[True], np.any(np.diff(ring, axis=0), axis=1)])], start, 0)
    drawn = build_surfaces(dims, Path.polyline(ring[::-1] if reverse else ring))
    for one, other in zip(build_surfaces(dims)[:2], drawn[:2], strict=True):
        assert other.outline.is_valid
        assert other.area_mm2 == pytest.approx(one.area_mm2, rel=2e-3)


@pytest.mark.parametrize("size", ["small-boys", "boys", "youth", "large"])
@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize(("kind", "build"), [("glove", build_gloves), ("pad", build_pads)])
def test_gloves_and_pads_keep_their_cut_in_every_size(kind, build, hand, size) -> None:
    soft = SoftKit("soft", "Soft", ItemKind(kind), (size, "men"), ())
    table = soft_sizes(soft.kind)
    ratio = (table[size].low_mm + table[size].high_mm) / (
        table["men"].low_mm + table["men"].high_mm
    )
    for item, usual in zip(build(soft, size, hand), build(soft, "men", hand), strict=True):
        assert [panel.name for panel in item.panels] == [panel.name for panel in usual.panels]
        for one, other in zip(item.surfaces, usual.surfaces, strict=True):
            grown = scale(other.outline, ratio, ratio, origin=(0, 0))
            assert one.outline.is_valid
            assert grown.symmetric_difference(one.outline).area < 1e-3 * one.area_mm2
