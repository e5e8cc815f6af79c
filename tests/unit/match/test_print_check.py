"""Batches back from the printer: solids, sheets, evenness, tints, drift."""

import numpy as np
import pytest

from livery.colour import ciede2000, lab_to_xyz, xyz_to_lab
from livery.match.patch_names import PatchName, parse_patch
from livery.match.print_check import INSTRUMENT_SD, check_print
from livery.match.print_model import Outcome, PatchReading

COV = np.eye(3) * INSTRUMENT_SD**2
EMBER, TARN, STOCK = (56.0, 56.0, 50.0), (27.0, -3.0, -30.0), (95.0, 0.0, -2.0)
SOLIDS = (("ember", EMBER), ("tarn", TARN))


def reading(sheet, inks, lab, tint=1.0, place="", advice=""):
    inks = (inks,) if isinstance(inks, str) else inks
    return PatchReading(str(sheet), inks, tint, tuple(map(float, lab)), COV, place, advice)


def batch(sheets=12, shift=(0, 0, 0), seed=1, noise=0.15):
    generator = np.random.default_rng(seed)
    found = []
    for sheet in range(1, sheets + 1):
        for ink, aim in SOLIDS:
            lab = np.array(aim) + shift + generator.normal(0, noise, 3)
            found.append(reading(sheet, ink, lab))
    return found


def test_a_good_batch_is_accepted(palette):
    found = check_print(batch(), palette)
    assert found.outcome is Outcome.ACCEPT
    assert "all 12 sheets" in found.reasons[0]
    assert [one.sheets for one in found.inks] == [12, 12]
    assert all(one.worst_de00 < 1.0 and one.spread < 0.6 for one in found.inks)
    assert len(found.series) == 6


def test_statistics_by_hand(palette):
    labs = [(56.0, 56.0, 50.0), (57.0, 56.0, 50.0), (55.5, 56.0, 50.0)]
    found = check_print([reading(n, "ember", lab) for n, lab in enumerate(labs)], palette)
    (ink,) = found.inks
    apart = ciede2000(EMBER, labs)
    assert ink.mean == pytest.approx(tuple(np.mean(labs, axis=0)))
    assert ink.mean_de00 == pytest.approx(apart.mean())
    assert (ink.worst_de00, ink.worst_sheet) == (pytest.approx(apart[1]), "1")
    assert ink.p95_de00 == pytest.approx(np.quantile(apart, 0.95))


def test_a_run_off_its_aim_is_rejected_with_its_direction(palette):
    found = check_print(batch(shift=(-4, 0, 0)), palette)
    assert found.outcome is Outcome.REJECT
    assert "darker than the aim" in found.reasons[0]


def test_one_bad_sheet_is_named_and_the_others_kept(palette):
    readings = batch()
    readings[6] = reading(4, "ember", (62, 56, 50))
    found = check_print(readings, palette)
    assert found.outcome is Outcome.REJECT
    assert found.reasons[0].startswith("Sheet 4: Ember is")
    assert "other 11 sheets" in found.reasons[-1]
    assert [one.sheet for one in found.sheets if one.outcome is not Outcome.ACCEPT] == ["4"]


def test_what_is_near_the_limit_is_measured_again(palette):
    found = check_print([reading(1, "tarn", (28.95, -3, -30))], palette)
    assert found.outcome is Outcome.AGAIN
    assert "too near its tolerance" in found.reasons[0]


def test_only_accepted_sheets_may_be_kept_apart(palette):
    doubtful = reading(2, "tarn", (28.95, -3, -30))
    sheets = [
        reading(1, "tarn", (60, -3, -30)),
        doubtful,
        *(reading(n, "tarn", TARN) for n in (3, 4)),
    ]
    mean = [reading(n, "tarn", TARN) for n in range(5, 90)]  # the run as a whole is on its aim
    found = check_print(sheets[:2], palette)
    assert not any("kept apart" in one for one in found.reasons)
    found = check_print([*sheets, *mean], palette)
    assert found.reasons[-1] == "The accepted 87 sheets may be kept apart and used"


def test_a_solid_that_is_no_evidence_leaves_its_sheet_undecided(palette):
    good = [reading(sheet, ink, lab) for sheet in (1, 2) for ink, lab in SOLIDS]
    blind = reading(1, "tarn", TARN, advice="glare: move the lamp")
    assert check_print([*good, blind], palette).outcome is Outcome.ACCEPT  # seen at another place
    found = check_print(
        [one for one in good if (one.sheet, one.inks) != ("1", ("tarn",))] + [blind], palette
    )
    assert found.outcome is Outcome.AGAIN
    assert found.reasons == ("Sheet 1: Tarn was not judged",)
    assert "Sheet 1: glare: move the lamp" in found.notes


def test_uneven_sheets_are_rejected_by_place(palette):
    readings = [
        reading(1, "ember", (55.2, 56, 50), place="left"),
        reading(1, "ember", (57.0, 56, 50), place="right"),
    ]
    found = check_print(readings, palette)
    assert found.outcome is Outcome.REJECT
    assert "left to right" in found.reasons[0]
    assert found.sheets[0].uneven_de00 == pytest.approx(1.75, abs=0.15)
    even = check_print(
        [reading(1, "ember", EMBER, place="left"), reading(1, "ember", EMBER, place="right")],
        palette,
    )
    assert even.outcome is Outcome.ACCEPT


def test_drift_inside_tolerance_is_told_and_rejects_nothing(palette):
    generator = np.random.default_rng(3)
    readings = [
        reading(n, "ember", np.array((55.4 + 0.05 * n, 56.0, 50.0)) + generator.normal(0, 0.05, 3))
        for n in range(1, 25)
    ]
    found = check_print(readings, palette)
    assert found.outcome is Outcome.ACCEPT
    assert any("Ember is not steady: L*" in note for note in found.notes)
    assert not any("provisional" in note for note in found.notes)


def tinted(sheet, share):
    ink, stock = lab_to_xyz(np.array(EMBER)), lab_to_xyz(np.array(STOCK))
    return reading(sheet, "ember", xyz_to_lab(share * ink + (1 - share) * stock), tint=0.5)


def sheet_with_tint(sheet, share):
    return [reading(sheet, "ember", EMBER), reading(sheet, (), STOCK, 0.0), tinted(sheet, share)]


def test_tints_are_held_to_their_number_or_to_the_approved_sheet(palette):
    good = check_print(sheet_with_tint(1, 0.66), palette)
    (tint,) = good.tints
    assert tint.ok
    assert tint.mean == pytest.approx(0.5, abs=0.05)
    full = check_print(sheet_with_tint(1, 0.85), palette)
    assert full.outcome is Outcome.REJECT
    assert "Ember 50%: tone" in full.reasons[0]
    agreed = check_print(sheet_with_tint(1, 0.85), palette, sheet_with_tint("ok", 0.85))
    assert agreed.outcome is Outcome.ACCEPT


def test_an_approved_sheet_is_the_aim(palette):
    approved = [reading("ok", "ember", (60, 56, 50)), reading("ok", ("tarn", "ember"), (20, 5, 5))]
    found = check_print(
        [reading(1, "ember", (60.1, 56, 50)), reading(1, ("tarn", "ember"), (20, 5.1, 5))],
        palette,
        approved,
    )
    assert found.outcome is Outcome.ACCEPT
    assert [one.inks for one in found.inks] == [("ember",), ("tarn", "ember")]


def test_what_is_no_evidence_is_left_out_and_said(palette):
    found = check_print([reading(1, "ember", EMBER, advice="glare: move the lamp")], palette)
    assert found.outcome is Outcome.AGAIN
    assert found.reasons == ("glare: move the lamp",)
    assert check_print([], palette).outcome is Outcome.AGAIN


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Ember", PatchName(("ember",), 1.0)),
        ("ember 100 %", PatchName(("ember",), 1.0)),
        ("EMBER_50", PatchName(("ember",), 0.5)),
        ("Tarn-75%", PatchName(("tarn",), 0.75)),
        ("Tarn solid", PatchName(("tarn",), 1.0)),
        ("Tarn 50 % @left #3", PatchName(("tarn",), 0.5, "3", "left")),
        ("Tarn @ far right, sheet 12", PatchName(("tarn",), 1.0, "12", "far right")),
        ("Ember on Tarn", PatchName(("tarn", "ember"), 1.0)),
        ("Stock", PatchName((), 0.0)),
        ("paper #2", PatchName((), 0.0, "2")),
        ("Cyan", None),
        ("Ember 0", None),
        ("Ember 120", None),
        ("Ember on Cyan", None),
        ("", None),
    ],
)
def test_names_of_patches(name, expected, palette):
    assert parse_patch(name, palette) == expected
