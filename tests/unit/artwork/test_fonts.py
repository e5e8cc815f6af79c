import io

import numpy as np
import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from livery.artwork.fonts import FONT_FILES, font_bytes, font_for, font_heights, missing_characters
from livery.artwork.shaping import measure_text, outline_text
from livery.errors import ArtworkError


@pytest.mark.parametrize("font", FONT_FILES)
def test_outlines_of_a_glyph_are_the_fonts_own_curves(font):
    ttf = TTFont(io.BytesIO(font_bytes(font)))
    size, glyphs = ttf["head"].unitsPerEm, ttf.getGlyphSet()
    pen = DecomposingRecordingPen(glyphs)
    glyphs[ttf.getBestCmap()[ord("R")]].draw(pen)
    ends = [points[-1] for verb, points in pen.value if verb in ("moveTo", "lineTo", "curveTo")]
    shade = AreaPen(glyphs)
    glyphs[ttf.getBestCmap()[ord("R")]].draw(shade)
    path, advance = outline_text("R", font, size)
    drawn = path.points.round(6).tolist()
    assert all(list(end) in drawn for end in ends)
    assert path.polygon(0.1).area == pytest.approx(abs(shade.value), rel=1e-4)
    assert advance == pytest.approx(glyphs[ttf.getBestCmap()[ord("R")]].width)


def test_a_quadratic_is_raised_to_the_same_curve():
    ttf = TTFont(io.BytesIO(font_bytes("text")))
    coordinates = ttf["glyf"]["o"].getCoordinates(ttf["glyf"])[0]
    path, _ = outline_text("o", "text", ttf["head"].unitsPerEm)
    xs, ys = zip(*coordinates, strict=True)
    assert path.bounds() == pytest.approx((min(xs), min(ys), max(xs), max(ys)), abs=0.5)
    assert "C" in path.verbs


def test_kerning_tightens_a_pair():
    apart = measure_text("A", "text", 10) + measure_text("V", "text", 10)
    assert measure_text("AV", "text", 10) < apart


def test_advance_and_outline_agree_and_scale():
    path, advance = outline_text("Tamsin Orrowby", "display", 8.0)
    assert advance == pytest.approx(measure_text("Tamsin Orrowby", "display", 8.0))
    assert measure_text("Tamsin Orrowby", "display", 16.0) == pytest.approx(2 * advance)
    x0, y0, x1, y1 = path.bounds()
    assert -0.5 < x0 < x1 < advance + 0.5
    assert y0 < 0 < font_heights("display").cap * 8 <= y1 + 0.3


def test_a_counter_is_a_hole():
    path, _ = outline_text("o", "text-bold", 10)
    assert len(path.polygon(0.01).interiors) == 1


def test_a_composed_and_a_decomposed_accent_are_the_same():
    one, two = outline_text("é", "text", 5)[0], outline_text("e\u0301", "text", 5)[0]
    assert np.allclose(one.points, two.points)


def test_an_absent_character_is_named_with_a_font_that_holds_it():
    with pytest.raises(ArtworkError, match=r"U\+4E2D.*other characters"):
        outline_text("中", "text", 5)
    only_text = next(c for c in "ЖΩאЂ" if missing_characters(c, "display"))
    with pytest.raises(ArtworkError, match="Set it in text or text-bold"):
        measure_text(only_text, "display", 5)


def test_a_line_break_is_no_character():
    with pytest.raises(ArtworkError, match=r"U\+000A"):
        outline_text("two\nlines", "text", 5)


def test_an_unknown_font_lists_those_there_are():
    with pytest.raises(ArtworkError, match="text, text-bold, display"):
        measure_text("a", "comic", 5)


def test_empty_text_draws_nothing():
    path, advance = outline_text("", "text", 5)
    assert path.verbs == "" and advance == 0.0


def test_a_font_gives_way_to_one_that_holds_the_text():
    assert font_for("Ada", "display") == "display"
    assert font_for("Ада", "display") == "text-bold"
    assert font_for("中", "display") == "display"
