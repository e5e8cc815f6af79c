"""What stands beside the decals: nothing on a sheet's foot may lie over anything else there."""

from dataclasses import replace

import pytest
import shapely

from livery.artwork.shaping import measure_text
from livery.drawing import BLACK, Anchor, Label, LayerKind, Registration, Spot
from livery.output.lettering import label_outline
from livery.scheme.model import CutterMark, Finish, Ink, Palette, PrintProfile, Prints
from livery.sheet import make_sheets, sheet_drawing
from livery.units import pt_to_mm

MANY = tuple(
    Ink(key, name, lab, Finish.SATIN, 2.0, prints=prints)
    for key, name, lab, prints in (
        ("tarn", "Deep tarn of the far valley", (30.0, -8.0, -28.0), Prints.SPOT),
        ("ember", "Ember", (58.0, 52.0, 48.0), Prints.SPOT),
        ("chalk", "Chalk", (93.0, 0.0, 3.0), Prints.SPOT),
        ("pitch", "Pitch", (18.0, 0.0, -1.0), Prints.SPOT),
        ("glint", "Glint of a very old lantern", (72.0, 1.0, 4.0), Prints.SPOT),
        ("lime", "Lime, fluorescent", (88.0, -48.0, 78.0), Prints.PROCESS),
        ("moss", "Moss of the far meadow", (42.0, -18.0, 24.0), Prints.SPOT),
        ("rose", "Rose", (74.0, 28.0, 4.0), Prints.SPOT),
        ("lemon", "Pale lemon", (94.0, -6.0, 38.0), Prints.SPOT),
        ("sky", "Sky over the pavilion", (76.0, -14.0, -22.0), Prints.PROCESS),
    )
)
SHEETS = {
    "sheet": PrintProfile(),
    "letter": PrintProfile(stock_width_mm=215.9, stock_height_mm=279.4, gripper_mm=0.0),
    "small patches": PrintProfile(control_patch_mm=3.0),
    "large marks": PrintProfile(cross_mm=12.0, cutter_mark_mm=12.0, control_patch_mm=10.0),
    "label roll": PrintProfile(
        stock_width_mm=152.4, stock_height_mm=420.0, roll=True, cutter_mark=CutterMark.SQUARE
    ),
    "narrow roll": PrintProfile(
        stock_width_mm=100.0, stock_height_mm=900.0, roll=True, cutter_mark=CutterMark.CORNER
    ),
    "wide roll": PrintProfile(stock_width_mm=1370.0, stock_height_mm=900.0, roll=True),
}


@pytest.fixture(scope="module", params=SHEETS)
def page(request, shop):
    """The one sheet of an order of two small decals in all the inks."""
    mark = shop.decal("mark", shop.bar(24, 18), [(ink.key, shop.bar(24, 18)) for ink in MANY])
    kit = replace(
        shop.layout("Q-1", "T. Orrowby"),
        placements=(shop.placement("a", mark), shop.placement("b", mark)),
    )
    scheme = shop.scheme(SHEETS[request.param])
    run = make_sheets(replace(scheme, palette=Palette("p", "Many", MANY, "invented")), [kit])
    return run, sheet_drawing(run, run.sheets[0]).pages[0]


def elements(page, kind):
    return [e for layer in page.layers if layer.kind is kind for e in layer.elements]


def box(element):
    """What an element takes: of text, from its baseline to the height of a capital."""
    if not isinstance(element, Label):
        reach = element.stroke.width_mm / 2 if element.stroke else 0.0
        return shapely.box(*element.path.bounds()).buffer(reach)
    size = pt_to_mm(element.size_pt)
    wide = measure_text(element.text, element.font, size)
    x = (
        element.x_mm
        - {Anchor.START: 0.0, Anchor.MIDDLE: wide / 2, Anchor.END: wide}[element.anchor]
    )
    return shapely.box(x, element.y_mm, x + wide, element.y_mm + 0.7 * size)


def labels(page):
    return [e for e in elements(page, LayerKind.INFORMATION) if isinstance(e, Label)]


def test_no_words_lie_over_others_or_over_marks(page):
    words = [
        e for kind in (LayerKind.INFORMATION, LayerKind.MARKS) for e in elements(page[1], kind)
    ]
    words = [(e.text, box(e)) for e in words if isinstance(e, Label)]
    marks = [box(e) for e in elements(page[1], LayerKind.MARKS) if not isinstance(e, Label)]
    for number, (text, area) in enumerate(words):
        over = [other for other, there in words[number + 1 :] if there.intersects(area)]
        assert not over, (text, over)
        assert not any(mark.intersects(area) for mark in marks), text


def test_no_mark_lies_over_another_kind(page):
    marks = [e for e in elements(page[1], LayerKind.MARKS) if not isinstance(e, Label)]
    kinds = {
        kind: shapely.union_all([box(e) for e in marks if e.name == kind])
        for kind in {e.name for e in marks}
    }
    for kind, area in kinds.items():
        for other, there in kinds.items():
            assert kind == other or not area.intersects(there), (kind, other)
    cutter = [box(e) for e in marks if e.name == "cutter"]
    assert shapely.union_all(cutter).area == pytest.approx(sum(c.area for c in cutter))


def test_the_strip_and_the_code_keep_apart_from_each_other_and_from_marks(page):
    shapes = [e for e in elements(page[1], LayerKind.INFORMATION) if not isinstance(e, Label)]
    code = next(box(e) for e in shapes if e.name == "code")
    strip = shapely.union_all([box(e) for e in shapes if e.name != "code"])
    marks = [box(e) for e in elements(page[1], LayerKind.MARKS) if not isinstance(e, Label)]
    assert not code.intersects(strip)
    assert not any(mark.intersects(shapely.union(code, strip)) for mark in marks)


def test_all_of_it_lies_on_the_sheet_above_the_gripper(page):
    run, drawn = page
    foot = 0.0 if run.profile.roll else run.profile.gripper_mm
    sheet = shapely.box(0, foot, drawn.width_mm, drawn.height_mm)
    for kind in (LayerKind.INFORMATION, LayerKind.MARKS):
        assert all(sheet.covers(box(e)) for e in elements(drawn, kind))


def test_the_slug_names_every_ink_and_step(page):
    run, drawn = page
    said = " ".join(label.text for label in labels(drawn))
    for ink in run.palette.inks:
        assert ink.name in said
    assert run.profile.cut_name in said


def test_every_plate_is_named_in_an_ink_that_can_be_read_beside_its_own(page):
    run, drawn = page
    spots = [ink for ink in run.palette.inks if ink.prints is Prints.SPOT]
    plates = [ink.name for ink in spots] + ["Cyan", "Magenta", "Yellow", "Black"]
    swatches = [e for e in elements(drawn, LayerKind.INFORMATION) if not isinstance(e, Label)]
    swatches = [e for e in swatches if e.name.startswith("plate ")]
    assert [e.name for e in swatches] == [f"plate {name}" for name in plates]
    for swatch, name in zip(swatches, plates, strict=True):
        _, y0, x1, y1 = swatch.path.bounds()
        beside = [e for e in labels(drawn) if 0 < e.x_mm - x1 < 1.5 and y0 <= e.y_mm <= y1]
        assert len(beside) == 1, name
        assert name.startswith(beside[0].text.rstrip("…"))
        assert beside[0].paint == BLACK
        if isinstance(swatch.fill, Spot):
            assert swatch.fill.name == name


def test_the_cutter_s_marks_stand_in_pairs_and_one_more_tells_the_way_round(page):
    drawn = page[1]
    marks = [e for e in elements(drawn, LayerKind.MARKS) if getattr(e, "name", "") == "cutter"]
    middles = [shapely.box(*e.path.bounds()).centroid for e in marks]
    left = [m.y for m in middles if m.x < drawn.width_mm / 2]
    right = [m.y for m in middles if m.x > drawn.width_mm / 2]
    assert len(right) >= 2
    assert len(left) == len(right) + 1
    assert all(isinstance(e.fill, Registration) for e in marks)


def test_no_line_of_the_slug_ends_in_the_middle_of_a_list(page):
    said = [label.text for label in labels(page[1])]
    assert not any(text.endswith("·") for text in said)
    assert sum(text.startswith("Steps: ") or " · Steps: " in text for text in said) == 1


@pytest.mark.parametrize("name", ["夏の季節", "קיץ", "صيف الملعب", "夏" * 200, "W" * 200])
def test_names_that_no_font_holds_are_shown_with_stand_ins(shop, name):
    scheme = shop.scheme()
    inks = tuple(replace(ink, name=f"{name[:60]} {ink.key}") for ink in scheme.palette.inks)
    palette = Palette("p", name, inks, "invented")
    profile = PrintProfile(stock=name, cut_name=name, white=True, white_name=f"{name[:60]}2")
    scheme = replace(scheme, name=name, workshop=name, palette=palette, profile=profile)
    run = make_sheets(scheme, [shop.layout("Q-1", "T. Orrowby")])
    drawn = sheet_drawing(run, run.sheets[0]).pages[0]
    usable = shapely.box(0, 0, drawn.width_mm, drawn.height_mm)
    assert all(usable.covers(box_as_set(label)) for label in labels(drawn))
    assert any(label.text.endswith("revision 3") for label in labels(drawn))


def box_as_set(label):
    return shapely.box(*label_outline(label).bounds())
