import pytest
import shapely

from livery.drawing import LayerKind, Registration, Use
from livery.geometry import Path
from livery.scheme.model import PrintProfile
from livery.sheet import make_sheets, run_drawing, sheet_drawing
from livery.sheet.model import SheetDecal
from livery.sheet.symbols import draw_decal


@pytest.fixture(scope="module")
def run(plain_run):
    return plain_run


@pytest.fixture(scope="module")
def drawing(run):
    return run_drawing(run)


def layer(page, kind):
    return next(layer for layer in page.layers if layer.kind is kind)


def test_a_page_a_sheet_and_symbols_once_a_decal(run, drawing):
    assert len(drawing.pages) == len(run.sheets)
    keys = [symbol.key for symbol in drawing.symbols]
    assert sorted(keys) == sorted(k for d in run.decals for k in (d.key, f"{d.key} cut"))


def test_every_item_is_used_once_in_artwork_and_once_in_the_cut(run, drawing):
    for sheet, page in zip(run.sheets, drawing.pages, strict=True):
        for kind, ending in ((LayerKind.INK, ""), (LayerKind.KISS_CUT, " cut")):
            uses = layer(page, kind).elements
            assert [u.symbol for u in uses] == [i.decal + ending for i in sheet.items]
            assert all(isinstance(u, Use) for u in uses)


def test_copies_are_laid_rigidly_over_their_items(run, drawing):
    decals = {d.key: d.decal for d in run.decals}
    cuts = {s.key: s.elements[0].path for s in drawing.symbols if s.key.endswith(" cut")}
    for sheet, page in zip(run.sheets, drawing.pages, strict=True):
        for item, use in zip(sheet.items, layer(page, LayerKind.KISS_CUT).elements, strict=True):
            drawn = cuts[use.symbol].transformed(use.affine).polygon()
            meant = decals[item.decal].outline.transformed(item.affine).polygon()
            assert drawn.symmetric_difference(meant).area < 1e-3
            assert use.affine.determinant == pytest.approx(1.0)


def test_marks_are_registration_and_clear_of_decals(run, drawing):
    for page in drawing.pages:
        marks = layer(page, LayerKind.MARKS).elements
        paints = [m.stroke.paint if m.stroke else m.fill for m in marks if hasattr(m, "path")]
        assert paints and all(isinstance(paint, Registration) for paint in paints)
        boxes = [shapely.box(*m.path.bounds()) for m in marks if hasattr(m, "path")]
        cuts = {s.key: s.elements[0].path for s in drawing.symbols}
        for use in layer(page, LayerKind.KISS_CUT).elements:
            bleed = cuts[use.symbol].transformed(use.affine).polygon().buffer(2.0)
            assert not any(box.intersects(bleed) for box in boxes)


def test_cut_lines_overprint_on_their_own_plate(drawing, run):
    for symbol in drawing.symbols:
        if symbol.key.endswith(" cut"):
            (shape,) = symbol.elements
            assert shape.overprint
            assert shape.fill is None
            assert shape.stroke.paint.name == run.profile.cut_name


def test_white_is_choked_and_varnish_covers_the_bleed(shop, layouts):
    run = make_sheets(shop.scheme(PrintProfile(white=True, varnish=True)), layouts[:1])
    drawing = run_drawing(run)
    symbols = {s.key: s for s in drawing.symbols}
    badge = shop.badge().outline.polygon()
    white = symbols["badge white"].elements[0].path.polygon()
    varnish = symbols["badge varnish"].elements[0].path.polygon()
    assert white.area == pytest.approx(badge.buffer(2.0 - 0.15).area, rel=2e-3)
    assert varnish.area == pytest.approx(badge.buffer(2.0).area, rel=2e-3)
    kinds = [layer.kind for layer in drawing.pages[0].layers]
    assert {LayerKind.WHITE, LayerKind.VARNISH} <= set(kinds)


def test_one_sheet_holds_only_its_own_decals(run):
    drawing = sheet_drawing(run, run.sheets[0])
    assert len(drawing.pages) == 1
    used = {item.decal for item in run.sheets[0].items}
    assert {s.key.removesuffix(" cut") for s in drawing.symbols} == used


def test_slug_says_what_a_printer_asks(run, drawing):
    words = " ".join(
        e.text
        for e in layer(drawing.pages[0], LayerKind.INFORMATION).elements
        if hasattr(e, "text")
    )
    for fact in (run.content_hash, "revision 3", "Sheet 1 of", "2027-01-18", "Tarn"):
        assert fact in words
    assert run.profile.stock in words


def test_ink_wholly_outside_the_cut_is_left_out(shop, plain_run):
    stray = Path.rectangle(60, -2, 64, 2)
    regions = [("tarn", shop.bar(40, 30)), ("ember", stray)]
    decal = SheetDecal("d", shop.decal("d", shop.bar(40, 30), regions), 1.0, False)
    drawn = draw_decal(decal, plain_run.palette, PrintProfile()).artwork
    assert {shape.name for shape in drawn.elements} == {"bleed tarn", "tarn"}
