"""Pictures side by side."""

from __future__ import annotations

import shapely

from livery.kit import (
    BatView,
    arrange_items,
    arrange_surfaces,
    build_bat,
    build_pads,
    item_bounds,
)
from livery.scheme.model import Hand, ItemKind, SoftKit


def boxes(bounds, places):
    return [
        shapely.affinity.affine_transform(shapely.box(*box), place.for_shapely)
        for box, place in zip(bounds, places, strict=True)
    ]


def assert_apart_on_page(shown, row):
    page = shapely.box(0, 0, row.width_mm, row.height_mm)
    assert all(page.contains(box) for box in shown)
    assert all(a.distance(b) > 7.9 for i, a in enumerate(shown) for b in shown[:i])


def test_surfaces_hang_from_one_line(model):
    pad = build_pads(SoftKit("p", "P", ItemKind.PAD, ("men",), ()), "men", Hand.RIGHT)[0]
    for item in (build_bat(model, "short-handle"), pad):
        row = arrange_surfaces(item, 0.5)
        shown = boxes([surface.outline.bounds for surface in item.surfaces], row.places)
        assert_apart_on_page(shown, row)
        assert len({round(box.bounds[3], 6) for box in shown}) == 1


def test_items_stand_level_at_their_origin(model):
    pads = build_pads(SoftKit("p", "P", ItemKind.PAD, ("men",), ()), "men", Hand.RIGHT)
    items = (build_bat(model, "short-handle"), *pads)
    row = arrange_items(items, 0.2, BatView.BACK)
    assert_apart_on_page(boxes([item_bounds(i, BatView.BACK) for i in items], row.places), row)
    assert len({place.f for place in row.places}) == 1


def test_nothing_needs_no_width():
    assert arrange_items((), 1.0).width_mm == 0.0
