"""Where each ink of a layout is seen, named and safe from its edges."""

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

from livery.artwork.model import Decal, InkRegion
from livery.capture.layout_regions import layout_regions, seen_parts
from livery.geometry import Affine, Path
from livery.kit import build_bat
from livery.placement import Layout, Placement
from livery.scheme.model import BatModel
from livery.scheme.sizes import bat_sizes


def _decal(key, *regions):
    return Decal(
        key, key, regions, Path.rectangle(-20, -15, 20, 15), 40, 30, 0.1, "decoration", True
    )


@pytest.fixture(scope="module")
def bat():
    dims = bat_sizes()["short-handle"]
    return build_bat(BatModel("wren", "Wren", ("short-handle",), (dims,)), "short-handle")


@pytest.fixture(scope="module")
def layout(bat):
    ring = InkRegion("tarn", Path.rectangle(-18, -13, 18, 13))
    inner = InkRegion("ember", Path.rectangle(-6, -4, 6, 4))
    hair = InkRegion("pitch", Path.rectangle(-17, 10, 17, 10.8))
    low = Placement("low", _decal("a", ring, inner, hair), "face", Affine(e=0, f=90), 1.0)
    lid = Placement("lid", _decal("b", inner), "face", Affine(e=22, f=90), 1.0)
    return Layout(bat, (low, lid), ())


def test_each_ink_of_each_decal_has_a_region_by_name(layout):
    regions = layout_regions(layout, "face", Affine.translation(90, 30), erosion_mm=0.8)
    assert [r.name for r in regions] == ["low tarn", "low ember", "lid ember"]
    assert {r.item for r in regions} == {layout.item.key}
    assert {r.material for r in regions} == {"film"}


def test_a_region_keeps_off_edges_other_inks_and_what_lies_on_top(layout):
    tarn = layout_regions(layout, "face", Affine.translation(90, 30), erosion_mm=1.0)[0]
    polygon = Polygon(tarn.polygon_mm)
    assert polygon.is_valid and not polygon.interiors
    base = box(90 - 18, 120 - 13, 90 + 18, 120 + 13)
    assert polygon.within(base.buffer(-0.99))
    assert polygon.distance(box(84, 116, 96, 124)) > 0.99
    assert polygon.distance(box(92, 105, 132, 135)) > 0.99  # the film of the decal on top


def test_seen_parts_are_what_later_areas_leave():
    parts = seen_parts([box(0, 0, 4, 4), box(2, 0, 6, 4), box(3, 3, 9, 9)])
    assert [part.area for part in parts] == pytest.approx([8.0, 13.0, 36.0])
    assert shapely.unary_union(parts).area == pytest.approx(sum(p.area for p in parts))


def test_another_surface_has_no_regions_and_a_wrong_one_is_refused(layout):
    assert layout_regions(layout, "back", Affine(), erosion_mm=0.8) == ()
    with pytest.raises(KeyError):
        layout_regions(layout, "underside", Affine(), erosion_mm=0.8)


def test_regions_turn_with_the_frame(layout):
    still = layout_regions(layout, "face", Affine(), erosion_mm=0.8)
    turned = layout_regions(layout, "face", Affine.rotation(90), erosion_mm=0.8)
    for a, b in zip(still, turned, strict=True):
        assert np.allclose(Affine.rotation(90).apply(a.polygon_mm), b.polygon_mm)


def test_ink_beyond_the_cut_is_not_looked_for(bat):
    bled = InkRegion("tarn", Path.rectangle(-60, -15, 20, 15))  # all but 40 mm is cut away
    placed = Placement("p", _decal("a", bled), "face", Affine(e=0, f=90), 1.0)
    frame = Affine.translation(90, 30)
    (region,) = layout_regions(Layout(bat, (placed,), ()), "face", frame, erosion_mm=0.8)
    assert Polygon(region.polygon_mm).within(box(90 - 20, 120 - 15, 90 + 20, 120 + 15))
