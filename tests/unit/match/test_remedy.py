"""Changed aims and common aims, against brute force."""

from itertools import product

import numpy as np
import pytest

from livery.colour import ciede2000, press_profile
from livery.match import Verdict, compare
from livery.match.remedy import find_common_aims, find_remedies, minimax_colour

PRINTED = {"ember": frozenset({"bat"}), "tarn": frozenset({"bat"})}


def brute(labs, step):
    """The least largest difference on a fine grid over the colours' box and some more."""
    labs = np.asarray(labs, dtype=float)
    low, high = labs.min(axis=0) - 2 * step, labs.max(axis=0) + 2 * step
    axes = [np.arange(a, b + step, step) for a, b in zip(low, high, strict=True)]
    points = np.array(list(product(*axes)))
    return ciede2000(points[:, None, :], labs).max(axis=1).min()


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("count", [2, 3, 5])
def test_no_grid_finds_a_better_point(seed, count):
    generator = np.random.default_rng(seed)
    centre = generator.uniform((25, -45, -45), (85, 45, 45))
    labs = centre + generator.uniform(-3, 3, (count, 3))
    point, worst = minimax_colour(labs)
    assert worst == pytest.approx(float(ciede2000(point, labs).max()))
    assert worst <= brute(labs, 0.25) + 1e-3


def test_between_two_colours_it_is_half_way():
    labs = [(50.0, 0.0, 0.0), (54.0, 0.0, 0.0)]
    point, worst = minimax_colour(labs)
    one, other = (float(ciede2000(point, lab)) for lab in labs)
    assert one == pytest.approx(other, abs=2e-3)
    assert worst == pytest.approx(float(ciede2000(*labs)) / 2, rel=0.02)


def test_one_colour_is_its_own_best():
    point, worst = minimax_colour([(50.0, 10.0, 10.0)])
    assert worst == pytest.approx(0.0, abs=1e-3)
    assert point == pytest.approx((50.0, 10.0, 10.0), abs=1e-2)


def test_scales_pull_towards_the_stricter():
    labs = [(50.0, 0.0, 0.0), (54.0, 0.0, 0.0)]
    point, _ = minimax_colour(labs, [1.0, 3.0])
    assert point[0] < 51.5


def test_a_printed_item_is_moved_just_inside(palette, sample):
    found = compare([sample("bat"), sample("pad", (61.0, 54.0, 52.0))], palette)
    assert any(one.verdict is Verdict.FAIL for one in found)
    (remedy,) = find_remedies(found, palette, PRINTED)
    assert (remedy.item, remedy.other) == ("bat", "pad")
    assert remedy.inside
    assert remedy.before_de00 > 2.0
    assert 0.5 * remedy.tolerance < remedy.after_de00 <= 0.8 * remedy.tolerance + 1e-9
    assert remedy.change[0] > 0
    assert "lighter" in remedy.words
    aim = np.array(palette.ink("ember").lab) + remedy.change
    assert remedy.aim == pytest.approx(tuple(aim))


def test_what_to_print_again_goes_by_its_name(palette, sample):
    found = compare([sample("bat"), sample("pad", (61.0, 54.0, 52.0))], palette)
    (remedy,) = find_remedies(found, palette, PRINTED, titles={"bat": "Sedge"})
    assert remedy.words.startswith("Print Sedge ")
    assert remedy.item == "bat"


def test_items_that_pull_apart_cannot_both_be_met(palette, sample):
    evidence = [sample("bat"), sample("pad", (66, 56, 50)), sample("glove", (46, 56, 50))]
    (remedy,) = find_remedies(compare(evidence, palette), palette, PRINTED)
    assert not remedy.inside
    assert "no single change" in remedy.words


def test_an_item_off_its_aim_alone_is_moved_back(palette, sample):
    (remedy,) = find_remedies(compare([sample("bat", (50, 56, 50))], palette), palette, PRINTED)
    assert remedy.other == "aim"
    assert remedy.inside
    assert remedy.change[0] > 3.0


def test_what_passes_or_is_bought_in_needs_no_remedy(palette, sample):
    good = compare([sample("bat"), sample("pad")], palette)
    assert find_remedies(good, palette, PRINTED) == ()
    assert find_common_aims(good) == ()
    bought = compare([sample("glove"), sample("pad", (66, 56, 50))], palette)
    assert find_remedies(bought, palette, PRINTED) == ()


def test_a_common_aim_serves_all(palette, sample):
    labs = {"bat": (40, -3, -25), "pad": (45, -4, -22), "glove": (41, -6, -28)}
    evidence = [sample(item, lab, ink="tarn") for item, lab in labs.items()]
    (common,) = find_common_aims(compare(evidence, palette), press_profile())
    assert set(common.items) == set(labs)
    apart = ciede2000(common.lab, list(labs.values()))
    assert common.worst_de00 == pytest.approx(apart.max(), abs=1e-6)
    assert common.worst_de00 <= brute(list(labs.values()), 0.25) + 1e-3
    assert common.build.in_gamut
    printed = press_profile().cmyk_to_lab(common.build.cmyk)
    assert float(ciede2000(printed, common.lab)) == pytest.approx(common.build.left_de00, abs=1e-6)


def test_a_colour_no_press_reaches_says_how_far_off(palette, sample):
    found = compare([sample("bat", (56, 95, 80)), sample("pad", (60, 98, 70))], palette)
    (common,) = find_common_aims(found, press_profile())
    assert not common.build.in_gamut
