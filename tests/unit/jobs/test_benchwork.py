"""What the bench is told of a photograph as a whole."""

from pathlib import Path

import pytest

from livery.capture import make_target
from livery.capture.model import Capture, Gate
from livery.errors import InputError
from livery.jobs.benchwork import MOST_REGIONS, Judged, Spot, judge_photograph, make_region
from livery.match.model import Comparison, Verdict
from livery.scheme import load_season


def _judged(*verdicts: Verdict, gates: tuple[Gate, ...] = ()) -> Judged:
    capture = Capture("kit.jpg", "t", (), gates, None, 5.0, 0.1, absolute=True)
    comparisons = (
        Comparison("tarn", "aim", f"bat {n}", 1.0, 0.1, 1.0, 2.0, one, "")
        for n, one in enumerate(verdicts)
    )
    return Judged(capture, tuple(comparisons), "")


def _failed(region: str) -> Gate:
    return Gate("inside the picture", False, 2.0, 1.0, "Bring it in.", region)


@pytest.mark.parametrize(
    ("judged", "verdict", "words"),
    [
        (_judged(Verdict.PASS, Verdict.PASS), Verdict.PASS, "It matches."),
        (_judged(Verdict.PASS, Verdict.FAIL), Verdict.FAIL, "It does not match."),
        (_judged(Verdict.PASS, Verdict.RESHOOT), Verdict.RESHOOT, "No verdict on part of it"),
        (_judged(), Verdict.RESHOOT, "Nothing was measured"),
        # A region that could not be read has no comparison, and so none that is no pass.
        (_judged(Verdict.PASS, gates=(_failed("cap"),)), Verdict.RESHOOT, "No verdict on part"),
        (_judged(gates=(_failed("cap"),)), Verdict.RESHOOT, "No verdict on part"),
        (_judged(Verdict.FAIL, gates=(_failed("cap"),)), Verdict.FAIL, "It does not match."),
        (_judged(gates=(_failed(""),)), Verdict.RESHOOT, "Photograph it again"),
    ],
)
def test_the_whole_matches_only_where_all_was_judged_and_passed(
    judged: Judged, verdict: Verdict, words: str
) -> None:
    assert judged.verdict is verdict
    assert judged.summary.startswith(words)


def test_what_asks_for_a_hand_comes_first() -> None:
    judged = _judged(Verdict.PASS, Verdict.RESHOOT, Verdict.FAIL, Verdict.RESHOOT)
    assert [one.b for one in judged.worst_first] == ["bat 2", "bat 1", "bat 3", "bat 0"]


def test_no_region_is_left_out_without_a_word(demo_season: Path) -> None:
    spots = [Spot("sedge", "tarn", 10.0, 10.0, 20.0, 20.0)] * (MOST_REGIONS + 1)
    target, _ = make_target("card", None)
    with pytest.raises(InputError, match=f"{MOST_REGIONS + 1} regions"):
        judge_photograph(load_season(demo_season), Path("none.jpg"), target, "", spots)


def test_a_region_is_called_by_what_it_shows(demo_season: Path) -> None:
    scheme = load_season(demo_season)
    region = make_region(scheme, Spot("sedge-pads", "tarn", 10.0, 10.0, 20.0, 20.0), 0)
    assert region.name == "Sedge pads, Tarn, region 1"
    assert (region.item, region.ink) == ("sedge-pads", "tarn")
