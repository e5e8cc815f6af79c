"""A spine that stands off the middle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from livery.errors import InputError
from livery.kit import build_surfaces, find_dims_faults
from livery.kit.development import develop_back, spine_line
from livery.kit.section import profile_of, section_points


def test_the_wedge_between_edge_and_spine_is_as_pythagoras_has_it(slab):
    # Straight flanks from an edge of 20 to a ridge of 44 that stands 10 right of the middle.
    dims = replace(slab, spine_height=44.0, toe_thickness=44.0, hollow=0.0, spine_offset=10.0)
    profile = replace(profile_of(dims), edge_mm=np.full(len(profile_of(dims).axis_mm), 20.0))
    strip = develop_back(profile)
    right_flank, left_flank = np.hypot(40.0, 24.0), np.hypot(60.0, 24.0)
    assert strip.right_mm - strip.left_mm == pytest.approx(left_flank + right_flank)
    assert strip.area_mm2 == pytest.approx(500.0 * (left_flank + right_flank), rel=1e-6)
    # From behind it stands left of the middle, by the way along the flank.
    assert spine_line(profile) == pytest.approx(-left_flank * 10.0 / 60.0)
    assert strip.left_mm == pytest.approx(-left_flank / 6.0 - right_flank)


def test_the_deepest_point_lies_at_the_offset_and_narrows_with_the_blade(short_handle):
    dims = replace(short_handle, spine_offset=-7.5)
    profile = profile_of(dims)
    points = section_points(profile)[:-1]  # at the toe's end the back is flat
    deepest = points[np.arange(len(points)), points[..., 2].argmax(axis=1), 0]
    half = (profile.right_mm - profile.left_mm)[:-1] / 2
    assert deepest == pytest.approx(-7.5 * half / 53.5, abs=1e-9)


def test_offsets_to_either_side_mirror_the_back_and_leave_the_rest(short_handle):
    left = build_surfaces(replace(short_handle, spine_offset=-6.0))
    right = build_surfaces(replace(short_handle, spine_offset=6.0))
    middle = build_surfaces(short_handle)
    assert left[0].area_mm2 == right[0].area_mm2 == middle[0].area_mm2
    x0, _, x1, _ = left[1].outline.bounds
    assert right[1].outline.bounds[::2] == pytest.approx((-x1, -x0))
    assert left[1].area_mm2 == pytest.approx(right[1].area_mm2, rel=1e-9)
    # The shorter of two uneven flanks climbs more steeply: together they are longer.
    assert left[1].area_mm2 > middle[1].area_mm2
    assert left[1].zone("spine").area.centroid.x > 4.0  # to the right as seen from behind


def test_a_spine_beyond_a_quarter_of_the_width_is_no_blade(short_handle):
    assert find_dims_faults(replace(short_handle, spine_offset=26.75)) == ()
    (fault,) = find_dims_faults(replace(short_handle, spine_offset=-26.76))
    assert fault.place == "spine_offset"
    with pytest.raises(InputError):
        build_surfaces(replace(short_handle, spine_offset=40.0))
