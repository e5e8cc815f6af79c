"""The grading chart."""

from dataclasses import replace

import pytest
from labels import find_meeting, ink_boxes, labels_of, words_of

from livery.drawing import Shape, Use
from livery.limits import RuleBook, Severity
from livery.output import render_svg
from livery.placement import Layout
from livery.scheme.model import Hand, Scheme
from livery.views import grading_chart, plan_chart
from livery.views.columns import columns_of

Books = tuple[RuleBook, ...]
Layouts = tuple[Layout, ...]


def test_one_page_names_every_size_of_every_model(
    scheme: Scheme, layouts: Layouts, books: Books
) -> None:
    drawing = grading_chart(scheme, plan_chart(layouts), books)
    (page,) = drawing.pages
    words = words_of(page)
    for model in (*scheme.bats, *scheme.soft_kit):
        assert any(word.startswith(model.name) for word in words)
        for size in model.sizes:
            assert size.replace("-", " ") in words
    assert "Sedge, face" in words
    assert "Sedge, back" in words


def test_decals_of_every_size_are_drawn_at_the_one_scale_stated(
    scheme: Scheme, layouts: Layouts, books: Books
) -> None:
    drawing = grading_chart(scheme, plan_chart(layouts), books)
    stated = next(word for word in words_of(drawing.pages[0]) if word.startswith("Scale"))
    reduction = float(stated.rpartition(":")[2])
    shown = {
        round(abs(placement.affine.determinant) ** 0.5, 6)
        for layout in layouts
        for placement in layout.placements
    }
    uses = [e for e in drawing.pages[0].layers[0].elements if isinstance(e, Use)]
    assert len(uses) > 40
    for use in uses:
        assert round(abs(use.affine.determinant) ** 0.5 * reduction, 6) in shown


def test_hands_that_differ_have_their_own_column_and_others_share_one(layouts: Layouts) -> None:
    bats = [x for x in layouts if not x.order and x.item.key == "sedge"]
    pads = [x for x in layouts if not x.order and x.item.key == "sedge-pads"]
    assert [c.hands for c in columns_of(bats)] == [(Hand.RIGHT,), (Hand.LEFT,)] * 3
    assert [c.hands for c in columns_of(pads)] == [(Hand.RIGHT, Hand.LEFT)] * 2
    bare = [replace(layout, placements=()) for layout in bats]
    assert [c.hand_words for c in columns_of(bare)] == ["both hands"] * 3


def test_the_rule_of_true_lengths_is_true(scheme: Scheme, layouts: Layouts, books: Books) -> None:
    drawing = grading_chart(scheme, plan_chart(layouts), books)
    at = {label.text: label.x_mm for label in labels_of(drawing.pages[0])}
    last = next(word for word in at if word.endswith(" mm") and word[:-3].isdigit())
    reduction = float(next(w for w in at if w.startswith("Scale")).rpartition(":")[2])
    assert at[last] - at["0"] == pytest.approx(float(last[:-3]) / reduction)


def test_broken_limits_are_counted_under_their_bat(
    scheme: Scheme, layouts: Layouts, books: Books
) -> None:
    first = layouts[0]
    limit = next(f for f in first.findings if f.severity is Severity.LIMIT)
    broken = replace(first, findings=(replace(limit, ok=False), replace(limit, ok=False)))
    drawing = grading_chart(scheme, plan_chart((broken, *layouts[1:])), books)
    assert (
        words_of(drawing.pages[0]).count("limits broken: 2") == 2
    )  # under the face and under the back


def test_all_lies_on_the_page_and_no_words_meet(
    scheme: Scheme, layouts: Layouts, books: Books
) -> None:
    page = grading_chart(scheme, plan_chart(layouts), books).pages[0]
    words = ink_boxes(page)
    shapes = [e for e in page.layers[0].elements if isinstance(e, Shape) and e.path.verbs]
    for x0, y0, x1, y1 in [box[:4] for box in words] + [e.path.bounds() for e in shapes]:
        assert 0.0 <= x0 <= x1 <= page.width_mm
        assert 0.0 <= y0 <= y1 <= page.height_mm
    assert find_meeting(words) == []


def test_orders_are_not_charted(scheme: Scheme, layouts: Layouts, books: Books) -> None:
    own = tuple(layout for layout in layouts if layout.order)
    assert own
    drawing = grading_chart(scheme, plan_chart(own), books)
    assert not [e for e in drawing.pages[0].layers[0].elements if isinstance(e, Use)]


def test_a_range_too_large_for_a_page_is_turned_over_and_nothing_lost(
    scheme: Scheme, layouts: Layouts, books: Books
) -> None:
    bats = [layout for layout in layouts if not layout.order and layout.item.key == "sedge"]
    many = tuple(
        replace(layout, item=replace(layout.item, key=f"m{n}", name=f"Model {n}"))
        for n in range(40)
        for layout in bats
    )
    plan = plan_chart(many)
    drawing = grading_chart(scheme, plan, books)
    assert len(drawing.pages) == plan.count > 1
    titles = []
    for page in drawing.pages:
        assert all(0.0 < label.y_mm < page.height_mm for label in labels_of(page))
        assert "Scale 1 : 10" in words_of(page)
        titles += [text for text in words_of(page) if text.startswith("Model")]
    assert titles == [f"Model {n}, {side}" for n in range(40) for side in ("face", "back")]
    for number in (1, plan.count):
        alone = grading_chart(scheme, plan.page(number), books)
        assert len(alone.pages) == 1
        assert render_svg(alone) == render_svg(drawing, number - 1)
