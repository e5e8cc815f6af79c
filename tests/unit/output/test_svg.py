import base64
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pytest
from drawings import EMBER, TARN, picture_page, sheet, small_picture

from livery.artwork.pathdata import parse_path_data
from livery.drawing import Drawing, Label, Layer, LayerKind, Page, Shape, Stroke, Use
from livery.geometry import Affine
from livery.geometry import Path as Curve
from livery.output import render_svg, write_svg

SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"


@pytest.fixture(scope="module")
def root() -> ET.Element:
    return ET.fromstring(render_svg(sheet()))


def _page(*elements: object, width: float = 50.0, height: float = 40.0) -> Drawing:
    layer = Layer("one", LayerKind.INFORMATION, elements)  # type: ignore[arg-type]
    return Drawing("Page", (Page(width, height, (layer,)),))


def test_a_page_is_in_millimetres(root: ET.Element) -> None:
    assert (root.get("width"), root.get("height")) == ("190.5mm", "152.4mm")
    assert root.get("viewBox") == "0 0 190.5 152.4"
    assert root.get("data-trim") == "4 4 186.5 148.4"


def test_the_page_is_flipped_once(root: ET.Element) -> None:
    top = [child for child in root if child.tag == f"{SVG}g"]
    assert [g.get("transform") for g in top] == ["matrix(1 0 0 -1 0 152.4)"]


def test_each_layer_is_a_group_with_its_kind(root: ET.Element) -> None:
    layers = root.findall(f"{SVG}g/{SVG}g")
    assert [(g.get("id"), g.get("data-kind")) for g in layers] == [
        ("inks", "ink"),
        ("white", "white"),
        ("varnish", "varnish"),
        ("kiss-cut", "kiss-cut"),
        ("through-cut", "through-cut"),
        ("marks", "marks"),
        ("information", "information"),
    ]


def test_each_plate_is_a_group_that_holds_its_ink_alone(root: ET.Element) -> None:
    plates = root.findall(f".//{SVG}g[@data-plate]")
    assert [g.get("data-plate") for g in plates] == ["tarn", "ember", "chalk"]
    symbols = {s.get("id"): s for s in root.iter(f"{SVG}symbol")}
    for plate in plates:
        shown = (symbols[str(use.get(LINK))[1:]] for use in plate.iter(f"{SVG}use"))
        drawn = [e for symbol in shown for kind in ("path", "use") for e in symbol.iter(SVG + kind)]
        blank = [{e.get("fill"), e.get("stroke")} <= {"#ffffff", "none", None} for e in drawn]
        assert not all(blank)
        for element, knocks_out in zip(drawn, blank, strict=True):
            assert element.get("data-ink") == (None if knocks_out else plate.get("data-plate"))


def test_every_reference_stays_inside(root: ET.Element) -> None:
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    links = [e.get(LINK, "") for e in root.iter(f"{SVG}use")]
    assert links
    assert {link[1:] for link in links} <= set(ids)
    assert not re.search(r"(href|src)=\"(?!#|data:)", render_svg(sheet()))


def test_inks_are_named_with_their_colour(root: ET.Element) -> None:
    tint = next(p for p in root.iter(f"{SVG}path") if p.get("data-tint"))
    assert (tint.get("data-ink"), tint.get("data-lab")) == ("tarn", "38 -22 -18")
    assert tint.get("data-tint") == "0.5"
    build = next(p for p in root.iter(f"{SVG}path") if p.get("data-cmyk") == "0.3 0.7 0 0.1")
    assert re.fullmatch(r"#[0-9a-f]{6}", str(build.get("fill")))
    marks = root.find(f".//{SVG}g[@id='marks']")
    assert marks is not None
    assert {p.get("stroke") for p in marks} == {"#000000"}


def test_uses_carry_their_attributes(root: ET.Element) -> None:
    copies = {u.get("data-copy") for u in root.iter(f"{SVG}use")}
    assert {"0", "1"} <= copies


def test_words_are_outlines_that_say_what_they_are(root: ET.Element) -> None:
    words = [e for kind in ["g", "path"] for e in root.iter(SVG + kind) if e.get("role")]
    assert "AVATAR office · revision 3 · Zoë Łukasz" in {p.get("aria-label") for p in words}
    assert all(p.find(f"{SVG}title") is not None for p in words)
    assert not list(root.iter(f"{SVG}text"))


def test_each_character_is_stored_once(root: ET.Element) -> None:
    (line,) = [g for g in root.iter(f"{SVG}g") if "AVATAR" in (g.get("aria-label") or "")]
    uses = [use.get(LINK) for use in line.iter(f"{SVG}use")]
    assert uses[0] == uses[2] == uses[4]
    glyphs = [p.get("id") for p in root.iter(f"{SVG}path") if f"#{p.get('id')}" in set(uses)]
    assert sorted(f"#{glyph}" for glyph in glyphs) == sorted(set(uses))


def test_curves_are_cubics() -> None:
    circle = Shape(Curve.circle(10.0, 10.0, 5.0), fill=TARN)
    paths = list(ET.fromstring(render_svg(_page(circle))).iter(f"{SVG}path"))
    drawn = parse_path_data(paths[0].get("d") or "")
    assert drawn.verbs == "MCCCCZ"


def test_a_long_path_is_stored_once_for_all_its_plates() -> None:
    wave = [(float(x), 10.0 + x % 3) for x in range(60)]
    shape = Shape(Curve.polyline([*wave, (59.0, 30.0), (0.0, 30.0)]), fill=TARN)
    other = Shape(shape.path, fill=EMBER)
    page = Page(60.0, 40.0, (Layer("inks", LayerKind.INK, (shape, other), plates=True),))
    svg = render_svg(Drawing("Wave", (page,)))
    data = [p.get("d") or "" for p in ET.fromstring(svg).iter(f"{SVG}path")]
    assert sum(len(d) > 160 for d in data) == 1
    inks = {u.get("data-ink") for u in ET.fromstring(svg).iter(f"{SVG}use")}
    assert {"tarn", "ember"} <= inks


def test_a_stroke_of_no_width_draws_nothing() -> None:
    shape = Shape(Curve.circle(10.0, 10.0, 5.0), stroke=Stroke(EMBER, 0.0))
    path = next(ET.fromstring(render_svg(_page(shape))).iter(f"{SVG}path"))
    assert path.get("stroke") is None
    assert path.get("fill") == "none"


def test_dashes_and_round_ends_are_written() -> None:
    shape = Shape(
        Curve.polyline([(0, 0), (9, 9)], closed=False),
        stroke=Stroke(EMBER, 0.25, dash_mm=(2.0, 1.0), round=True),
    )
    path = next(ET.fromstring(render_svg(_page(shape))).iter(f"{SVG}path"))
    assert path.get("stroke-dasharray") == "2 1"
    assert path.get("stroke-linecap") == path.get("stroke-linejoin") == "round"


def test_pictures_are_carried_inside() -> None:
    png = small_picture()
    image = next(ET.fromstring(render_svg(picture_page(png))).iter(f"{SVG}image"))
    kind, data = str(image.get(LINK)).split(",")
    assert kind == "data:image/png;base64"
    assert base64.b64decode(data) == png
    assert image.get("aria-label") == "a ramp"


@pytest.mark.parametrize("title", ["<&>\"'", "日本語 – Zoë", "a\x00b\ud800", "]]>", ""])
def test_any_title_is_kept_in_well_formed_xml(title: str) -> None:
    drawing = replace(_page(Label(title, 5.0, 5.0, 8.0)), title=title)
    drawing = replace(drawing, pages=(replace(drawing.pages[0], title=title),))
    shown = ET.fromstring(render_svg(drawing).encode("utf-8")).findtext(f"{SVG}title")
    kept = title.replace("\x00", "").replace("\ud800", "")
    assert shown == (f"{kept} – {kept}" if kept else "")  # the drawing's and the page's


def test_names_that_collide_get_ids_of_their_own() -> None:
    names = ("Same name", "same  name", "", "日本", "9")
    layers = tuple(Layer(name, LayerKind.INK, ()) for name in names)
    root = ET.fromstring(render_svg(Drawing("x", (Page(9.0, 9.0, layers),))))
    ids = [g.get("id") for g in root.findall(f"{SVG}g/{SVG}g")]
    assert ids == ["same-name", "same-name-2", "item", "item-2", "n9"]


def test_a_symbol_is_defined_once_a_view() -> None:
    drawing = sheet()
    uses = tuple(Use("badge", Affine.translation(20.0 + x, 20.0)) for x in range(50))
    layer = Layer("inks", LayerKind.INK, uses, plates=True)
    many = replace(drawing, pages=(replace(drawing.pages[0], layers=(layer,)),))
    names = re.findall(r'<symbol id="([^"]+)"', render_svg(many))
    assert sorted(names) == sorted(
        f"badge-{view}{ink}" for ink in ("tarn", "ember", "chalk") for view in ("", "knocks-")
    )


def test_pages_go_to_files_of_their_own(tmp_path: Path) -> None:
    page = Page(10.0, 10.0, ())
    drawing = Drawing("x", (page, page, page))
    beside = write_svg(drawing, tmp_path / "card.svg")
    assert [p.name for p in beside] == ["card.svg", "card-2.svg", "card-3.svg"]
    inside = write_svg(drawing, tmp_path / "cards")
    assert [p.name for p in inside] == ["page-1.svg", "page-2.svg", "page-3.svg"]
    assert all(p.is_file() for p in (*beside, *inside))
