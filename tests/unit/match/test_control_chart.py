"""Limits and run rules of a chart of individuals."""

import numpy as np
import pytest

from livery.errors import ColourError
from livery.match.control_chart import Rule, chart_individuals

CALM = [1.0, -1.0] * 10


def test_limits_by_hand():
    values = [10.0, 12.0, 11.0, 13.0, 9.0, 11.0, 12.0, 10.0]
    chart = chart_individuals(values)
    mean_range = np.mean([2, 1, 2, 4, 2, 1, 2])
    assert chart.centre == pytest.approx(11.0)
    # 2.660 = 3 / d2 of two values: control-constants (second-hand)
    assert chart.limits[1] == pytest.approx(11.0 + 2.660 * mean_range, abs=5e-3)
    assert chart.provisional
    assert chart.signals == ()


def rules(values):
    return {(signal.index, signal.rule) for signal in chart_individuals(values).signals}


def test_a_calm_process_gives_no_signal():
    assert rules(CALM) == set()
    assert not chart_individuals(CALM).provisional


def test_a_point_far_out():
    assert (20, Rule.BEYOND) in rules([*CALM, 9.0])
    assert (20, Rule.RANGE) in rules([*CALM, 9.0])


def test_two_of_three_must_lie_on_one_side():
    assert (22, Rule.TWO_OF_THREE) in rules([*CALM, 5.2, 0.0, 5.2])
    assert not any(r is Rule.TWO_OF_THREE for _, r in rules([*CALM, 5.2, 0.0, -5.2]))


def test_four_of_five():
    assert (24, Rule.FOUR_OF_FIVE) in rules([*CALM, 3.2, 3.2, 0.0, 3.2, 3.2])


def test_eight_in_a_row():
    drift = [*CALM, *[0.9] * 8]
    assert (27, Rule.RUN) in rules(drift)
    assert not any(rule is Rule.RUN for _, rule in rules([*CALM, *[0.9] * 7, -1.0]))


def test_a_steady_drift_is_found():
    generator = np.random.default_rng(4)
    drift = np.linspace(0, 3, 30) + generator.normal(0, 0.2, 30)
    assert rules(list(drift))


def test_false_alarms_are_rare():
    generator = np.random.default_rng(8)
    points = [chart_individuals(list(generator.normal(size=25))) for _ in range(200)]
    alarms = sum(any(s.rule is Rule.BEYOND for s in chart.signals) for chart in points)
    assert alarms / 200 < 0.2


def test_identical_values_give_no_signal():
    assert chart_individuals([2.0] * 12).signals == ()


@pytest.mark.parametrize("values", [[], [1.0] * 7, [1.0] * 9 + [np.nan]])
def test_what_cannot_be_charted(values):
    with pytest.raises(ColourError, match="at least 8"):
        chart_individuals(values)
