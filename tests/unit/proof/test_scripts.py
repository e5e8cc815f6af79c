"""Names of forty characters, in the scripts players write them in, on every paper and size."""

import re

import pytest
from folders import copy_demo
from labels import find_meeting, ink_boxes, words_of

from livery.drawing import Label, Layer, LayerKind, Page
from livery.jobs.order_papers import papers_drawing
from livery.placement import lay_out
from livery.proof import card_drawing, proof_drawing, template_drawing
from livery.scheme import load_season
from livery.sheet import make_sheets, measure_decal, sum_areas

NAMES = {
    "latin": "Wilhelmina Featherstonehaugh-Quellanmarsh",
    "devanagari": "अनन्या श्रीवास्तव कृष्णमूर्ति सिद्धार्थनगर",
    "tamil": "தமிழ்ச்செல்வி இராமநாதன் கிருஷ்ணமூர்த்திய",
    "urdu": "عائشہ صدیقی پٹیل ۲۳ بنتِ عبدالرحمٰن (ب) خان",
    "sinhala": "නිමාලි ජයවර්ධන ශ්‍රී වික්‍රමසිංහ මුදියන්සේ",
}
SIZES = ["size-1", "size-2", "size-3", "size-4", "size-5", "size-6", "harrow", "small-adult"]
SIZES += ["short-handle", "long-blade", "long-handle"]
TOUCH_MM = 0.15  # boxes of slanting marks may meet by so much before letters do


def orders():
    """(size, script): every size once, the scripts in turn."""
    scripts = list(NAMES)[::-1]
    return [(size, scripts[n % len(scripts)]) for n, size in enumerate(SIZES)]


@pytest.fixture(scope="module")
def named(tmp_path_factory):
    """A season whose every player has a long name, and its layouts."""
    folder = tmp_path_factory.mktemp("names")
    path = copy_demo(folder)
    text = path.read_text("utf-8")
    text = text[: text.index("[[orders]]")]
    listed = ", ".join(f'"{size}"' for size in SIZES)
    text = text.replace('sizes = ["short-handle", "harrow", "size-5"]', f"sizes = [{listed}]")
    text = text.replace('sizes = ["men", "youth"]', 'sizes = ["men", "youth", "small-boys"]')
    for size, script in orders():
        items = f'{{ item = "sedge", size = "{size}" }}'
        if size in (SIZES[0], SIZES[-1]):
            soft = "small-boys" if size == SIZES[0] else "men"
            items += f', {{ item = "sedge-gloves", size = "{soft}" }}'
        name = NAMES[script][:40].strip()
        text += f'[[orders]]\nkey = "{size}.{script}"\nplayer = "{name}"\nhand = "right"\n'
        text += f'weight = "2 lb 9 oz"\nnumber = "17"\nitems = [{items}]\n\n'
    path.write_text(text, "utf-8")
    scheme = load_season(path)
    return scheme, lay_out(scheme)


def clashes(page, margin_mm=3.0):
    """Texts that leave a page or meet."""
    found = ink_boxes(page)
    out = [
        box[4]
        for box in found
        if box[0] < margin_mm
        or box[1] < margin_mm
        or box[2] > page.width_mm - margin_mm
        or box[3] > page.height_mm - margin_mm
    ]
    return out + find_meeting(found, TOUCH_MM)


@pytest.mark.parametrize("draw", [proof_drawing, card_drawing, template_drawing])
def test_no_name_leaves_its_box_or_meets_another_text(named, draw):
    scheme, layouts = named
    for order in scheme.orders:
        own = tuple(layout for layout in layouts if layout.order == order.key)
        drawing = draw(scheme, order, own)
        met = [
            (number, clash) for number, page in enumerate(drawing.pages) for clash in clashes(page)
        ]
        assert met == [], (order.key, draw.__name__)
        words = " ".join(text for page in drawing.pages for text in words_of(page))
        whole = re.sub(r"\s", "", order.player)
        assert whole in re.sub(r"\s", "", words), (order.key, "the name is cut short everywhere")


def test_the_pick_list_holds_long_names_too(named):
    scheme, layouts = named
    run = make_sheets(scheme, [layout for layout in layouts if layout.order][-4:])
    areas = sum_areas(run, {decal.key: measure_decal(decal) for decal in run.decals})
    drawing = papers_drawing(scheme, run, areas)
    assert [clash for page in drawing.pages for clash in clashes(page)] == []


def test_a_text_that_meets_another_or_leaves_the_page_would_be_found():
    labels = [Label("Sedge", 20, 20, 9), Label("عائشہ", 22, 20.5, 9), Label("out", 208, 100, 9)]
    layer = Layer("page", LayerKind.INFORMATION, tuple(labels))
    assert clashes(Page(210, 297, (layer,))) == ["out", ("Sedge", "عائشہ")]
