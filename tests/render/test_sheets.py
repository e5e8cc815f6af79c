"""Sheets of an invented season as a press prints them, plate by plate."""

from dataclasses import replace
from pathlib import Path as FilePath

import numpy as np
import plan
import pytest
from rasters import overlap, render_with_ghostscript, render_with_mupdf, split_plates

from livery.artwork.model import Decal, InkRegion
from livery.drawing import Drawing, LayerKind
from livery.geometry import Affine, Path
from livery.kit.model import KitItem
from livery.output import render_pdf
from livery.placement.model import Layout, Placement
from livery.scheme import load_season
from livery.scheme.model import Hand, ItemKind, PrintProfile, Scheme
from livery.sheet import SheetRun, make_sheets, run_drawing
from livery.sheet.frame import Frame
from livery.sheet.preparation import sheet_frame
from livery.sheet.slug import run_inks

PROFILE = PrintProfile(stock_width_mm=200.0, stock_height_mm=150.0, white=True, varnish=True)


def _ellipse(width: float, height: float) -> Path:
    return Path.circle(0, 0, 1).transformed(Affine.scaling(width / 2, height / 2))


def _decal(key: str, outline: Path, *regions: tuple[str, Path]) -> Decal:
    x0, y0, x1, y1 = outline.bounds()
    parts = tuple(InkRegion(ink, path) for ink, path in regions)
    return Decal(key, key, parts, outline, x1 - x0, y1 - y0, 0.15, "decoration", True)


@pytest.fixture(scope="module")
def run() -> SheetRun:
    scheme = _scheme()
    dark, light, third = (ink.key for ink in scheme.palette.inks[:3])
    badge = _ellipse(40, 30)
    half = Path.rectangle(0, -15, 20, 15).polygon().intersection(badge.polygon(0.001))
    parts = [(dark, badge), (light, Path.from_geometry(half)), (third, _ellipse(16, 16))]
    parts.append((dark, _ellipse(6, 9)))
    strip = Path.rectangle(-25, -5, 25, 5)
    decals = (_decal("badge", badge, *parts), _decal("strip", strip, (light, strip)))
    placements = tuple(
        Placement(f"p{n}", decal, "face", Affine(), scale, mirrored)
        for n, (decal, scale, mirrored) in enumerate(
            [(decals[0], 1.0, False), (decals[0], 0.8, True), (decals[1], 1.0, False)]
        )
    )
    item = KitItem("sedge", "Sedge", ItemKind.BAT, "short-handle", Hand.RIGHT, "", ())
    return make_sheets(scheme, [Layout(item, placements, (), "Q-1", "Somebody", 2)])


def _scheme() -> Scheme:
    root = FilePath(__file__).parents[2]
    season = load_season(root / "artwork_demo" / "season.toml")
    return replace(season, profile=PROFILE, decals=())


@pytest.fixture(scope="module")
def drawing(run: SheetRun) -> Drawing:
    """The run's sheets without words, which the plan does not know."""
    return plan.without_words(run_drawing(run))


@pytest.fixture(scope="module")
def plates(
    drawing: Drawing, tmp_path_factory: pytest.TempPathFactory, ghostscript: str
) -> dict[str, np.ndarray]:
    folder = tmp_path_factory.mktemp("sheets")
    return split_plates(render_pdf(drawing), folder, by_centre=True)


def test_each_ink_and_step_plate_is_the_plan_s_own_polygons(
    run: SheetRun, drawing: Drawing, plates: dict[str, np.ndarray]
) -> None:
    expected = plan.plates(drawing, 300.0)
    names = [run.palette.ink(key).name for key in run_inks(run)]
    for name in (*names, PROFILE.white_name, PROFILE.varnish_name):
        assert expected[name].any()
        assert overlap(plates[name] < 255, expected[name]) >= 0.999, name


def test_marks_are_the_same_on_every_plate(run: SheetRun, plates: dict[str, np.ndarray]) -> None:
    frame = sheet_frame(PROFILE, run.palette, run_inks(run))
    first = next(iter(plates.values()))
    for window in _mark_windows(frame, first.shape):
        assert (first[window] < 255).any()
        for name, plate in plates.items():
            assert np.array_equal(plate[window], first[window]), name


def _mark_windows(frame: Frame, shape: tuple[int, ...]) -> list[tuple[slice, slice]]:
    scale = 300.0 / 25.4
    half = 0.6 * PROFILE.cross_mm
    return [
        (
            slice(max(0, int(shape[0] - (y + half) * scale)), int(shape[0] - (y - half) * scale)),
            slice(max(0, int((x - half) * scale)), int((x + half) * scale)),
        )
        for x, y in frame.crosses
    ]


def test_every_step_layer_has_its_kind(drawing: Drawing) -> None:
    kinds = [layer.kind for layer in drawing.pages[0].layers]
    for kind in (LayerKind.WHITE, LayerKind.VARNISH, LayerKind.KISS_CUT, LayerKind.MARKS):
        assert kinds.count(kind) == 1


def test_the_file_grows_with_kinds_not_with_copies(run: SheetRun) -> None:
    item = run.sheets[0].items[0]
    few = replace(run, sheets=(replace(run.sheets[0], items=(item,) * 2),))
    many = replace(run, sheets=(replace(run.sheets[0], items=(item,) * 202),))
    small, large = (len(render_pdf(run_drawing(r))) for r in (few, many))
    assert large - small < 200 * 60


@pytest.mark.usefixtures("ghostscript")
@pytest.mark.parametrize("viewer", ["ghostscript", "mupdf"])
def test_white_and_varnish_hide_no_ink_where_overprint_is_not_shown(
    drawing: Drawing, viewer: str, tmp_path: FilePath
) -> None:
    steps = (LayerKind.WHITE, LayerKind.VARNISH)
    bare = [
        replace(page, layers=tuple(one for one in page.layers if one.kind not in steps))
        for page in drawing.pages
    ]
    seen = []
    for one in (drawing, replace(drawing, pages=tuple(bare))):
        pdf = render_pdf(one)
        seen.append(
            render_with_mupdf(pdf, 100.0)
            if viewer == "mupdf"
            else render_with_ghostscript(pdf, tmp_path, 100.0, overprint=False)
        )
    both, inks_alone = (picture.astype(int) for picture in seen)
    dark = (inks_alone < 140).any(axis=2)
    assert dark.mean() > 0.03
    # A viewer may blend in the press condition, and so show inks as that prints them.
    assert (np.abs(both - inks_alone)[dark] > 30).mean() < 0.01
