"""The packaged size tables."""

from dataclasses import replace
from itertools import pairwise

import pytest

from livery.scheme import bat_sizes, check_dims, panel_keys, resolve_dims, size_keys, soft_sizes
from livery.scheme.model import SURFACES, ItemKind
from livery.units import MM_PER_INCH

RETAIL = {  # overall length in inches, width in inches: common retail values, from memory
    "size-1": (25.25, 3.5),
    "size-2": (27.75, 3.5),
    "size-3": (28.75, 3.875),
    "size-4": (29.75, 3.875),
    "size-5": (30.75, 4.0),
    "size-6": (31.75, 4.0),
    "harrow": (32.75, 4.125),
    "small-adult": (33.25, 4.25),
    "short-handle": (33.5, 4.25),
    "long-blade": (34.375, 4.25),
    "long-handle": (34.375, 4.25),
}


def test_every_size_of_the_trade_is_known_smallest_first() -> None:
    assert list(bat_sizes()) == list(RETAIL)
    lengths = [dims.overall_length for dims in bat_sizes().values()]
    assert lengths == sorted(lengths)


@pytest.mark.parametrize("size", RETAIL)
def test_lengths_and_widths_agree_in_both_units(size: str) -> None:
    length, width = RETAIL[size]
    dims = bat_sizes()[size]
    assert dims.overall_length == pytest.approx(length * MM_PER_INCH, abs=0.5)  # whole mm
    assert dims.width == pytest.approx(width * MM_PER_INCH, abs=0.001)


@pytest.mark.parametrize("size", RETAIL)
def test_every_size_is_coherent_and_inside_the_laws(size: str) -> None:
    dims = bat_sizes()[size]
    assert check_dims(dims) == []
    assert dims.overall_length <= 38.0 * MM_PER_INCH
    assert dims.spine_height <= 67.0
    assert dims.edge_thickness <= 1.56 * MM_PER_INCH
    assert dims.exposed_handle <= 0.52 * dims.overall_length
    assert "size-retail: overall_length, width" in dims.source


def test_overrides_outrank_the_table_and_say_so() -> None:
    dims = resolve_dims("harrow", {"spine_height": 60.0}, "season.toml")
    assert dims.spine_height == 60.0
    assert dims.source.startswith("season.toml: spine_height; ")


@pytest.mark.parametrize(
    ("change", "names"),
    [
        ({"shoulder_length": 400.0}, {"shoulder_length", "spine_from_toe"}),
        ({"handle_width": 120.0}, {"handle_width"}),
        ({"toe_radius": 60.0}, {"toe_radius"}),
        ({"spine_height": 10.0}, {"edge_thickness", "toe_thickness"}),
        ({"exposed_handle": 300.0}, {"overall_length"}),
        ({"exposed_handle": 292.9}, set()),
        ({"bow": 100.0}, {"bow"}),
        ({"taper": 60.0}, {"taper", "toe_radius"}),
    ],
)
def test_impossible_blades_are_named(change: dict[str, float], names: set[str]) -> None:
    dims = replace(bat_sizes()["short-handle"], **change)
    assert {name for name, _, _ in check_dims(dims)} == names


def test_soft_kit_grows_with_its_size() -> None:
    for kind in (ItemKind.GLOVE, ItemKind.PAD):
        sizes = list(soft_sizes(kind).values())
        assert size_keys(kind) == ("small-boys", "boys", "youth", "men", "large")
        for smaller, larger in pairwise(sizes):
            assert smaller.low_mm <= smaller.high_mm <= larger.low_mm


def test_every_surface_of_soft_kit_is_a_panel() -> None:
    for kind in (ItemKind.GLOVE, ItemKind.PAD):
        assert set(SURFACES[kind]) < set(panel_keys(kind))
    assert panel_keys(ItemKind.BAT) == ()
