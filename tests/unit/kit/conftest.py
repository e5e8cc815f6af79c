"""Blades for the kit's tests."""

from __future__ import annotations

import dataclasses

import pytest

from livery.scheme.model import BatModel, BladeDims

SHORT_HANDLE = BladeDims(
    overall_length=851.0,
    blade_length=559.0,
    exposed_handle=292.0,
    grip_below_entry=40.0,
    shoulder_length=65.0,
    width=107.0,
    edge_thickness=38.0,
    spine_height=62.0,
    handle_width=36.0,
    spine_from_toe=210.0,
    toe_radius=18.0,
    toe_thickness=22.0,
    taper=3.0,
    source="from-memory",
)


@pytest.fixture
def short_handle() -> BladeDims:
    """A full-size blade."""
    return SHORT_HANDLE


@pytest.fixture
def slab() -> BladeDims:
    """A rectangular block with next to no shoulders: 500 long, 100 wide, 20 deep."""
    return dataclasses.replace(
        SHORT_HANDLE,
        overall_length=792.0,
        blade_length=500.0,
        grip_below_entry=0.0,
        shoulder_length=1e-6,
        width=100.0,
        handle_width=100.0,
        edge_thickness=20.0,
        spine_height=20.0,
        toe_thickness=20.0,
        toe_radius=0.0,
        taper=0.0,
        entry_share=1.0,
    )


@pytest.fixture
def model(short_handle: BladeDims) -> BatModel:
    """A model of bat in one size."""
    return BatModel("sedge", "Sedge", ("short-handle",), (short_handle,))
