"""The demo season's own sheets as files: their structure, their weight, their cut lines."""

import subprocess
from collections.abc import Callable
from pathlib import Path

from pdf_walk import walk
from pdfx import pdfx_faults

from livery.drawing import Drawing
from livery.output import render_pdf, render_svg
from livery.sheet import Sheet, SheetRun, run_drawing, sheet_drawing

LARGEST_SVG = 1_500_000


def test_all_sheets_are_sound_pdfx_with_their_fonts_inside(
    demo_run: SheetRun, tmp_path: Path, qpdf: str
) -> None:
    data = render_pdf(run_drawing(demo_run))
    assert pdfx_faults(data) == []
    path = tmp_path / "sheets.pdf"
    path.write_bytes(data)
    subprocess.run([qpdf, "--check", str(path)], check=True, capture_output=True)
    fonts = subprocess.run(["pdffonts", str(path)], check=True, capture_output=True, text=True)
    rows = fonts.stdout.splitlines()[2:]
    assert rows
    assert all(row.split()[-5] == "yes" for row in rows)
    assert render_pdf(run_drawing(demo_run)) == data


def test_no_sheet_s_svg_is_heavy(
    demo_run: SheetRun, drawn: Callable[[SheetRun, Sheet], Drawing]
) -> None:
    for sheet in demo_run.sheets:
        svg = render_svg(drawn(demo_run, sheet))
        assert len(svg.encode()) < LARGEST_SVG
    assert svg == render_svg(sheet_drawing(demo_run, demo_run.sheets[-1]))


def test_cut_plates_hold_cut_lines_alone(mixed_run: SheetRun) -> None:
    painted = walk(render_pdf(run_drawing(mixed_run)))
    wanted = {
        mixed_run.profile.cut_name: ("Structural", "PartialCutting"),
        mixed_run.profile.through_cut_name: ("Structural", "Cutting"),
    }
    for name, step in wanted.items():
        lines = [p for p in painted if p.ink == name]
        assert lines
        assert all(p.what == "stroke" and p.overprint and p.step == step for p in lines)
        layers = {p.layer for p in lines}
        assert all(p.ink == name for p in painted if p.layer in layers)
    cuts = [p for p in painted if p.ink == mixed_run.profile.cut_name]
    assert len(cuts) == sum(len(sheet.items) for sheet in mixed_run.sheets)
