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
    assert fit_line("short", 0, 0, 10, 30).size_pt == 10


@pytest.mark.parametrize("width", [12, 25, 60])
def test_wrapped_lines_keep_every_letter_and_the_width(width):
    text = "Decals keep clear of the edge of face and back: " + "y" * 60 + " end"
    lines = wrap_text(text, 8, width)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(measure_text(line, "text", pt_to_mm(8)) <= width + 0.1 for line in lines)


def test_levels_are_spread_no_more_than_needed():
    assert spread([50, 30, 10], 4) == [50, 30, 10]
    close = spread([50, 49, 48, 10], 4)
    assert close == pytest.approx([53, 49, 45, 10])
    assert all(a - b >= 4 - 1e-9 for a, b in pairwise(close))


def test_a_character_that_no_font_holds_is_a_question_mark():
    assert fit_line("Sedge 蘆", 0, 0, 10, 60).text == "Sedge ?"
    assert wrap_text("Sedge 蘆", 8, 60) == ("Sedge ?",)
