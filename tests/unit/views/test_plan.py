"""Plans of surfaces."""

from dataclasses import replace

import numpy as np
import pytest
from labels import find_meeting, ink_boxes, labels_of, words_of
from shapely.geometry import box

from livery.drawing import Drawing, Label, Shape, Use
from livery.geometry import Affine
from livery.kit.model import Datum, Surface, Zone
from livery.limits import Check, Rule, RuleBook, Severity
from livery.placement import Layout
from livery.scheme.model import Scheme
from livery.views import surface_plan
from livery.views.facts import nearest_limit
from livery.views.limit_marks import mark_limits

Books = tuple[RuleBook, ...]


def _words(drawing: Drawing) -> list[str]:
    return words_of(drawing.pages[0])


@pytest.fixture
def bat(layouts: tuple[Layout, ...]) -> Layout:
    return next(layout for layout in layouts if layout.item.size == "harrow")


def test_a_plan_shows_every_surface_by_name_with_its_true_width(
    scheme: Scheme, bat: Layout, books: Books
) -> None:
    words = _words(surface_plan(scheme, bat, books))
    for surface in bat.item.surfaces:
        x0, _, x1, _ = surface.outline.bounds
        if surface.key == "toe":
            assert any(word.startswith(f"Toe, {x1 - x0:.1f}") for word in words)
        else:
            assert surface.name in words
            assert f"{x1 - x0:.2f} mm" in words


def test_every_decal_is_drawn_numbered_and_told_in_mm(
    scheme: Scheme, bat: Layout, books: Books
) -> None:
    drawing = surface_plan(scheme, bat, books)
    uses = [e for e in drawing.pages[0].layers[0].elements if isinstance(e, Use)]
    assert sorted(use.attributes["placement"] for use in uses) == sorted(
        placement.key for placement in bat.placements
    )
    words = _words(drawing)
    for placement in bat.placements:
        x0, y0, x1, y1 = placement.box
        assert f"{x1 - x0:.1f} × {y1 - y0:.1f}" in words
        assert f"{y0:.1f}" in words
        assert f"{y1:.1f}" in words


def test_decals_are_drawn_at_the_scale_stated(scheme: Scheme, bat: Layout, books: Books) -> None:
    drawing = surface_plan(scheme, bat, books)
    (stated,) = [word for word in _words(drawing) if word.startswith("Scale")]
    reduction = float(stated.rpartition(":")[2])
    by_key = {placement.key: placement for placement in bat.placements}
    for use in drawing.pages[0].layers[0].elements:
        if isinstance(use, Use):
            true = by_key[use.attributes["placement"]].affine.determinant
            assert abs(use.affine.determinant / true) == pytest.approx(reduction**-2)


def test_all_lies_on_the_page_and_no_words_meet(
    scheme: Scheme, layouts: tuple[Layout, ...], books: Books
) -> None:
    for number, layout in enumerate(layouts[:18]):
        page = surface_plan(scheme, layout, books).pages[0]
        words = [] if number % 6 else ink_boxes(page)  # outlining words takes as long as a plan
        shapes = [e for e in page.layers[0].elements if isinstance(e, Shape) and e.path.verbs]
        for x0, y0, x1, y1 in [one[:4] for one in words] + [e.path.bounds() for e in shapes]:
            assert 0.0 <= x0 <= x1 <= page.width_mm
            assert 0.0 <= y0 <= y1 <= page.height_mm
        assert find_meeting(words) == []


def test_the_nine_inch_line_is_drawn_where_it_lies(
    scheme: Scheme, bat: Layout, books: Books
) -> None:
    drawing = surface_plan(scheme, bat, books)
    shapes = {e.name: e for e in drawing.pages[0].layers[0].elements if isinstance(e, Shape)}
    line = shapes["end by 228.6 mm (9.00 in), laws"].path.points
    face = shapes["face"].path.bounds()
    stated = next(word for word in _words(drawing) if word.startswith("Scale"))
    reduction = float(stated.rpartition(":")[2])
    assert line[:, 1] == pytest.approx(face[3] - 228.6 / reduction)
    assert line[0, 0] < face[0]
    assert line[1, 0] > face[2]


def test_a_broken_limit_is_red_and_told(scheme: Scheme, bat: Layout, books: Books) -> None:
    findings = tuple(
        replace(f, ok=False, margin=-3.25)
        if f.rule == "workshop/face-edge" and f.subject.endswith("heron-face")
        else f
        for f in bat.findings
    )
    broken = replace(bat, findings=findings)
    words = _words(surface_plan(scheme, broken, books))
    assert "Limits broken: 1" in words
    assert "BROKEN by 3.2 mm: Decals keep clear of the edge of face and back" in words
    assert "No limit is broken" in _words(surface_plan(scheme, bat, books))
    held = next(p for p in bat.placements if p.key == "reed-band-face")
    assert "to spare" in nearest_limit(broken, held, books)


def test_words_stand_clear_of_a_decal_that_hangs_over_its_surface(
    scheme: Scheme, bat: Layout, books: Books
) -> None:
    over = [
        replace(p, affine=Affine.translation(60.0, 0.0) @ p.affine) if p.surface == "face" else p
        for p in bat.placements
    ]
    page = surface_plan(scheme, replace(bat, placements=tuple(over)), books).pages[0]
    elements = page.layers[0].elements
    cut = {e.name: e.path.bounds() for e in elements if isinstance(e, Shape)}["heron-face cut line"]
    beside = [
        e.x_mm for e in elements if isinstance(e, Label) and e.text.startswith(("1  ", "2  "))
    ]
    assert len(beside) == 2
    assert min(beside) > cut[2]


def test_an_item_without_decals_has_a_plan(scheme: Scheme, bat: Layout, books: Books) -> None:
    bare = replace(bat, placements=(), findings=())
    assert "Face" in _words(surface_plan(scheme, bare, books))


@pytest.fixture
def panel() -> Surface:
    """A panel of 100 × 200 mm with a barred strip of 20 mm at its end."""
    strip = Zone("strip", box(-50.0, 180.0, 50.0, 200.0), False, "kept clear")
    datums = (Datum("grip-bottom", 0.0), Datum("toe", 200.0))
    return Surface("face", "Face", box(-50.0, 0.0, 50.0, 200.0), 20000.0, datums, (strip,))


def _book(check: Check, severity: Severity = Severity.LIMIT, **values: float | str) -> Books:
    rule = Rule("r", "T", check, values, ("face",), (), severity, "S", "", "read")
    return (RuleBook("own", "Own", (rule,)),)


@pytest.mark.parametrize(
    ("check", "values", "lines"),
    [
        (Check.CONFINED_WITHIN, {"datum": "grip-bottom", "within": 70.0}, (70.0,)),
        (Check.BEYOND_AT_LEAST, {"datum": "grip-bottom", "gap": 5.0}, (5.0,)),
        (Check.SHORT_AT_LEAST, {"datum": "toe", "gap": 12.0}, (188.0,)),
        (Check.CLEAR_OF_BAND, {"datum": "toe", "near": 20.0, "far": 90.0}, (110.0, 180.0)),
        (Check.CLEAR_OF_BAND, {"datum": "toe", "near": 20.0, "far": 300.0}, (180.0,)),
        (Check.CONFINED_WITHIN, {"datum": "shoulder", "within": 70.0}, None),
        (Check.SHARE_OF_AREA_AT_MOST, {"share": 0.5}, None),
    ],
)
def test_limits_of_place_have_their_lines(
    panel: Surface,
    check: Check,
    values: dict[str, float | str],
    lines: tuple[float, ...] | None,
) -> None:
    marks = mark_limits(panel, _book(check, **values))
    assert [mark.lines_mm for mark in marks] == ([] if lines is None else [lines])


def test_clearances_are_drawn_to_size(panel: Surface) -> None:
    (inner,) = mark_limits(panel, _book(Check.INSIDE_SURFACE, gap=7.0))
    assert inner.shape is not None
    assert inner.shape.bounds == pytest.approx((-43.0, 7.0, 43.0, 193.0))
    (clear,) = mark_limits(panel, _book(Check.CLEAR_OF_ZONE, gap=4.0))
    assert clear.shape is not None
    assert np.array(clear.shape.bounds)[1] == pytest.approx(176.0)


def test_advice_is_marked_as_such_and_notes_are_not(panel: Surface) -> None:
    values: dict[str, float | str] = {"datum": "toe", "gap": 12.0}
    (advice,) = mark_limits(panel, _book(Check.SHORT_AT_LEAST, Severity.ADVICE, **values))
    assert not advice.binding
    assert mark_limits(panel, _book(Check.SHORT_AT_LEAST, Severity.NOTE, **values)) == ()


def test_each_decal_is_told_its_own_gap_not_the_closest_pairs(bat: Layout) -> None:
    rule = Rule("gap", "T", Check.GAP_AT_LEAST, {"gap": 2.0}, (), (), Severity.LIMIT, "S", "", "r")
    books = (RuleBook("own", "Own", (rule,)),)
    bare = replace(bat, findings=())
    own = {p.key: nearest_limit(bare, p, books) for p in bat.placements if p.surface == "back"}
    margins = [float(words.partition(" ")[0]) for words in own.values()]
    assert all(words.endswith("mm to spare: T") for words in own.values())
    assert len(set(margins)) > 2
    alone = next(p for p in bat.placements if p.surface == "edge-left")
    assert nearest_limit(bare, alone, books) == "none"


def test_many_decals_have_their_table_on_pages_of_its_own(
    scheme: Scheme, bat: Layout, books: Books
) -> None:
    many = [
        replace(placement, key=f"{placement.key}-{number}")
        for number in range(9)
        for placement in bat.placements
    ]
    pairless = tuple(
        replace(book, rules=tuple(rule for rule in book.rules if rule.check != "gap-at-least"))
        for book in books
    )  # decals on one another have thousands of gaps
    drawing = surface_plan(scheme, replace(bat, placements=tuple(many)), pairless)
    assert len(drawing.pages) > 1
    assert all(0.0 < label.y_mm < 297.0 for page in drawing.pages for label in labels_of(page))
    assert sum(words_of(page).count(str(len(many))) for page in drawing.pages[1:]) == 1
