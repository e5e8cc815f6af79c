"""Targets of our own: every form's markers and patches, their drawing, and measured values."""

import dataclasses
import math

import pytest

from livery.capture.target_layout import TargetKind
from livery.capture.target_making import make_target, with_measured
from livery.drawing import LabPaint
from livery.errors import TargetError
from livery.scheme.model import Finish, Ink, Palette

INKS = tuple(
    Ink(key, key.title(), lab, Finish.SATIN, 2.0)
    for key, lab in {"tarn": (38.0, -18.0, -28.0), "ember": (58.0, 48.0, 46.0)}.items()
)
PALETTE = Palette("reedlight", "Reedlight", INKS, "invented")


@pytest.mark.parametrize("kind", TargetKind)
def test_every_form_has_markers_on_all_sides_and_enough_neutrals(kind):
    target, drawing = make_target(kind, PALETTE)
    xs, ys = [m.x_mm for m in target.markers], [m.y_mm for m in target.markers]
    for side in (min(xs), max(xs)):
        assert sum(x == side for x in xs) >= 4
    for side in (min(ys), max(ys)):
        assert sum(y == side for y in ys) >= 2
    neutral = [p for p in target.patches if math.hypot(*p.lab[1:]) < 1e-9]
    assert len(neutral) >= 24
    for level in {p.lab[0] for p in neutral}:
        spots = [(p.x_mm, p.y_mm) for p in neutral if p.lab[0] == level]
        assert max(y for _, y in spots) - min(y for _, y in spots) > target.height_mm / 3
    assert not any(patch.measured for patch in target.patches)
    page = drawing.pages[0]
    assert (page.width_mm, page.height_mm) == (target.width_mm, target.height_mm)


@pytest.mark.parametrize("kind", TargetKind)
def test_nothing_overlaps_and_all_is_on_the_page(kind):
    target, _ = make_target(kind, PALETTE)
    boxes = [(p.x_mm, p.y_mm, p.x_mm + p.w_mm, p.y_mm + p.h_mm) for p in target.patches]
    boxes += [
        (
            m.x_mm - m.size_mm / 2,
            m.y_mm - m.size_mm / 2,
            m.x_mm + m.size_mm / 2,
            m.y_mm + m.size_mm / 2,
        )
        for m in target.markers
    ]
    for i, a in enumerate(boxes):
        assert a[0] >= 0
        assert a[1] >= 0
        assert a[2] <= target.width_mm
        assert a[3] <= target.height_mm
        assert all(a[2] < b[0] or b[2] < a[0] or a[3] < b[1] or b[3] < a[1] for b in boxes[:i])


def test_the_inks_are_on_the_target_with_their_neighbours():
    target, _ = make_target("chart", PALETTE)
    for ink in INKS:
        near = [p for p in target.patches if math.dist(p.lab, ink.lab) < 12.0]
        assert ink.lab in {p.lab for p in target.patches}
        assert len(near) >= 6


def test_forms_share_no_marker_and_keys_follow_content():
    targets = [make_target(kind, PALETTE)[0] for kind in TargetKind]
    ids = [marker.id for target in targets for marker in target.markers]
    assert len(ids) == len(set(ids))
    assert make_target("card", PALETTE)[0] == targets[0]
    assert make_target("card")[0].key != targets[0].key


def test_the_drawing_says_what_it_is():
    target, drawing = make_target("card", PALETTE)
    texts = [
        e.text for layer in drawing.pages[0].layers for e in layer.elements if hasattr(e, "text")
    ]
    assert target.key in texts
    assert any(text.startswith("Nominal until measured") for text in texts)
    assert any("100 mm" in text for text in texts)
    shapes = {e.name: e for e in drawing.pages[0].layers[0].elements}
    patch = target.patches[0]
    assert shapes[patch.name].fill == LabPaint(patch.lab)
    x0, y0, x1, y1 = shapes[patch.name].path.bounds()
    assert (x0, target.height_mm - y1, x1 - x0, y1 - y0) == pytest.approx(
        (patch.x_mm, patch.y_mm, patch.w_mm, patch.h_mm)
    )


def test_an_unknown_kind_is_refused():
    with pytest.raises(TargetError, match="card, rails, chart"):
        make_target("poster")


def test_measured_values_replace_nominal_ones():
    target, _ = make_target("card", PALETTE)
    first = target.patches[0].name
    measured = with_measured(target, {first: (50.0, 1.0, -2.0)})
    assert measured.patches[0].lab == (50.0, 1.0, -2.0)
    assert measured.patches[0].measured
    assert not measured.patches[1].measured
    assert dataclasses.replace(measured, patches=target.patches) == target


def test_wrong_measured_values_are_refused_all_at_once():
    target, _ = make_target("card", PALETTE)
    with pytest.raises(TargetError) as caught:
        with_measured(target, {"ZZ9": (50, 0, 0), target.patches[0].name: (float("nan"), 0, 0)})
    unknown, absurd = caught.value.faults
    assert "has no patch 'ZZ9'" in str(unknown)
    assert "L* of −1 to 110, a* and b* within ±150" in str(absurd)
