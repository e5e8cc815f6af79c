"""Names in the scripts that players write them in, shaped as those scripts ask."""

import numpy as np
import pytest

from livery.artwork.fonts import harfbuzz_font, missing_characters
from livery.artwork.shaping import (
    _run,
    _shape,
    measure_text,
    outline_text,
    place_characters,
    seen_order,
)
from livery.artwork.typesetting import clusters_of, fit_line
from livery.drawing import Label
from livery.output.lettering import label_outline
from livery.units import mm_to_pt, pt_to_mm

NAMES = {
    "devanagari": "अनन्या श्रीवास्तव",
    "tamil": "தமிழ்ச்செல்வி இராமநாதன்",
    "arabic": "عائشہ صدیقی پٹیل",
    "sinhala": "නිමාලි ජයවර්ධන",
}


@pytest.mark.parametrize("font", ["text", "text-bold", "display"])
@pytest.mark.parametrize("script", NAMES)
def test_a_name_is_drawn_in_its_own_script_whatever_font_is_asked_for(
    script: str, font: str
) -> None:
    glyphs, advance = _run(NAMES[script], font)
    assert missing_characters(NAMES[script], font) == ""
    assert {key for key, *_ in glyphs} == {script}
    assert all(glyph != 0 for _, glyph, *_ in glyphs)
    path, wide = outline_text(NAMES[script], font, 10.0)
    assert wide == pytest.approx(advance * 10.0)
    x0, _, x1, _ = path.bounds()
    assert -1.0 < x0 < x1 < wide + 1.0


def test_consonants_join_and_a_short_i_stands_before_its_consonant() -> None:
    assert len(_run("क्ष", "text")[0]) < 3
    alone = {glyph for _, glyph, *_ in _run("क", "text")[0]}
    places = [(x, glyph) for _, glyph, x, _ in _run("कि", "text")[0]]
    assert max(places)[1] in alone  # the vowel sign, written after it, is drawn to its left


def test_urdu_runs_from_right_to_left_inside_a_line_that_does_not() -> None:
    glyphs, _ = _run("Bat of دار, 2 lb", "text")  # three letters that do not join
    dal, alif, re = (_run(letter, "text")[0][0][1] for letter in "دار")
    assert [key for key, *_ in glyphs] == ["text"] * 7 + ["arabic"] * 3 + ["text"] * 6
    assert [glyph for key, glyph, *_ in glyphs if key == "arabic"] == [re, alif, dal]
    places = [x for *_, x, _ in glyphs]
    assert places == sorted(places)
    assert place_characters("Bat of عائشہ", "text", 1.0) is None


@pytest.mark.parametrize("script", NAMES)
@pytest.mark.parametrize("width", [12.0, 40.0, 90.0])
def test_forty_characters_never_leave_their_box(script: str, width: float) -> None:
    name = (NAMES[script] * 3)[:40]
    label = fit_line(name, 0.0, 0.0, 12.0, width, "text-bold")
    assert "?" not in label.text
    assert measure_text(label.text, label.font, pt_to_mm(label.size_pt)) <= width + 1e-6
    path, _ = outline_text(label.text, label.font, pt_to_mm(label.size_pt))
    box = np.array(path.bounds())
    assert box[0] > -0.5
    assert box[2] < width + 0.5


def _seen(text: str) -> list[str]:
    """The stretches of a line from left to right."""
    return [part.strip() for _, part, _ in seen_order(text, "text") if part.strip()]


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        ("عائشہ ۲۳", ["۲۳", "عائشہ"]),
        ("عائشہ 23 خان", ["خان", "23", "عائشہ"]),
        ("Bat of عائشہ ۲۳ خان, 2 lb", ["Bat of", "خان", "۲۳", "عائشہ", ", 2 lb"]),
        ("عائشہ خان, right-handed, 2 lb", ["عائشہ خان", ", right-handed, 2 lb"]),
        ("Q-101  ·  عائشہ  ·  revision 2", ["Q-101  ·", "عائشہ", "·  revision 2"]),
        ("अनन्या 10 of 12", ["अनन्या", "10 of 12"]),
    ],
)
def test_digits_keep_their_order_and_a_name_turns_nothing_but_itself(
    text: str, seen: list[str]
) -> None:
    assert _seen(text) == seen


def test_brackets_turn_with_the_line_and_a_four_is_written_as_in_urdu() -> None:
    (opening,), (closing,) = ([g for _, g, *_ in _run(c, "text")[0]] for c in "()")
    turned = [glyph for _, glyph, *_ in _run("ا(ب)", "text")[0]]
    assert turned.index(opening) < turned.index(closing)
    urdu, common = (
        _shape("۴", "arabic", 0)[0],
        harfbuzz_font("arabic").get_nominal_glyph(ord("۴")),
    )
    assert urdu[0][0] != common


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("क्षि", ["क्षि"]),
        ("ශ්‍රී", ["ශ්‍රී"]),
        ("ஸ்ரீ", ["ஸ்ரீ"]),
        ("بنتِ", ["ب", "ن", "تِ"]),
    ],
)
def test_a_line_is_never_cut_inside_a_letter(text: str, letters: list[str]) -> None:
    assert list(clusters_of(text)) == letters
    whole = {"".join((letters * 6)[:count]) for count in range(6 * len(letters) + 1)}
    kept = {
        fit_line(text * 6, 0.0, 0.0, 12.0, width).text.removesuffix("…")
        for width in np.linspace(0.5, 20.0, 40)
    }
    assert kept <= whole
    assert len(kept) > 2


def test_a_joiner_shapes_what_is_drawn() -> None:
    joined = outline_text("ශ්‍රී", "text", 1.0)[0]
    apart = outline_text("ශ්රී", "text", 1.0)[0]
    assert joined.verbs != apart.verbs
    drawn = label_outline(Label("ශ්‍රී", 0.0, 0.0, mm_to_pt(1.0)))
    assert drawn.verbs == joined.verbs
