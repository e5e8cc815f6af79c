from dataclasses import replace

import numpy as np
import pytest

from livery.colour import press_profile
from livery.drawing import Process, Spot
from livery.match.print_model import PatchReading
from livery.match.tints import check_tints
from livery.scheme.model import PrintProfile, Prints
from livery.sheet.strip import control_patches, group_widths_mm

PROFILE = PrintProfile()


def processed(palette, *keys):
    inks = (replace(i, prints=Prints.PROCESS) if i.key in keys else i for i in palette.inks)
    return replace(palette, inks=tuple(inks))


def test_every_separation_has_solid_tints_and_overprints(shop):
    patches = control_patches(shop.scheme().palette, PROFILE, ("tarn", "ember", "pitch"))
    names = [p.name for p in patches]
    for ink in ("Tarn", "Ember", "Pitch"):
        assert {f"{ink} 100 %", f"{ink} 75 %", f"{ink} 50 %"} <= set(names)
    overprints = [p for p in patches if len(p.inks) == 2]
    assert len(overprints) == 3
    assert all(len(p.paints) == 2 for p in overprints)
    assert names[-2:] == ["Grey: Pitch 50 %", "Stock"]


def test_solids_of_separations_aim_at_the_palette(shop):
    palette = shop.scheme().palette
    solid = control_patches(palette, PROFILE, ("ember",))[0]
    assert (solid.aim, solid.predicted) == (palette.ink("ember").lab, False)
    assert isinstance(solid.paints[0], Spot)


def test_a_sheet_that_measures_as_aimed_has_the_tones_that_a_print_check_wants(shop):
    palette = shop.scheme().palette
    patches = control_patches(palette, PROFILE, tuple(ink.key for ink in palette.inks))
    readings = [PatchReading("sheet", p.inks, p.tint, p.aim, np.zeros((3, 3))) for p in patches]
    tints = check_tints(readings, ())
    assert len(tints) == 2 * len(palette.inks)
    for one in tints:
        assert one.ok
        assert one.mean == pytest.approx(one.tint, abs=1e-6)


def test_builds_bring_the_process_inks_and_a_grey(shop):
    palette = processed(shop.scheme().palette, "ember")
    patches = control_patches(palette, PROFILE, ("tarn", "ember"))
    names = [p.name for p in patches]
    assert {"Cyan", "Magenta", "Yellow", "Black", "Yellow on Magenta"} <= set(names)
    assert {"Grey 50/40/40", "Black 50 %"} <= set(names)
    assert not any(len(p.inks) == 2 for p in patches)
    for patch in patches:
        for paint in patch.paints:
            if isinstance(paint, Process):
                build = (paint.c, paint.m, paint.y, paint.k)
                assert patch.aim == pytest.approx(press_profile().cmyk_to_lab(build))


def test_a_palette_without_a_neutral_has_no_grey(shop):
    names = [p.name for p in control_patches(shop.scheme().palette, PROFILE, ("tarn", "ember"))]
    assert not any(name.startswith("Grey") for name in names)


def test_groups_are_as_wide_as_their_patches(shop):
    palette = shop.scheme().palette
    widths = group_widths_mm(PROFILE, palette, ("tarn", "pitch"))
    assert widths == (18.0, 18.0, 6.0, 6.0, 6.0)
