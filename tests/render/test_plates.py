"""The sheet's plates, split by Ghostscript, against the drawing's own polygons."""

from collections import Counter
from dataclasses import replace

import numpy as np
import plan
import pytest
from drawings import sheet
from pdf_walk import walk
from rasters import overlap, split_plates

from livery.drawing import Drawing
from livery.output import render_pdf

SPOTS = ("tarn", "ember", "chalk", "white underprint", "varnish")
CUTS = ("kiss cut line", "through cut line")


@pytest.fixture(scope="module")
def drawing() -> Drawing:
    return sheet(words=False)


@pytest.fixture(scope="module")
def separations(
    drawing: Drawing, tmp_path_factory: pytest.TempPathFactory, ghostscript: str
) -> dict[str, np.ndarray]:
    folder = tmp_path_factory.mktemp("plates")
    return split_plates(render_pdf(drawing), folder, by_centre=True)


def test_every_ink_step_and_process_ink_has_its_plate(separations: dict[str, np.ndarray]) -> None:
    assert set(separations) == {*SPOTS, *CUTS, "Cyan", "Magenta", "Yellow", "Black"}


@pytest.mark.parametrize("ink", SPOTS)
def test_each_plate_is_the_drawing_s_own_polygons(
    drawing: Drawing, separations: dict[str, np.ndarray], ink: str
) -> None:
    expected = plan.plates(drawing, 300.0)[ink]
    assert expected.any()
    assert overlap(separations[ink] < 255, expected) >= 0.999


def test_marks_are_the_same_on_every_plate(separations: dict[str, np.ndarray]) -> None:
    corner = (slice(0, 110), slice(0, 110))
    first = separations["tarn"][corner]
    assert (first < 255).any()
    for name, plate in separations.items():
        assert np.array_equal(plate[corner], first), name


def test_a_plan_without_one_region_is_told_apart(
    drawing: Drawing, separations: dict[str, np.ndarray]
) -> None:
    badge = drawing.symbols[1]
    less = replace(badge, elements=badge.elements[:-1])
    poorer = replace(drawing, symbols=(drawing.symbols[0], less, drawing.symbols[2]))
    assert overlap(separations["ember"] < 255, plan.plates(poorer, 300.0)["ember"]) < 0.99


def test_a_tint_prints_as_a_tint(separations: dict[str, np.ndarray]) -> None:
    row, column = round((152.4 - 129) / 25.4 * 300), round(34 / 25.4 * 300)
    assert int(separations["tarn"][row, column]) == pytest.approx(127, abs=1)


def test_the_cut_plate_holds_cut_lines_alone(drawing: Drawing) -> None:
    painted = walk(render_pdf(drawing))
    for cut, layer in zip(CUTS, ("kiss cut", "through cut"), strict=True):
        on_plate = [p for p in painted if p.ink == cut]
        assert on_plate
        assert all(p.what == "stroke" and p.layer == layer and p.overprint for p in on_plate)
        assert all(p.ink == cut for p in painted if p.layer == layer)
    steps = {p.layer: p.step for p in painted if p.step}
    assert steps == {
        "white": ("White", "White"),
        "varnish": ("Varnish", "Varnish"),
        "kiss cut": ("Structural", "PartialCutting"),
        "through cut": ("Structural", "Cutting"),
    }


def test_curves_survive_as_drawn_through_the_form(drawing: Drawing) -> None:
    discs = [p for p in walk(render_pdf(drawing)) if p.ink == "tarn" and p.forms]
    first = discs[0]
    assert [operator for operator, _ in first.path] == ["m", "c", "c", "c", "c", "h"]
    written = np.concatenate([points for _, points in first.path])
    drawn = (
        drawing.symbols[1]
        .elements[0]
        .path.transformed(drawing.pages[0].layers[0].elements[0].affine)
    )  # type: ignore[union-attr]
    assert np.abs(written / 72.0 * 25.4 - drawn.points).max() < 2e-4


def test_forms_are_stored_once_and_used_each_time(drawing: Drawing) -> None:
    uses = Counter(p.forms for p in walk(render_pdf(drawing)) if p.ink == "chalk")
    assert list(uses.values()) == [2]


def test_marks_belong_to_no_processing_step(drawing: Drawing) -> None:
    marks = [p for p in walk(render_pdf(drawing)) if p.ink == "All"]
    assert marks
    assert all(p.step is None for p in marks)
