import math

import numpy as np
import pytest

from livery.artwork import read_artwork
from livery.artwork.model import Lettering
from livery.errors import ArtworkError
from livery.geometry import FillRule


def area(item):
    return item.path.polygon(0.002).area


@pytest.mark.parametrize(
    ("body", "mm2"),
    [
        ('<rect x="1" y="1" width="4" height="3"/>', 48),
        ('<rect x="1" y="1" width="4" height="3" rx="1"/>', 4 * (12 - 4 + math.pi)),
        ('<rect width="4" height="4" rx="9" ry="9"/>', 4 * 4 * math.pi),
        ('<circle cx="5" cy="5" r="2"/>', 16 * math.pi),
        ('<ellipse cx="5" cy="5" rx="3" ry="2"/>', 24 * math.pi),
        ('<polygon points="0,0 4,0 4,4"/>', 32),
        ('<polyline points="0,0 4,0 4,4"/>', 32),
        ('<path d="M0 0H4V4Z"/>', 32),
        ('<path d="M0 0H4V4"/>', 32),
        ('<path d="M0 0H6V6H0Z M2 2H4V4H2Z" fill-rule="evenodd"/>', 4 * 32),
        ('<path d="M0 0H6V6H0Z M2 2H4V4H2Z" style="fill-rule:evenodd"/>', 4 * 32),
        ('<path d="M0 0H6V6H0Z M2 2H4V4H2Z"/>', 4 * 36),
        ('<path d="M0 0H6V6H0Z M2 2V4H4V2Z"/>', 4 * 32),
        ('<line x1="0" y1="1" x2="5" y2="1" stroke="#000" stroke-width="0.5"/>', 10),
        ('<path d="M0 1H5" fill="none" stroke="#000" stroke-width=".5"/>', 10),
        ('<path d="M0 1H5" fill="none" stroke="#000" stroke-linecap="square"/>', 24),
        (
            '<path d="M0 1H5" style="fill:none;stroke:#000;stroke-linecap:round"/>',
            4 * (5 + math.pi / 4),
        ),
        (
            '<circle cx="5" cy="5" r="2" fill="none" stroke="#000" stroke-width="1"/>',
            4 * math.pi * (2.5**2 - 1.5**2),
        ),
        ('<g transform="scale(2)"><rect width="1" height="1"/></g>', 16),
        ('<g transform="translate(1 1) rotate(30)"><rect width="2" height="2"/></g>', 16),
        ('<rect transform="matrix(1 0 .5 1 0 0)" width="2" height="2"/>', 16),
        ('<rect transform="skewX(45)" width="2" height="2"/>', 16),
    ],
)
def test_each_way_of_drawing_covers_its_area(read, body, mm2):
    items = read(f'<g data-ink="tarn">{body}</g>').items
    assert sum(map(area, items)) == pytest.approx(mm2, rel=2e-3)
    assert {item.ink for item in items} == {"tarn"}


def test_curves_stay_curves(read):
    (item,) = read('<path data-ink="tarn" d="M1 1C2 1 3 3 4 4Z"/>').items
    assert item.path.verbs == "MCZ"
    assert item.path.points.tolist() == [[2, 2], [4, 2], [6, 6], [8, 8]]


def test_a_filled_and_stroked_shape_is_two_regions_in_order(read):
    fill, stroke = read(
        '<rect data-ink="tarn" data-stroke-ink="ember" stroke="#f00" stroke-width="0.2"'
        ' x="2" y="2" width="4" height="4"/>'
    ).items
    assert (fill.ink, stroke.ink) == ("tarn", "ember")
    assert fill.thinnest_mm is None
    assert stroke.thinnest_mm == pytest.approx(0.4)


def test_a_stroke_drawn_out_unevenly_is_as_thin_as_its_thinnest(read):
    (item,) = read(
        '<path data-ink="tarn" transform="scale(4 1)" d="M0 1H2" fill="none" stroke="#000"'
        ' stroke-width="0.1"/>'
    ).items
    assert item.thinnest_mm == pytest.approx(0.2)
    assert item.path.bounds() == pytest.approx((0, 1.9, 16, 2.1))


def test_a_widened_stroke_is_true_to_the_stated_tolerance(read):
    (item,) = read('<circle data-ink="tarn" cx="10" cy="5" r="4" fill="none" stroke="#000"/>').items
    radii = ((item.path.points - (20, 10)) ** 2).sum(axis=1) ** 0.5
    outer, inner = radii[radii > 8], radii[radii < 8]
    assert abs(outer - 9).max() <= 0.005
    assert abs(inner - 7).max() <= 0.005


@pytest.mark.parametrize(
    ("d", "pen", "bounds"),
    [
        ("M0 5L5 0L10 5", "", (-0.707, -1.414, 10.707, 5.707)),  # 90 degrees: a mitre
        ("M4 9L5 1L6 9", "", (3.008, 0.876, 6.992, 9.124)),  # 14 degrees, past 4: a bevel
        ("M3 9L5 1L7 9", "", (2.030, 0.758, 7.970, 9.243)),  # a mitre of 4.12, just past
        ("M2.9 9L5 1L7.1 9", "", (1.933, -2.939, 8.067, 9.254)),  # a mitre of 3.94, just not
        ("M4 9L5 1L6 9", 'stroke-miterlimit="9"', (3.008, -7.062, 6.992, 9.124)),
        ("M4 9L5 1L6 9", 'stroke-linecap="square"', (2.884, 0.876, 7.116, 10.116)),
        ("M4 9L5 1L6 9Z", "", (2.867, 0.876, 7.133, 10)),
        ("M2 2H8V8L2 2", "", (1.293, 1, 9, 10.414)),  # comes back, and is not closed
        ("M2 2H8Z", "", (2, 1, 8, 3)),
    ],
)
def test_corners_of_a_stroke_are_svgs(read, d, pen, bounds):
    (item,) = read(
        f'<path data-ink="tarn" d="{d}" fill="none" stroke="#0" stroke-width="2" {pen}/>'
    ).items
    assert np.array(item.path.bounds()) / 2 == pytest.approx(bounds, abs=2e-3)


def test_a_stroke_may_lie_under_its_fill(read):
    items = read(
        '<rect data-ink="tarn" data-stroke-ink="ember" stroke="#f00" style="paint-order:stroke"'
        ' width="4" height="4"/>'
    ).items
    assert [item.ink for item in items] == ["ember", "tarn"]


def test_the_later_rule_of_a_sheet_outranks_the_order_of_classes(read):
    (item,) = read(
        "<style>.a{fill:none}.b{fill:#f00}</style>"
        '<rect class="b a" data-ink="tarn" width="4" height="4"/>'
    ).items
    assert item.ink == "tarn"


def test_what_an_editor_leaves_behind_is_passed_over(read):
    items = read(
        '<text data-ink="tarn" style="letter-spacing:0px;word-spacing:0px;writing-mode:lr-tb;'
        'baseline-shift:baseline;font-variant:normal">a</text>'
        '<path data-ink="tarn" style="letter-spacing:3px;transform-origin:0px 0px;marker:none"'
        ' d="M0 0H9V9Z"/><rect data-ink="tarn" fill="rgba(1,2,3,0)" width="1" height="1"/>'
        '<text data-ink="tarn" fill="none">b</text>'
    ).items
    assert len(items) == 2


def test_inks_are_inherited_and_overridden_in_painters_order(read):
    items = read(
        '<g data-ink="tarn"><rect width="2" height="2"/>'
        '<g><circle cx="3" cy="3" r="1" data-ink="ember"/></g><rect width="1" height="1"/></g>'
    ).items
    assert [item.ink for item in items] == ["tarn", "ember", "tarn"]


def test_use_draws_again_where_it_stands(read):
    items = read(
        '<defs><g id="dot"><circle r="1"/></g><symbol id="box"><rect width="2" height="2"/>'
        '</symbol></defs><use href="#dot" x="3" y="4" data-ink="tarn"/>'
        '<use href="#box" transform="translate(5 0)" data-ink="ember"/>'
    ).items
    assert [item.ink for item in items] == ["tarn", "ember"]
    assert items[0].path.bounds() == pytest.approx((4, 6, 8, 10))
    assert items[1].path.bounds() == pytest.approx((10, 0, 14, 4))


def test_xlink_is_read_too(read):
    head = 'xmlns:xlink="http://www.w3.org/1999/xlink" width="40mm" height="20mm"'
    artwork = read(
        '<defs><circle id="dot" r="1"/></defs><use xlink:href="#dot" data-ink="tarn"/>',
        head=f'{head} viewBox="0 0 20 10"',
    )
    assert len(artwork.items) == 1


def test_hidden_things_do_not_print(read):
    items = read(
        '<g data-ink="tarn"><rect width="1" height="1" display="none"/>'
        '<g display="none"><rect width="1" height="1" visibility="visible"/></g>'
        '<g visibility="hidden"><rect width="3" height="3" visibility="visible"/>'
        '<rect width="1" height="1"/></g></g>'
    ).items
    assert [round(area(item)) for item in items] == [36]


def test_an_editors_own_elements_are_passed_over(read):
    artwork = read(
        '<title>Strip</title><desc>words</desc><metadata><a xmlns="urn:other"/></metadata>'
        '<x:view xmlns:x="urn:editor" x:zoom="2"/><rect data-ink="tarn" width="2" height="2"/>'
    )
    assert len(artwork.items) == 1


@pytest.mark.parametrize(
    ("head", "x1"),
    [
        ('width="40mm" height="20mm" viewBox="0 0 20 10"', 40),
        ('width="4cm" height="2cm" viewBox="0 0 20 10"', 40),
        ('width="2in" height="1in" viewBox="0 0 20 10"', 50.8),
        ('width="144pt" height="72pt" viewBox="0 0 20 10"', 50.8),
        ('width="96" height="48px"', 20 * 25.4 / 96),
        ('width="40mm" height="20mm" viewBox="5 5 40 20"', 15),
    ],
)
def test_the_files_size_is_its_scale(read, head, x1):
    outline = read('<rect data-ink="tarn" width="2" height="2"/>', head=head).outline
    assert outline.bounds()[2] == pytest.approx(x1)


def test_a_line_of_text_waits_for_its_words(read):
    (item,) = read(
        '<text data-ink="ember" data-field="player" x="10" y="6" font-size="3"'
        ' text-anchor="middle" data-font="display" data-fit-width-mm="30"> A\n Name </text>'
    ).items
    assert isinstance(item, Lettering)
    assert (item.field, item.words, item.font, item.fit_mm) == ("player", "A Name", "display", 30)
    assert item.affine.apply([[0, 3]]).tolist() == [[20, 6]]


def test_the_fill_rule_reaches_the_path(read):
    (item,) = read('<g data-ink="tarn" fill-rule="evenodd"><path d="M0 0H4V4Z"/></g>').items
    assert item.path.rule is FillRule.EVENODD


def test_every_fault_is_told_with_its_line(svg):
    path = svg('<rect width="2" height="2"/>\n<rect data-ink="tarn" width="-2" height="2"/>')
    with pytest.raises(ArtworkError) as caught:
        read_artwork(path)
    assert [(f.line, f.place) for f in caught.value.faults] == [(2, "rect"), (3, "rect")]
    assert "no ink" in caught.value.faults[0].found
    assert "negative" in caught.value.faults[1].found


def test_a_style_sheet_of_classes_is_read(read):
    items = read(
        "<style>/* editor */ .a, .b { fill-rule: evenodd } .b{fill:none;stroke:#000}</style>"
        '<g data-ink="tarn"><path class="a" d="M0 0H6V6H0Z M2 2H4V4H2Z"/>'
        '<path class="b" d="M0 1H5" style="stroke-width:.5"/></g>'
    ).items
    assert [round(area(item), 1) for item in items] == [128, 10]


def test_one_span_may_hold_the_words(read):
    (item,) = read(
        '<text data-ink="ember" x="1" y="1" font-size="9"><tspan x="3" y="4"'
        ' style="font-size:2px">Works</tspan></text>'
    ).items
    assert (item.words, item.size) == ("Works", 2)
    assert item.affine.apply([[0, 0]]).tolist() == [[6, 8]]


@pytest.mark.parametrize("head", ['width="40mm" height="20mm"', 'width="96" height="48"'])
def test_a_unit_inside_a_drawing_is_true_where_its_own_unit_is_the_pixel(read, head):
    (item,) = read('<rect data-ink="tarn" width="1cm" height=".2in"/>', head=head).items
    assert item.path.bounds() == pytest.approx((0, 0, 10, 5.08))
