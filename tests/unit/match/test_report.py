"""The report: two pages whatever is asked of it, everything said and in its place."""

from dataclasses import replace

import numpy as np
import pytest

from livery.artwork.shaping import measure_text
from livery.drawing import Anchor, Label, Shape
from livery.match import compare, list_remarks
from livery.match.findings import Evidence, Findings
from livery.match.lights import LightComparison, UnderLight
from livery.match.remedy import find_common_aims, find_remedies
from livery.match.report import report_drawing
from livery.match.say import say_lab, say_remarks
from livery.units import pt_to_mm


def findings(evidence, palette, titles=None, **more):
    found = compare(evidence, palette, titles=titles)
    printed = {ink.key: frozenset({"bat"}) for ink in palette.inks}
    return Findings(
        found,
        list_remarks(evidence, palette),
        remedies=find_remedies(found, palette, printed, titles=titles),
        common_aims=find_common_aims(found),
        evidence=(Evidence("kit.capture.json", "capture", "a" * 64, "b" * 64),),
        **more,
    )


def elements(drawing):
    return [e for page in drawing.pages for layer in page.layers for e in layer.elements]


def check_places(drawing):
    assert len(drawing.pages) == 2
    for element in elements(drawing):
        if isinstance(element, Shape):
            assert np.all(element.path.points >= 0)
            assert np.all(element.path.points <= (297, 210))
        elif isinstance(element, Label) and element.anchor is Anchor.START:
            wide = measure_text(element.text, element.font, pt_to_mm(element.size_pt))
            assert element.x_mm + wide <= 297
            assert element.y_mm > 4


def texts(drawing):
    return " ".join(e.text for e in elements(drawing) if isinstance(e, Label))


def test_one_kit(palette, sample):
    evidence = [sample("bat"), sample("pad", (62, 54, 52)), sample("glove", own=2)]
    drawing = report_drawing(findings(evidence, palette), palette, "Reedlight")
    check_places(drawing)
    said = texts(drawing)
    for words in ("FAIL", "pass", "re-shoot", "New aim", "best common aim", "a" * 40, "No spectra"):
        assert words in said


def test_more_than_fits_is_counted(palette, sample):
    inks = tuple(
        replace(palette.inks[0], key=f"ink{n}", name=f"Ink with a name {n}") for n in range(24)
    )
    many = replace(palette, inks=inks)
    evidence = [
        sample(f"a long name of an item {item}", (56 + item, 56, 50), ink=ink.key)
        for item in range(7)
        for ink in inks
    ]
    drawing = report_drawing(findings(evidence, many), many, "A season of a very long name " * 9)
    check_places(drawing)
    assert "comparisons more" in texts(drawing)
    assert "see match.html" in texts(drawing)


def test_nothing_at_all(palette):
    drawing = report_drawing(Findings(()), palette, "Empty")
    check_places(drawing)
    assert "Nothing to compare" in texts(drawing)


def test_lights_are_listed_worst_first(palette, sample):
    def light(ink, worst):
        under = UnderLight("LED-B4", worst, 1.0)
        words = f"matches by day; {worst} apart under floodlight (LED-B4)"
        return LightComparison(ink, "bat", "pad", 2.0, "", (under,), under, words)

    lights = (light("ember", 1.1), light("tarn", 2.4))
    drawing = report_drawing(findings([sample("bat")], palette, lights=lights), palette, "Lights")
    said = texts(drawing)
    assert said.index("2.4 apart") < said.index("1.1 apart")


def test_the_same_remark_is_made_once(palette, sample):
    evidence = [sample("bat"), sample("pad"), sample("bat", ink="tarn")]
    said = say_remarks(list_remarks(evidence, palette), {"ember": "Ember"})
    assert any(line.startswith("Ember bat, Ember pad, tarn bat: one region") for line in said)


@pytest.mark.parametrize(
    ("lab", "sign", "said"),
    [((56.0, -0.04, 0.04), "", "56.0, 0.0, 0.0"), ((1.25, -3.1, 0.0), "+", "+1.2, −3.1, +0.0")],
)
def test_colours_in_words(lab, sign, said):
    assert say_lab(lab, sign) == said


def test_people_read_items_by_name(palette, sample):
    evidence = [sample("sedge-pads"), sample("bat", (60.0, 56.0, 50.0))]
    pair = LightComparison(
        "ember", "sedge-pads", "bat", 2.0, "by default", (), UnderLight("A", 1.0, 1.0), "alike"
    )
    titles = {"sedge-pads": "Sedge pads"}
    named = findings(evidence, palette, titles, lights=(pair,)).named(titles)
    said = [
        one.text for one in elements(report_drawing(named, palette, "t")) if hasattr(one, "text")
    ]
    assert any("Sedge pads" in text for text in said)
    assert not any("sedge-pads" in text for text in said)
