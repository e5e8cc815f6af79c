"""The demo season's own sheets, as they are and with builds, white, varnish and through cuts."""

import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import plan
import pytest
from pdf_walk import walk
from pdfx import pdfx_faults
from rasters import (
    split_plates,
)

from livery.drawing import Drawing, Label, Layer
from livery.jobs.survey import Survey, survey
from livery.output import render_pdf, render_svg
from livery.scheme.model import Prints, ThroughCut
from livery.sheet import SheetRun, build_ink, make_sheets, run_drawing, sheet_drawing
from livery.sheet.run import sheet_frame
from livery.sheet.slug import run_inks

SEASON = Path(__file__).parents[2] / "artwork_demo" / "season.toml"
LARGEST_SVG = 1_500_000
BUILDS = ("ember", "reed")


@pytest.fixture(scope="module")
def found() -> Survey:
    return survey(SEASON)


@pytest.fixture(scope="module")
def run(found: Survey) -> SheetRun:
    return make_sheets(found.scheme, found.layouts)


@pytest.fixture(scope="module")
def mixed(found: Survey) -> SheetRun:
    """Two inks as builds; white, varnish and a block cut through."""
    scheme = found.scheme
    inks = tuple(
        replace(ink, prints=Prints.PROCESS) if ink.key in BUILDS else ink
        for ink in scheme.palette.inks
    )
    profile = replace(scheme.profile, white=True, varnish=True, through_cut=ThroughCut.SHEET)
    scheme = replace(scheme, palette=replace(scheme.palette, inks=inks), profile=profile)
    return make_sheets(scheme, found.layouts)


def _fullest(run: SheetRun) -> Drawing:
    """The sheet with most kinds of decal."""
    sheet = max(run.sheets, key=lambda s: len({i.decal.split("@")[0] for i in s.items}))
    return sheet_drawing(run, sheet)


def _only(drawing: Drawing, keep: Iterator[Layer] | tuple[Layer, ...]) -> Drawing:
    return replace(drawing, pages=(replace(drawing.pages[0], layers=tuple(keep)),))


def _without_words(drawing: Drawing) -> Drawing:
    layers = (
        replace(layer, elements=tuple(e for e in layer.elements if not isinstance(e, Label)))
        for layer in drawing.pages[0].layers
    )
    return _only(drawing, layers)


@pytest.fixture(scope="module", params=["run", "mixed"])
def chosen(request: pytest.FixtureRequest) -> SheetRun:
    return request.getfixturevalue(request.param)


@pytest.fixture(scope="module")
def plates(
    chosen: SheetRun, tmp_path_factory: pytest.TempPathFactory, ghostscript: str
) -> tuple[Drawing, dict[str, np.ndarray]]:
    drawing = _without_words(_fullest(chosen))
    folder = tmp_path_factory.mktemp("plates")
    return drawing, split_plates(render_pdf(drawing), folder, by_centre=True)


def test_all_sheets_are_sound_pdfx_with_their_fonts_inside(
    run: SheetRun, tmp_path: Path, qpdf: str
) -> None:
    data = render_pdf(run_drawing(run))
    assert pdfx_faults(data) == []
    path = tmp_path / "sheets.pdf"
    path.write_bytes(data)
    subprocess.run([qpdf, "--check", str(path)], check=True, capture_output=True)
    fonts = subprocess.run(["pdffonts", str(path)], check=True, capture_output=True, text=True)
    rows = fonts.stdout.splitlines()[2:]
    assert rows
    assert all(row.split()[-5] == "yes" for row in rows)
    assert render_pdf(run_drawing(run)) == data


def test_no_sheet_s_svg_is_heavy(run: SheetRun) -> None:
    for sheet in run.sheets:
        svg = render_svg(sheet_drawing(run, sheet))
        assert len(svg.encode()) < LARGEST_SVG
    assert svg == render_svg(sheet_drawing(run, run.sheets[-1]))


def test_builds_print_their_amounts(mixed: SheetRun, tmp_path: Path, ghostscript: str) -> None:
    drawing = _without_words(_fullest(mixed))
    printed = split_plates(render_pdf(drawing), tmp_path)
    frame = sheet_frame(mixed.profile, mixed.palette, run_inks(mixed))
    for number, key in enumerate(run_inks(mixed)):
        if key not in BUILDS:
            continue
        cell, half = frame.strip[number], mixed.profile.control_patch_mm / 2.0
        x, y = cell.x_mm + half, cell.y_mm + 1.0 + half
        row, column = (round(v / 25.4 * 300.0) for v in (drawing.pages[0].height_mm - y, x))
        build = build_ink(mixed.palette.ink(key), mixed.profile)
        for name, amount in zip(plan.PROCESS, build.cmyk, strict=True):
            assert int(printed[name][row, column]) == pytest.approx(255 * (1 - amount), abs=1.5)


def test_marks_are_the_same_on_every_plate(
    chosen: SheetRun, plates: tuple[Drawing, dict[str, np.ndarray]]
) -> None:
    frame = sheet_frame(chosen.profile, chosen.palette, run_inks(chosen))
    printed = plates[1]
    first = next(iter(printed.values()))
    for x, y in frame.crosses:
        half = 0.6 * chosen.profile.cross_mm
        rows = [int(first.shape[0] - v * 300 / 25.4) for v in (y + half, y - half)]
        columns = [int(v * 300 / 25.4) for v in (x - half, x + half)]
        window = (slice(max(0, rows[0]), rows[1]), slice(max(0, columns[0]), columns[1]))
        assert (first[window] < 255).any()
        for name, plate in printed.items():
            assert np.array_equal(plate[window], first[window]), name


def test_cut_plates_hold_cut_lines_alone(mixed: SheetRun) -> None:
    painted = walk(render_pdf(run_drawing(mixed)))
    wanted = {mixed.profile.cut_name: ("Structural", "PartialCutting")}
    if mixed.profile.through_cut is not ThroughCut.NOTHING:
        wanted[mixed.profile.through_cut_name] = ("Structural", "Cutting")
    for name, step in wanted.items():
        lines = [p for p in painted if p.ink == name]
        assert lines
        assert all(p.what == "stroke" and p.overprint and p.step == step for p in lines)
        layers = {p.layer for p in lines}
        assert all(p.ink == name for p in painted if p.layer in layers)
    cuts = [p for p in painted if p.ink == mixed.profile.cut_name]
    assert len(cuts) == sum(len(sheet.items) for sheet in mixed.sheets)
