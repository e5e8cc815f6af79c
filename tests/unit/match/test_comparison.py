"""Which pairs are compared, with which covariance, and when no verdict is given."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from livery.capture.model import Capture, Gate, Sample
from livery.errors import InputError
from livery.match import Comparison, Verdict, compare, item_names, list_remarks
from livery.match.findings import Findings
from livery.match.rulings import rule_each
from livery.scheme import load_season
from livery.scheme.model import PairTolerance, Palette, Tolerances

Make = Callable[..., Sample]
Shoot = Callable[..., Capture]


def by_pair(comparisons: tuple[Comparison, ...]) -> dict[tuple[str, str, str], Comparison]:
    return {(one.ink, one.a, one.b): one for one in comparisons}


def test_each_ink_is_held_to_its_aim_the_reference_and_other_items(
    palette: Palette, sample: Make
) -> None:
    evidence = [sample("bat"), sample("glove"), sample("bat", (27, -3, -30), ink="tarn")]
    found = compare(evidence, palette, reference=[sample("bat", source="signed")])
    assert [(one.ink, one.a, one.b) for one in found] == [
        ("ember", "aim", "bat"),
        ("ember", "aim", "glove"),
        ("ember", "reference", "bat"),
        ("ember", "bat", "glove"),
        ("tarn", "aim", "bat"),
    ]
    assert all(one.verdict is Verdict.PASS for one in found)


def test_in_one_photograph_shared_error_cancels(palette: Palette, sample: Make) -> None:
    apart = (56.9, 56.0, 50.0)
    together = by_pair(compare([sample("a", shared=1.0), sample("b", apart, shared=1.0)], palette))[
        "ember", "a", "b"
    ]
    separate = by_pair(
        compare([sample("a", shared=1.0), sample("b", apart, shared=1.0, source="other")], palette)
    )["ember", "a", "b"]
    assert together.de00 == pytest.approx(separate.de00)
    assert together.verdict is Verdict.PASS
    assert separate.verdict is Verdict.RESHOOT
    assert separate.u95 > 4 * together.u95
    assert "one photograph" in separate.reason


def test_covariance_that_cancels_too_much_stays_positive(palette: Palette, sample: Make) -> None:
    odd = [replace(sample(item), shared_cov=np.eye(3)) for item in ("a", "b")]
    (pair,) = [one for one in compare(odd, palette) if one.a == "a"]
    assert pair.u95 == 0.0
    assert pair.verdict is Verdict.PASS


def test_nominal_targets_give_pairs_only(palette: Palette, sample: Make, capture: Shoot) -> None:
    shot = capture(sample("a"), sample("b"), absolute=False)
    found = by_pair(compare([shot], palette))
    assert found["ember", "aim", "a"].verdict is Verdict.RESHOOT
    assert "nominal" in found["ember", "aim", "a"].reason
    assert found["ember", "a", "b"].verdict is Verdict.PASS


def test_nominal_targets_give_no_pair_across_photographs(
    palette: Palette, sample: Make, capture: Shoot
) -> None:
    shots = [capture(sample("a"), absolute=False), capture(sample("b", source="x"))]
    pair = by_pair(compare(shots, palette))["ember", "a", "b"]
    assert pair.verdict is Verdict.RESHOOT
    assert "nominal" in pair.reason


def test_a_failed_gate_withholds_verdicts_and_passes_its_advice_on(
    palette: Palette, sample: Make, capture: Shoot
) -> None:
    gate = Gate("focus", False, 0.1, 0.5, "Steady the camera")
    found = compare([capture(sample("a"), sample("b", (80, 0, 0)), gates=[gate])], palette)
    assert {one.verdict for one in found} == {Verdict.RESHOOT}
    assert all("Steady the camera" in one.reason for one in found)


def test_what_withholds_a_verdict_is_told_in_whole_sentences(
    palette: Palette, sample: Make, capture: Shoot
) -> None:
    gate = Gate("reflexes in b", False, 0.1, 0.0, "A lamp is mirrored in b. Move it")
    (only,) = compare([capture(sample("b"), gates=[gate])], palette)
    assert only.reason.startswith("No verdict. Reflexes in b: A lamp is mirrored in b. Move it. As")


def test_a_gate_of_one_region_spares_the_others(
    palette: Palette, sample: Make, capture: Shoot
) -> None:
    gate = Gate("glare", False, 1, 0, "Move the lamp", region="b-ember")
    found = by_pair(compare([capture(sample("a"), sample("b"), gates=[gate])], palette))
    assert found["ember", "aim", "a"].verdict is Verdict.PASS
    assert found["ember", "aim", "b"].verdict is Verdict.RESHOOT
    assert found["ember", "a", "b"].verdict is Verdict.RESHOOT


def test_good_photographs_are_preferred_to_failed_ones(
    palette: Palette, sample: Make, capture: Shoot
) -> None:
    bad = capture(sample("a", (80, 0, 0)), gates=[Gate("focus", False, 0, 1, "x")])
    good = capture(sample("a", source="second"))
    (aim,) = compare([bad, good], palette)
    assert aim.verdict is Verdict.PASS
    assert aim.de00 == 0.0


def test_the_same_evidence_given_twice_proves_no_more(
    palette: Palette, sample: Make, capture: Shoot
) -> None:
    one = capture(sample("a", (57, 56, 50), own=0.8))
    assert compare([one, one], palette) == compare([one], palette)


def test_regions_that_disagree_widen_the_uncertainty(palette: Palette, sample: Make) -> None:
    even = compare([sample("a"), sample("a")], palette)[0]
    uneven = compare([sample("a", (54, 56, 50)), sample("a", (58, 56, 50))], palette)[0]
    assert uneven.de00 == pytest.approx(even.de00)
    assert uneven.u95 > 3 * even.u95


def ten_decals(sample: Make, item: str, stray: float) -> list[Sample]:
    """Ten regions of one ink on one item; the last is off by so much in L*."""
    regions = [sample(item, name=f"{item} {number}") for number in range(9)]
    lab = (56.0 + stray, 56.0, 50.0)
    return [*regions, sample(item, lab, name=f"{item} 9")]


@pytest.mark.parametrize("stray", [0.0, 1.0, 6.8])
def test_nothing_passes_of_which_one_region_fails_by_itself(
    palette: Palette, sample: Make, capture: Shoot, stray: float
) -> None:
    evidence = [*ten_decals(sample, "bat", stray), sample("pad"), sample("pad", source="other")]
    signed = [sample("bat", source="signed")]
    found = by_pair(compare(evidence, palette, reference=signed))
    verdict = Verdict.RESHOOT if stray > 2.0 else Verdict.PASS
    for pair in (("aim", "bat"), ("reference", "bat"), ("bat", "pad")):
        one = found["ember", *pair]
        assert one.verdict is verdict, pair
        assert ("bat 9 by itself" in one.reason) is (verdict is Verdict.RESHOOT)
    assert found["ember", "aim", "pad"].verdict is Verdict.PASS
    rulings = rule_each([capture(*evidence)], palette, Tolerances(), names={})
    assert [one.verdict for one in rulings[0] if (one.a, one.b) == ("aim", "bat")] == [verdict]


def test_one_photograph_of_many_that_fails_by_itself_is_no_pass(
    palette: Palette, sample: Make
) -> None:
    good = [sample("bat", source=f"{number}") for number in range(12)]
    wrong = sample("bat", (62.8, 56, 50), source="another bat", name="of another bat")
    (one,) = compare([*good, wrong], palette)
    assert one.verdict is Verdict.RESHOOT
    assert "of another bat by itself" in one.reason


def test_more_photographs_by_one_camera_prove_no_more(palette: Palette, sample: Make) -> None:
    single = compare([sample("a", shared=0.5)], palette)[0]
    several = compare([sample("a", shared=0.5, source=str(n)) for n in range(9)], palette)[0]
    assert several.u95 == pytest.approx(single.u95)


def test_inks_named_only_by_their_region_are_found(palette: Palette, sample: Make) -> None:
    named = [
        replace(sample("x", name=name), item="", ink="") for name in ("bat-ember", "pad/ember")
    ]
    assert ("ember", "bat", "pad") in by_pair(compare(named, palette))


@pytest.mark.parametrize("name", ["aim", "reference"])
def test_an_item_may_not_pass_for_an_aim(palette: Palette, sample: Make, name: str) -> None:
    with pytest.raises(InputError, match=name):
        compare([sample(name)], palette)


def test_nothing_to_compare_is_no_error(palette: Palette) -> None:
    assert compare([], palette) == ()


def test_a_pair_of_materials_has_its_own_tolerance(demo_season: Path, sample: Make) -> None:
    scheme = load_season(demo_season)
    names = item_names(scheme)
    tolerances = Tolerances(pairs=(PairTolerance(("coated fabric", "glove"), 3.0),))
    evidence = [sample(item) for item in ("sedge", "gloves", "pad")]
    found = by_pair(compare(evidence, scheme.palette, tolerances, names=names))
    assert found["ember", "gloves", "pad"].tolerance == 3.0
    assert "coated fabric" in found["ember", "gloves", "pad"].basis
    assert found["ember", "sedge", "pad"].tolerance == 2.0
    assert found["ember", "aim", "pad"].tolerance == 2.0


@pytest.mark.parametrize(
    ("lab", "words"),
    [
        ((61, 56, 50), ["lighter"]),
        ((51, 56, 50), ["darker"]),
        ((56, 64, 57), ["stronger in colour"]),
        ((56, 48, 43), ["weaker in colour"]),
        ((56, 50, 56), ["yellower"]),
    ],
)
def test_the_reason_says_which_way(
    palette: Palette, sample: Make, lab: tuple[float, ...], words: list[str]
) -> None:
    (aim,) = compare([sample("bat", lab)], palette)
    assert aim.verdict is Verdict.FAIL
    assert aim.margin < 0
    assert all(word in aim.reason for word in words)


def test_reasons_call_items_by_name_where_they_have_one(palette: Palette, sample: Make) -> None:
    evidence = [sample("sedge-pads", (61, 56, 50)), sample("gloves")]
    tolerances = Tolerances(pairs=(PairTolerance(("sedge-pads", "gloves"), 3.0),))
    titles = {"sedge-pads": "Sedge pads"}
    found = by_pair(compare(evidence, palette, tolerances, titles=titles))
    pair = found["ember", "sedge-pads", "gloves"]
    assert "gloves is much darker than Sedge pads" in pair.reason
    assert "between Sedge pads and gloves" in pair.reason
    assert "Sedge pads is much lighter than the aim" in found["ember", "aim", "sedge-pads"].reason


def test_near_grey_the_reason_speaks_of_a_and_b(palette: Palette, sample: Make) -> None:
    labs = ((50, 0, 0), (50, 0, -3))
    found = compare([sample(item, lab) for item, lab in zip("ab", labs, strict=True)], palette)
    assert "bluer" in by_pair(found)["ember", "a", "b"].reason


def test_remarks_name_what_was_not_seen(palette: Palette, sample: Make) -> None:
    evidence = [sample("bat"), sample("bat", (27, -3, -30), ink="tarn"), sample("pad")]
    evidence += [sample("pad", ink="embr")]
    said = [(one.ink, one.item, one.text) for one in list_remarks(evidence, palette)]
    for ink, item, words in (
        ("tarn", "bat", "no other item"),
        ("tarn", "bat", "one region"),
        ("embr", "", "did you mean 'ember'"),
        ("ember", "pad", "one region"),
    ):
        assert any(one[:2] == (ink, item) and words in one[2] for one in said), (ink, item, words)
    alone = list_remarks([sample("bat")], palette, [sample("pad", source="signed")])
    texts = {(one.ink, one.item, one.text) for one in alone}
    assert ("tarn", "", "no sample shows this ink") in texts
    assert ("ember", "bat", "the reference does not show it") in texts


@pytest.mark.parametrize(
    ("inks", "match"),
    [((), False), (("ember",), True), (("ember", "embr"), False), (("embr",), False)],
)
def test_what_was_seen_and_not_judged_is_no_match(
    palette: Palette, sample: Make, inks: tuple[str, ...], match: bool
) -> None:
    evidence = [sample("bat", ink=ink) for ink in inks]
    findings = Findings(compare(evidence, palette), list_remarks(evidence, palette))
    assert findings.all_match is match


def test_a_region_that_could_not_be_read_is_no_match(
    palette: Palette, sample: Make, capture: Shoot
) -> None:
    gate = Gate("inside the picture", False, 2, 1, "Bring it in", region="cap ember")
    evidence = [capture(sample("bat"), gates=[gate])]
    comparisons = compare(evidence, palette)
    assert [one.verdict for one in comparisons] == [Verdict.PASS]
    findings = Findings(comparisons, list_remarks(iter(evidence), palette))
    assert not findings.all_match
    assert ("cap ember", True) in [(one.item, one.unjudged) for one in findings.remarks]


def test_remarks_name_uneven_items(palette: Palette, sample: Make) -> None:
    evidence = [sample("bat", (54, 56, 50)), sample("bat", (59, 56, 50))]
    assert any("its own regions differ" in one.text for one in list_remarks(evidence, palette))


@pytest.mark.parametrize(
    ("materials", "cancels"),
    [
        (("soft leather", "soft leather"), True),
        (("soft leather", "coated fabric"), False),
        (("", "soft leather"), False),
        (("", ""), False),
    ],
)
def test_the_cameras_misfit_cancels_only_between_pieces_known_to_be_of_one_material(
    palette: Palette,
    sample: Callable[..., Sample],
    capture: Callable[..., Capture],
    materials: tuple[str, str],
    cancels: bool,
) -> None:
    pieces = [
        replace(sample(item, shared=0.9), material=material, misfit_cov=np.eye(3) * 0.8**2)
        for item, material in zip(("glove", "pad"), materials, strict=True)
    ]
    pair = next(c for c in compare([capture(*pieces)], palette) if c.a == "glove")
    known = next(
        c
        for c in compare([capture(sample("glove", shared=0.9), sample("pad", shared=0.9))], palette)
        if c.a == "glove"
    )
    assert pair.u95 == pytest.approx(known.u95, rel=1e-9) if cancels else pair.u95 > 2 * known.u95


def test_a_doubt_between_materials_is_no_pass(
    palette: Palette, sample: Callable[..., Sample], capture: Callable[..., Capture]
) -> None:
    def verdict(material: str) -> Verdict:
        one = sample("glove", (56.0, 56.0, 50.0), shared=1.2)
        other = sample("pad", (57.3, 56.0, 50.0), shared=1.2)
        pieces = [
            replace(piece, material=made_of, misfit_cov=np.eye(3) * 1.1**2)
            for piece, made_of in ((one, "soft leather"), (other, material))
        ]
        return next(c.verdict for c in compare([capture(*pieces)], palette) if c.a == "glove")

    assert verdict("soft leather") is Verdict.PASS
    assert verdict("coated fabric") is Verdict.RESHOOT
