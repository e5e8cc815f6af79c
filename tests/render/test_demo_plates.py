"""Every plate of the demo's sheets, split by Ghostscript, against the plan's own polygons.

A pixel has ink where its centre is inside, in both. Left out are pixels whose centre an edge meets
as nearly as Ghostscript tells places apart; curves are cut so finely that its straightening of
them does not count.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import plan
import pytest
from rasters import Grey, cut_curves, overlap, split_plates

from livery.drawing import Drawing, LayerKind, Shape, Use
from livery.geometry import Affine
from livery.output import render_pdf
from livery.sheet import Sheet, SheetRun, build_ink
from livery.sheet.preparation import sheet_frame
from livery.sheet.slug import run_inks

DPI = 300
PX_MM = 25.4 / DPI
WHOLE, WHOLE_CUT = 0.999, 0.998  # intersection over union on a sheet; of cut lines a pixel wide
LOCAL, LOCAL_CUT = 0.997, 0.99  # and in the box of each decal alone
FEW_PX = 500  # less ink of one kind in a decal's box is judged on the sheet only
MOST_TIES = 0.01
Window = tuple[slice, slice]
Plates = dict[str, Grey]
Drawn = Callable[[SheetRun, Sheet], Drawing]


@dataclass(frozen=True)
class Look:
    """How one plate of one sheet compares with the plan.

    Attributes:
        whole: intersection over union on the sheet.
        least: the least such in the box of any one decal.
        ties: pixels left out, over those with ink.
        marks: whether its marks are those of the sheet's first plate, pixel by pixel.
    """

    sheet: int
    plate: str
    whole: float
    least: float
    ties: float
    marks: bool

    def falls_short(self, cuts: tuple[str, ...]) -> bool:
        """Whether the plate prints something else than the plan says."""
        if self.plate in cuts:
            return self.whole < WHOLE_CUT or self.least < LOCAL_CUT or not self.marks
        near = self.whole >= WHOLE and self.least >= LOCAL and self.ties <= MOST_TIES
        return not (near and self.marks)


def _print(drawing: Drawing, folder: Path) -> Plates:
    return split_plates(cut_curves(render_pdf(drawing)), folder, DPI, by_centre=True)


def _window(box: tuple[float, float, float, float], reach_mm: float, height_px: int) -> Window:
    x0, y0, x1, y1 = box
    sides = height_px - (y1 + reach_mm) / PX_MM, height_px - (y0 - reach_mm) / PX_MM
    sides += (x0 - reach_mm) / PX_MM, (x1 + reach_mm) / PX_MM
    top, bottom, left, right = (max(0, int(side)) for side in sides)
    return slice(top, bottom), slice(left, right)


def _decal_windows(run: SheetRun, sheet: Sheet, height_px: int) -> list[Window]:
    outlines = {decal.key: decal.decal.outline for decal in run.decals}
    boxes = (outlines[item.decal].transformed(item.affine).bounds() for item in sheet.items)
    return [_window(box, run.profile.bleed_mm, height_px) for box in boxes]


def _mark_windows(drawing: Drawing, height_px: int) -> list[Window]:
    (layer,) = (x for x in drawing.pages[0].layers if x.kind is LayerKind.MARKS)
    shapes = (e for e in layer.elements if isinstance(e, Shape))
    return [_window(shape.path.bounds(), 0.3, height_px) for shape in shapes]


def _looks(run: SheetRun, sheet: Sheet, drawing: Drawing, plates: Plates) -> list[Look]:
    """Each plate of a sheet beside its plan."""
    wanted, ties = plan.plates_and_ties(drawing, DPI)
    decals = _decal_windows(run, sheet, len(ties))
    marks = _mark_windows(drawing, len(ties))
    first, looks, told = next(iter(plates.values())), [], ~ties
    for name, mask in wanted.items():
        inked, clear = (plates[name] < 255) & told, mask & told
        tied = 1.0 - float(np.count_nonzero(clear) / np.count_nonzero(mask))
        boxes = [w for w in decals if np.count_nonzero(clear[w]) >= FEW_PX]
        least = min((overlap(inked[w], clear[w]) for w in boxes), default=1.0)
        same = all(np.array_equal(plates[name][w], first[w]) for w in marks)
        looks.append(Look(sheet.number, name, overlap(inked, clear), least, tied, same))
    return looks


def _short(run: SheetRun, looks: list[Look]) -> list[Look]:
    cuts = (run.profile.cut_name, run.profile.through_cut_name)
    return [look for look in looks if look.falls_short(cuts)]


def _smallest(run: SheetRun) -> Sheet:
    """The sheet with the fewest decals."""
    return min(run.sheets, key=lambda sheet: len(sheet.items))


@pytest.fixture(scope="module")
def mixed_sheet(mixed_run: SheetRun, drawn: Drawn) -> Drawing:
    return plan.without_words(drawn(mixed_run, _smallest(mixed_run)))


@pytest.fixture(scope="module")
def mixed_plates(
    mixed_sheet: Drawing, tmp_path_factory: pytest.TempPathFactory, ghostscript: str
) -> Plates:
    return _print(mixed_sheet, tmp_path_factory.mktemp("mixed"))


def test_every_plate_of_every_sheet_is_the_plan_s_own_polygons(
    demo_run: SheetRun, drawn: Drawn, tmp_path: Path, ghostscript: str
) -> None:
    for sheet in demo_run.sheets:
        drawing = plan.without_words(drawn(demo_run, sheet))
        looks = _looks(demo_run, sheet, drawing, _print(drawing, tmp_path / str(sheet.number)))
        names = {demo_run.palette.ink(key).name for key in run_inks(demo_run)}
        assert {look.plate for look in looks} == names | {demo_run.profile.cut_name}
        assert _short(demo_run, looks) == []


def test_builds_and_steps_are_the_plan_s_own_polygons(
    mixed_run: SheetRun, mixed_sheet: Drawing, mixed_plates: Plates
) -> None:
    looks = _looks(mixed_run, _smallest(mixed_run), mixed_sheet, mixed_plates)
    assert {look.plate for look in looks} == set(mixed_plates)
    assert _short(mixed_run, looks) == []


def test_builds_print_their_amounts(
    mixed_run: SheetRun, mixed_plates: Plates, builds: tuple[str, ...]
) -> None:
    profile, inks = mixed_run.profile, run_inks(mixed_run)
    frame = sheet_frame(profile, mixed_run.palette, inks)
    for key in builds:
        cell, half = frame.strip[inks.index(key)], profile.control_patch_mm / 2.0
        x, y = cell.x_mm + half, cell.y_mm + 1.0 + half
        row, column = (round(v / PX_MM) for v in (_smallest(mixed_run).height_mm - y, x))
        build = build_ink(mixed_run.palette.ink(key), profile)
        for name, amount in zip(plan.PROCESS, build.cmyk, strict=True):
            tone = int(mixed_plates[name][row, column])
            assert tone == pytest.approx(255 * (1 - amount), abs=1.5)


def test_a_decal_moved_by_one_pixel_is_seen(
    demo_run: SheetRun, drawn: Drawn, tmp_path: Path, ghostscript: str
) -> None:
    sheet = _smallest(demo_run)
    drawing = plan.without_words(drawn(demo_run, sheet))
    artwork, *others = drawing.pages[0].layers
    use, *uses = artwork.elements
    assert isinstance(use, Use)
    moved = replace(use, affine=Affine.translation(PX_MM, 0.0) @ use.affine)
    layers = (replace(artwork, elements=(moved, *uses)), *others)
    printed = replace(drawing, pages=(replace(drawing.pages[0], layers=layers),))
    looks = _looks(demo_run, sheet, drawing, _print(printed, tmp_path))
    decal = next(d for d in demo_run.decals if d.key == sheet.items[0].decal)
    names = {demo_run.palette.ink(key).name for key in decal.decal.inks}
    assert {look.plate for look in _short(demo_run, looks)} == names
