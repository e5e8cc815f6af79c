import hashlib
import io
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pikepdf
import pymupdf
import pytest
from drawings import EMBER, TARN, picture_page, sheet, small_picture
from pdf_walk import walk

from livery.drawing import (
    Drawing,
    Label,
    LabPaint,
    Layer,
    LayerKind,
    Page,
    Process,
    Shape,
    Spot,
    Stroke,
    Symbol,
    Use,
)
from livery.geometry import Affine
from livery.geometry import Path as Curve
from livery.output import Binder, Part, render_pdf, render_svg, write_part, write_pdf
from livery.output.pdf_binding import user_unit
from livery.output.pdf_names import space_name


def _page(*elements: object, width: float = 50.0, height: float = 40.0) -> Drawing:
    layer = Layer("one", LayerKind.INFORMATION, elements)  # type: ignore[arg-type]
    return Drawing("Page", (Page(width, height, (layer,)),))


def _open(drawing: Drawing) -> pikepdf.Pdf:
    return pikepdf.open(io.BytesIO(render_pdf(drawing)))


def test_the_same_drawing_gives_the_same_bytes_in_another_process() -> None:
    code = (
        "import hashlib; from drawings import sheet; from livery.output import render_pdf, "
        "render_svg;"
        "print(hashlib.sha256(render_pdf(sheet())).hexdigest(),"
        "hashlib.sha256(render_svg(sheet()).encode()).hexdigest())"
    )
    support = str(Path(__file__).parents[2] / "support")
    other = subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        capture_output=True,
        text=True,
        env={"PYTHONPATH": support, "PYTHONHASHSEED": "7"},
    )
    first = _page(Label("something else first", 5.0, 5.0, 8.0))
    for render in (render_pdf, render_svg):
        render(first)
    files = (render_pdf(sheet()), render_svg(sheet()).encode())
    assert [hashlib.sha256(file).hexdigest() for file in files] == other.stdout.split()


def test_a_change_of_content_changes_the_identity() -> None:
    one, other = _open(sheet()), _open(sheet(words=False))
    assert bytes(one.trailer.ID[0]) != bytes(other.trailer.ID[0])
    assert bytes(one.trailer.ID[0]) == bytes(one.trailer.ID[1])
    assert one.Root.Metadata.read_bytes() != other.Root.Metadata.read_bytes()


def test_dates_are_the_drawing_s_or_a_fixed_epoch() -> None:
    with_time = replace(_page(), date="2026-05-01T10:30:00+05:30")
    for drawing, stamp in (
        (sheet(), "D:20260501000000+00'00'"),
        (_page(), "D:20000101000000+00'00'"),
        (with_time, "D:20260501103000+05'30'"),
    ):
        pdf = _open(drawing)
        assert str(pdf.docinfo["/CreationDate"]) == str(pdf.docinfo["/ModDate"]) == stamp


@pytest.mark.parametrize("title", ["Zoë – 日本 <&>", "a\x00b\ud800c", "", "(\\)"])
def test_any_title_is_kept(title: str) -> None:
    pdf = _open(replace(_page(Label(title, 5.0, 5.0, 8.0)), title=title))
    kept = title.replace("\x00", "").replace("\ud800", "") or "untitled"
    assert str(pdf.docinfo["/Title"]) == kept
    assert pdf.Root.ViewerPreferences.DisplayDocTitle
    assert str(pdf.Root.Lang) == "en-GB"


def test_spots_have_a_lab_alternate_and_their_tint() -> None:
    pdf = _open(sheet())
    space = pdf.pages[0].Resources.ColorSpace[space_name("tarn")]
    assert [str(space[0]), str(space[1]), str(space[2][0])] == ["/Separation", "/tarn", "/Lab"]
    assert [float(v) for v in space[3].C1] == [38.0, -22.0, -18.0]
    tints = {p.amounts for p in walk(render_pdf(sheet())) if p.ink == "tarn"}
    assert tints == {(1.0,), (0.5,)}


@pytest.mark.parametrize("name", ["Ember Nº 5", "river/green (matt) #2", "苔"])
def test_a_plate_may_have_any_name(name: str) -> None:
    drawing = _page(Shape(Curve.circle(9, 9, 5), fill=Spot(name, (50.0, 0.0, 0.0))))
    assert {p.ink for p in walk(render_pdf(drawing))} == {name}


def test_lab_paint_is_device_independent() -> None:
    drawing = _page(Shape(Curve.circle(9, 9, 5), fill=LabPaint((50.0, 20.0, -30.0))))
    (painted,) = walk(render_pdf(drawing))
    assert (painted.space, painted.amounts) == ("Lab", (50.0, 20.0, -30.0))


def test_words_can_be_found_and_copied() -> None:
    with pymupdf.open("pdf", render_pdf(sheet())) as pdf:
        words = pdf[0].get_text()
    assert "AVATAR office · revision 3 · Zoë Łukasz" in words
    assert "upright" in words


def test_only_used_glyphs_are_embedded() -> None:
    data = render_pdf(_page(Label("ab", 5.0, 5.0, 8.0)))
    with pikepdf.open(io.BytesIO(data)) as pdf:
        fonts = pdf.pages[0].Resources.Font
        names = [str(fonts[key].BaseFont) for key in fonts]
    assert [name.partition("+")[2] for name in names] == ["OpenSans"]
    assert len(data) < 30_000


def test_characters_no_font_holds_are_stood_in_for() -> None:
    with pymupdf.open("pdf", render_pdf(_page(Label("苔 moss\tok\n", 5.0, 5.0, 8.0)))) as pdf:
        assert pdf[0].get_text().strip() == "? moss ok"


def test_outlined_words_keep_their_text() -> None:
    data = render_pdf(_page(Label("Sedge fi", 5.0, 5.0, 20.0, font="display")))
    with pikepdf.open(io.BytesIO(data)) as pdf:
        streams = pikepdf.parse_content_stream(pdf.pages[0])
    marked = [i for i in streams if str(i.operator) == "BDC" and str(i.operands[0]) == "/Span"]
    assert str(marked[0].operands[1].ActualText) == "Sedge fi"


@pytest.mark.parametrize("font", ["text", "display"])
@pytest.mark.parametrize(
    "name",
    [
        "Maren Thistlewick",
        "अनन्या विश्वनाथन",
        "கயல்விழி இராமச்சந்திரன்",
        "دل افروز نیازی",
        "දිල්හානි වික්‍රමසිංහ",
        "Tamsin अनन्या 12",
    ],
)
def test_names_in_every_script_can_be_found_and_copied(name: str, font: str) -> None:
    data = render_pdf(_page(Label(name, 2.0, 5.0, 6.0, font=font)))
    with pymupdf.open("pdf", data) as pdf:
        page = pdf[0]
        assert page.get_text().strip() == name
        assert page.search_for(name.split()[-1])
    with pikepdf.open(io.BytesIO(data)) as pdf:
        inner = [f.DescendantFonts[0] for f in pdf.pages[0].Resources.Font.values()]
        assert all("/FontFile2" in font.FontDescriptor for font in inner)


def test_an_empty_drawing_is_a_file() -> None:
    assert len(_open(Drawing("nothing", ())).pages) == 1
    assert len(_open(Drawing("bare", (Page(10.0, 10.0, ()),))).pages) == 1
    hollow = _page(Shape(Curve("", []), fill=TARN), Use("void", Affine()))
    hollow = replace(hollow, symbols=(Symbol("void", ()),))
    assert walk(render_pdf(hollow)) == []


def test_a_stroke_of_no_width_draws_nothing() -> None:
    drawing = _page(Shape(Curve.circle(9, 9, 5), stroke=Stroke(EMBER, 0.0)))
    assert walk(render_pdf(drawing)) == []


def test_a_page_beyond_200_inches_has_a_larger_unit() -> None:
    drawing = _page(Shape(Curve.circle(5000, 600, 500), fill=TARN), width=12000.0, height=1370.0)
    pdf = _open(drawing)
    page = pdf.pages[0].obj
    assert page.UserUnit == 3
    assert float(page.MediaBox[2]) * 3 == pytest.approx(12000 / 25.4 * 72, abs=1e-3)
    assert float(page.MediaBox[2]) <= 14400
    x = walk(render_pdf(drawing))[0].path[0][1][0, 0] * 3
    assert x == pytest.approx(5500 / 25.4 * 72, rel=1e-6)
    assert user_unit(Page(5080.0, 10.0, ())) == 1.0


def test_boxes_nest_even_when_only_one_is_given() -> None:
    for trim, bleed in (((2, 2, 48, 38), None), (None, (1, 1, 49, 39)), (None, None)):
        page = replace(_page().pages[0], trim_mm=trim, bleed_mm=bleed)
        pdf = _open(replace(_page(), pages=(page,)))
        made = pdf.pages[0].obj
        media, bled, trimmed = (
            [float(v) for v in made[key]] for key in ("/MediaBox", "/BleedBox", "/TrimBox")
        )
        assert media[0] <= bled[0] <= trimmed[0] < trimmed[2] <= bled[2] <= media[2]


def test_equal_pictures_are_stored_once() -> None:
    drawing = picture_page(small_picture("RGBA"))
    twice = replace(drawing, pages=drawing.pages * 2)
    with _open(twice) as pdf:
        images = [
            item
            for item in pdf.objects
            if isinstance(item, pikepdf.Stream) and item.get("/Subtype") == "/Image"
        ]
    assert len(images) == 2  # the picture and its transparency


@pytest.mark.parametrize("condition", ["", "FOGRA39L"])
def test_a_picture_inside_a_symbol_is_drawn(condition: str) -> None:
    drawing = picture_page(small_picture(), condition)
    symbol = Symbol("framed", drawing.pages[0].layers[0].elements)
    layer = Layer("x", LayerKind.INFORMATION, (Use("framed", Affine()),))
    nested = replace(drawing, symbols=(symbol,), pages=(Page(40.0, 30.0, (layer,)),))
    (painted,) = walk(render_pdf(nested))
    assert painted.space == ("DeviceCMYK" if condition else "DeviceRGB")


def test_symbols_may_hold_symbols() -> None:
    dot = Symbol("dot", (Shape(Curve.circle(0, 0, 1), fill=TARN),))
    pair = Symbol("pair", tuple(Use("dot", Affine.translation(x, 0)) for x in (0, 5)))
    drawing = replace(_page(Use("pair", Affine.translation(9, 9))), symbols=(pair, dot))
    painted = walk(render_pdf(drawing))
    assert [len(p.forms) for p in painted] == [2, 2]


@pytest.mark.parametrize("zeros", [(0.0, -0.0), (-0.0, 0.0)])
def test_the_sign_of_a_zero_tells_nothing(zeros: tuple[float, float]) -> None:
    """Whichever was written first in a process."""
    dot = Symbol("dot", (Shape(Curve.circle(0, 0, 1), fill=TARN),))
    turns = [Affine(-0.375, zero, 0.0, -0.375, 20.0, 9.0) for zero in zeros]
    page = _page(*(Use("dot", turn) for turn in turns))
    with _open(replace(page, symbols=(dot,))) as pdf:
        content = pdf.pages[0].Contents.read_bytes()
    assert content.count(b"q -0.375 0 0 -0.375 ") == 2


def test_pages_with_titles_get_bookmarks() -> None:
    pages = (Page(10.0, 10.0, (), "Face"), Page(10.0, 10.0, (), "Back"))
    with _open(Drawing("Proof", pages)) as pdf, pdf.open_outline() as outline:
        assert [item.title for item in outline.root] == ["Face", "Back"]


def test_a_page_without_a_layer_of_another_page_still_names_all() -> None:
    ink = Layer("a", LayerKind.INK, (Shape(Curve.circle(5, 5, 2), fill=TARN),))
    cut = Layer("b", LayerKind.KISS_CUT, ())
    pdf = _open(Drawing("x", (Page(10.0, 10.0, (ink,)), Page(10.0, 10.0, (ink, cut)))))
    assert [str(group.Name) for group in pdf.Root.OCProperties.OCGs] == ["a", "b"]


def test_a_failed_write_leaves_the_earlier_file(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    write_pdf(sheet(), path)
    before = path.read_bytes()
    broken = _page(Shape(Curve.circle(5, 5, 2), fill=Process(2.0, 0.0, 0.0, 0.0)))
    with pytest.raises(ValueError, match=r"0\.\.1"):
        write_pdf(broken, path)
    assert path.read_bytes() == before


def test_ten_thousand_uses_cost_ten_times_a_thousand() -> None:
    badge = sheet().symbols[1]

    def cost(count: int) -> tuple[float, int]:
        uses = tuple(Use("badge", Affine.translation(n % 200, n // 200)) for n in range(count))
        drawing = replace(_page(*uses, width=300.0, height=300.0), symbols=(badge,))
        start = time.process_time()
        size = len(render_pdf(drawing))
        return time.process_time() - start, size

    cost(10)
    small, small_size = cost(1000)
    large, large_size = cost(10_000)
    assert large < 30 * max(small, 0.02)
    assert large_size < 12 * small_size
    assert large_size < 200_000


def _bound(head: Drawing, *parts: Part) -> bytes:
    binder, stream = Binder(head), io.BytesIO()
    for part in parts:
        binder.add(part)
    binder.bind(stream)
    return stream.getvalue()


def test_pages_written_apart_are_bound_as_if_drawn_together() -> None:
    dot = Symbol("dot", (Shape(Curve.circle(0, 0, 1), fill=TARN),))
    one = replace(_page(Use("dot", Affine.translation(9, 9)), Label("A", 3, 3, 8)), symbols=(dot,))
    other = replace(
        _page(Use("dot", Affine.translation(5, 9)), Label("B", 3, 3, 8)), symbols=(dot,)
    )
    together = replace(one, pages=one.pages + other.pages)
    bound = _bound(one, write_part(one), write_part(other, {"dot"}))
    assert walk(bound) == walk(render_pdf(together))
    with pymupdf.open("pdf", bound) as pdf:
        assert [page.get_text().strip() for page in pdf] == ["A", "B"]


def test_parts_that_do_not_fit_together_are_refused() -> None:
    dot = Symbol("dot", (Shape(Curve.circle(0, 0, 1), fill=TARN),))
    drawing = replace(_page(Use("dot", Affine())), symbols=(dot,))
    with pytest.raises(ValueError, match="'dot' is used but in no part yet"):
        _bound(drawing, write_part(drawing, {"dot"}))
    paler = _page(Shape(Curve.circle(9, 9, 5), fill=replace(TARN, lab=(90.0, 0.0, 0.0))))
    with pytest.raises(ValueError, match="'tarn' has two colours"):
        _bound(drawing, write_part(drawing), write_part(paler))
