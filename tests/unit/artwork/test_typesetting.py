"""Lines that fit, paragraphs that wrap, notes that keep apart."""

from itertools import pairwise

import pytest

from livery.artwork.shaping import measure_text
from livery.artwork.typesetting import fit_line, spread, wrap_text
from livery.units import pt_to_mm


@pytest.mark.parametrize("text", ["", "short", "a line of several words", "x" * 300])
def test_a_fitted_line_keeps_its_width(text):
    label = fit_line(text, 0, 0, 10, 30)
    assert measure_text(label.text, "text", pt_to_mm(label.size_pt)) <= 30 + 1e-6
    assert text.startswith(label.text.removesuffix("…"))


def test_a_line_that_fits_stays_as_it_is():
    label = fit_line("short", 0, 0, 10, 30)
    assert (label.text, label.size_pt) == ("short", 10)


def test_a_long_line_shrinks_before_it_is_cut():
    whole = fit_line("a line of several words", 0, 0, 10, 30)
    assert whole.text == "a line of several words"
    assert measure_text(whole.text, "text", pt_to_mm(whole.size_pt)) == pytest.approx(30)
    cut, wide = fit_line("x" * 300, 0, 0, 10, 30), measure_text("x", "text", pt_to_mm(7))
    assert (cut.size_pt, cut.text[-1]) == (7, "…")
    assert measure_text(cut.text, "text", pt_to_mm(7)) > 30 - wide


@pytest.mark.parametrize("width", [12, 25, 60])
def test_wrapped_lines_keep_every_letter_and_the_width(width):
    text = "Decals keep clear of the edge of face and back: " + "y" * 60 + " end"
    lines = wrap_text(text, 8, width)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    wide = [measure_text(line, "text", pt_to_mm(8)) for line in lines]
    assert max(wide) <= width + 0.1
    for line, following in pairwise(lines):
        word = following.split()[0]
        assert measure_text(f"{line} {word}", "text", pt_to_mm(8)) > width


def test_levels_are_spread_no_more_than_needed():
    assert spread([50, 30, 10], 4) == [50, 30, 10]
    assert spread([50, 49, 48, 10], 4) == pytest.approx([53, 49, 45, 10])


def test_a_character_that_no_font_holds_is_a_question_mark():
    assert fit_line("Sedge 蘆", 0, 0, 10, 60).text == "Sedge ?"
    assert wrap_text("Sedge 蘆", 8, 60) == ("Sedge ?",)
