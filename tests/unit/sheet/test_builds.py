from dataclasses import replace

import numpy as np
import pytest
from press import darker_press

from livery.colour import ciede2000, press_profile, read_press_profile
from livery.drawing import Process, Spot
from livery.scheme.model import PrintProfile, Prints
from livery.sheet.builds import build_ink, ink_paint, inspect_builds, trap_paint
from livery.sheet.fingerprint import hash_content

PROFILE = PrintProfile()


@pytest.fixture(scope="module")
def palette(shop):
    palette = shop.scheme().palette
    as_builds = {"ember", "chalk", "pitch"}
    inks = (
        replace(i, prints=Prints.PROCESS if i.key in as_builds else Prints.SPOT)
        for i in palette.inks
    )
    return replace(palette, inks=tuple(inks))


def test_a_build_says_what_the_press_profile_predicts_of_it(palette):
    build = build_ink(palette.ink("chalk"), PROFILE)
    lab = press_profile("FOGRA39L").cmyk_to_lab(build.cmyk)
    assert build.lab == pytest.approx(tuple(lab))
    aim = np.array(palette.ink("chalk").lab)
    assert build.de00 == pytest.approx(float(ciede2000(aim, lab)))
    assert build.in_gamut
    assert all(round(1000 * amount) == pytest.approx(1000 * amount) for amount in build.cmyk)


def test_a_printers_own_profile_decides_its_builds(palette):
    icc, ink = darker_press(), palette.ink("ember")
    own = replace(PROFILE, output_condition="Mill Lane coated", output_profile=icc)
    build = build_ink(ink, own)
    press = read_press_profile("Mill Lane coated", icc)
    assert build.lab == pytest.approx(tuple(press.cmyk_to_lab(build.cmyk)))
    assert build.cmyk != build_ink(ink, PROFILE).cmyk


def test_what_prints_is_hashed_with_the_printers_own_profile(palette):
    own = replace(PROFILE, output_profile=darker_press())
    other = replace(PROFILE, output_profile=darker_press(0.9))
    hashes = {hash_content((), (), palette, one, ()) for one in (PROFILE, own, other)}
    assert len(hashes) == 3


def test_a_dark_ink_gets_the_black_it_needs_and_no_more_ink_than_allowed(palette):
    ink = palette.ink("pitch")
    build = build_ink(ink, PROFILE)
    assert build.in_gamut
    assert build.cmyk[3] > 0.3
    bounded = build_ink(ink, replace(PROFILE, most_ink=2.2))
    assert sum(bounded.cmyk) <= 2.2
    assert bounded.cmyk[3] >= build.cmyk[3]


def test_a_black_that_the_profile_names_is_held(palette):
    assert build_ink(palette.ink("pitch"), replace(PROFILE, black=0.7)).cmyk[3] == 0.7


def test_out_of_gamut_is_advice_with_its_distance(palette):
    wild = replace(palette.ink("ember"), lab=(62.0, 75.0, 80.0))
    inks = tuple(wild if ink.key == "ember" else ink for ink in palette.inks)
    findings = {f.subject: f for f in inspect_builds(replace(palette, inks=inks), PROFILE)}
    assert set(findings) == {"ink ember", "ink chalk", "ink pitch"}
    assert findings["ink chalk"].ok
    worst = findings["ink ember"]
    assert not worst.ok
    assert worst.severity == "advice"
    assert worst.measured == pytest.approx(build_ink(wild, PROFILE).de00)
    assert "beyond the ink's tolerance" in worst.text
    assert "own separation" in worst.text


def test_inks_print_as_plates_or_builds_and_tints_thin_them(palette):
    assert isinstance(ink_paint(palette, "tarn", PROFILE), Spot)
    solid, half = (ink_paint(palette, "ember", PROFILE, tint) for tint in (1.0, 0.5))
    assert isinstance(solid, Process)
    assert half.m == pytest.approx(solid.m / 2.0)


def test_a_trap_of_two_builds_holds_both(palette):
    one, two = (ink_paint(palette, key, PROFILE) for key in ("ember", "pitch"))
    trap = trap_paint(palette, "ember", "pitch", PROFILE)
    for name in "cmyk":
        assert getattr(trap, name) == max(getattr(one, name), getattr(two, name))
    assert trap_paint(palette, "ember", "tarn", PROFILE) == one
