import numpy as np
import pytest

from livery.artwork.shaping import measure_text, outline_text
from livery.drawing import Anchor, Label
from livery.output.lettering import (
    label_outline,
    line_outline,
    must_outline,
    set_line,
    without_controls,
)
from livery.units import pt_to_mm


def test_a_kerned_line_stands_where_shaping_puts_it() -> None:
    label = Label("AVATAR To", 0.0, 0.0, 20.0)
    ours = label_outline(label).bounds()
    shaped = outline_text("AVATAR To", "text", pt_to_mm(20.0))[0].bounds()
    assert ours == pytest.approx(shaped, abs=0.02)


@pytest.mark.parametrize(
    ("anchor", "share"), [(Anchor.START, 0.0), (Anchor.MIDDLE, 0.5), (Anchor.END, 1.0)]
)
def test_an_anchor_moves_the_line(anchor: Anchor, share: float) -> None:
    line = set_line(Label("Sedge", 0.0, 0.0, 12.0, anchor=anchor))
    width = measure_text("Sedge", "text", pt_to_mm(12.0))
    assert line.start_mm == pytest.approx(-share * width, abs=1e-6)


def test_a_label_turns_about_its_anchor() -> None:
    flat = label_outline(Label("Sedge", 0.0, 0.0, 12.0)).points
    turned = label_outline(Label("Sedge", 3.0, 4.0, 12.0, rotation_deg=90.0)).points
    assert np.allclose(turned, np.column_stack([3.0 - flat[:, 1], 4.0 + flat[:, 0]]))


def test_the_display_font_is_outlined_and_text_is_not() -> None:
    assert must_outline(set_line(Label("Sedge", 0.0, 0.0, 12.0, font="display")))
    assert not must_outline(set_line(Label("Sedge", 0.0, 0.0, 12.0)))


def test_a_font_that_lacks_a_letter_gives_way_to_one_that_holds_it() -> None:
    line = set_line(Label("Łódź Ж", 0.0, 0.0, 12.0, font="display"))
    assert line.text == "Łódź Ж"
    assert line.font != "display"


def test_what_no_font_holds_is_stood_in_for() -> None:
    assert set_line(Label("苔 ok", 0.0, 0.0, 12.0)).text == "? ok"


def test_an_empty_label_draws_nothing() -> None:
    assert label_outline(Label("", 1.0, 1.0, 12.0)).verbs == ""
    assert line_outline(set_line(Label(" ", 1.0, 1.0, 12.0))).verbs == ""


def test_combining_marks_are_composed() -> None:
    assert set_line(Label("Zoe\u0308", 0.0, 0.0, 12.0)).text == "Zoë"


def test_controls_are_dropped() -> None:
    assert without_controls("a\x00\x1b\ud800\ufffeb") == "ab"
