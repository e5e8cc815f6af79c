import pytest

from livery.artwork import DecalMaker
from livery.artwork.lettering import fill_template
from livery.errors import ArtworkError

TEXT = (
    '<rect data-ink="tarn" width="20" height="10"/>'
    '<text data-ink="chalk" data-field="player" x="10" y="6" font-size="2"'
    ' text-anchor="middle" data-fit-width-mm="30">Sample</text>'
)
PLAYER = {"text": (("player", "{player}"),)}


def load_decal(spec, palette, fields):
    return DecalMaker(palette)(spec, fields)


def test_a_decal_stands_about_its_outlines_middle_at_its_width(svg, spec, palette):
    box = 'x="4" y="1" width="16" height="8"/>'
    path = svg(f'<rect data-ink="tarn" {box}', outline=f'<rect data-part="outline" {box}')
    decal = load_decal(spec(path), palette, {})
    assert decal.outline.bounds() == pytest.approx((-30, -15, 30, 15))
    assert (decal.width_mm, decal.height_mm) == (60, 30)
    assert decal.regions[0].path.bounds() == pytest.approx((-30, -15, 30, 15))
    assert (decal.key, decal.role, decal.inks) == ("strip", "lettering", ("tarn",))


def test_words_are_set_in_the_middle_and_named_in_the_key(svg, spec, palette):
    decal = load_decal(spec(svg(TEXT), **PLAYER), palette, {"player": "Io"})
    x0, y0, x1, y1 = decal.regions[1].path.bounds()
    assert (x0 + x1) / 2 == pytest.approx(0, abs=0.3)
    assert y1 == pytest.approx(3, abs=0.2)  # the baseline, 1 unit of 3 mm below the middle
    assert decal.key == "strip#Io"
    assert decal.texts == (("player", "Io"),)
    cap = decal.regions[1].text_height_mm
    assert cap == pytest.approx(y1 - y0, rel=0.03)


def test_a_long_name_shrinks_evenly_into_its_width(svg, spec, palette):
    short, long = (
        load_decal(spec(svg(TEXT), **PLAYER), palette, {"player": name}).regions[1]
        for name in ("Tamsin", "Tamsin Wilhelmina Orrowby-Featherstonehaugh")
    )
    x0, _, x1, _ = long.path.bounds()
    assert 44 < x1 - x0 <= 45  # 30 mm at the file's size, drawn half as large again
    assert long.text_height_mm < short.text_height_mm


def test_fixed_words_need_no_field(svg, spec, palette):
    body = '<text data-ink="ember" x="2" y="6" font-size="2">Works</text>'
    decal = load_decal(spec(svg(body)), palette, {})
    assert decal.regions[0].path.verbs.count("M") > 4


def test_words_that_are_empty_leave_their_place_empty(svg, spec, palette):
    decal = load_decal(spec(svg(TEXT), **PLAYER), palette, {})
    assert decal.inks == ("tarn",)
    assert decal.key == "strip"


def test_capitals_are_asked_for(svg, spec, palette):
    body = TEXT.replace("<text", '<text text-transform="uppercase"')
    upper = load_decal(spec(svg(body), **PLAYER), palette, {"player": "io"})
    plain = load_decal(spec(svg(TEXT), **PLAYER), palette, {"player": "IO"})
    assert upper.regions[1].path.svg_d() == plain.regions[1].path.svg_d()


def test_an_unknown_ink_is_answered_with_the_nearest(svg, spec, palette):
    with pytest.raises(ArtworkError, match=r"art.svg:2.*'trn'.*Did you mean 'tarn'"):
        load_decal(spec(svg('<rect data-ink="trn" width="2" height="2"/>')), palette, {})


def test_a_field_the_season_leaves_out_is_a_fault(svg, spec, palette):
    with pytest.raises(ArtworkError, match=r"text\.player"):
        load_decal(spec(svg(TEXT)), palette, {})


def test_a_field_the_artwork_leaves_out_is_a_fault(svg, spec, palette):
    more = {"text": (("player", "{player}"), ("size", "{size}"))}
    with pytest.raises(ArtworkError, match=r"text\.size.*It shows player"):
        load_decal(spec(svg(TEXT), **more), palette, {})


def test_an_absent_character_names_file_line_and_character(svg, spec, palette):
    with pytest.raises(ArtworkError, match=r"art.svg:2.*U\+4E2D"):
        load_decal(spec(svg(TEXT), **PLAYER), palette, {"player": "Tam 中"})


def test_an_unknown_font_is_a_fault_of_the_artwork(svg, spec, palette):
    body = TEXT.replace("<text", '<text data-font="comic"')
    with pytest.raises(ArtworkError, match=r"art.svg:2.*comic.*display"):
        load_decal(spec(svg(body), **PLAYER), palette, {"player": "a"})


def test_a_template_reaches_nothing_but_its_fields():
    assert fill_template("No. {number}, {size}", {"number": "7"}) == "No. 7,"
    with pytest.raises(ValueError, match="player, size"):
        fill_template("{player.__class__}", {"player": "x"})


def test_a_maker_reads_and_sets_once(svg, spec, palette):
    path = svg(TEXT)
    maker, strip = DecalMaker(palette), spec(path, **PLAYER)
    first = maker(strip, {"player": "Io"})
    path.unlink()
    assert maker(strip, {"player": "Io"}) is first
    assert maker(strip, {"player": "Vi"}).key == "strip#Vi"


def test_lettering_never_mirrors(svg, spec, palette):
    words = '<text x="2" y="6" font-size="4" data-ink="tarn">Reed</text>'
    path = svg(words)
    assert not load_decal(spec(path), palette, {}).may_mirror
    with pytest.raises(ArtworkError, match="read backwards"):
        load_decal(spec(path, may_mirror=True), palette, {})
    plain = svg('<rect x="1" y="1" width="9" height="5" data-ink="tarn"/>')
    assert load_decal(spec(plain, may_mirror=True), palette, {}).may_mirror
