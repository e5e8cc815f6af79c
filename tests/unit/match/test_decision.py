"""The decision rule, tried at the limit."""

import numpy as np
import pytest

from livery.colour import ciede2000
from livery.match.decision import Judgement, decide, judge, square_root, standard_points
from livery.match.model import Verdict

# JCGM 106:2012: the risk of a wrong pass is held to 5 %; a wrong fail to about 5 %.
FALSE_PASS, FALSE_FAIL = 0.05, 0.06
TRIALS = 400


def at_distance(lab: np.ndarray, tolerance: float, rng: np.random.Generator) -> np.ndarray:
    """Colours exactly ``tolerance`` away, in random directions."""
    ways = rng.normal(size=(TRIALS, 3))
    near, far = np.zeros((TRIALS, 1)), np.full((TRIALS, 1), 60.0)
    for _ in range(40):
        middle = (near + far) / 2
        inside = ciede2000(lab, lab + ways * middle)[:, None] < tolerance
        near, far = np.where(inside, middle, near), np.where(inside, far, middle)
    return lab + ways * near


@pytest.mark.parametrize("sd", [0.1, 0.4, 1.0])
@pytest.mark.parametrize("lab", [(56.0, 56.0, 50.0), (50.0, 0.0, 0.0)])
def test_at_the_limit_wrong_verdicts_are_rare(lab: tuple[float, ...], sd: float) -> None:
    rng = np.random.default_rng(11)
    colour = np.array(lab)
    cov = np.diag([0.7 * sd, sd, 1.2 * sd]) ** 2
    true = at_distance(colour, 2.0, rng)
    seen = true + rng.normal(size=(TRIALS, 3)) @ square_root(cov).T
    judged = judge(
        np.broadcast_to(colour, seen.shape), seen, np.tile(cov, (TRIALS, 1, 1)), 2.0, True
    )
    verdicts = [judged.verdict(index) for index in range(TRIALS)]
    chance = 2.0 * np.sqrt(0.05 * 0.95 / TRIALS)  # two standard errors of the trial itself
    assert verdicts.count(Verdict.PASS) / TRIALS <= FALSE_PASS + chance
    assert verdicts.count(Verdict.FAIL) / TRIALS <= FALSE_FAIL + chance


def one(lab_a: object, lab_b: object, cov: object, tolerance: float) -> Judgement:
    return judge([lab_a], [lab_b], [cov], tolerance, a_known=True)


def test_uncertainty_follows_brute_force() -> None:
    rng = np.random.default_rng(4)
    a, b = np.array([27.0, -3.0, -30.0]), np.array([28.5, -1.0, -31.0])
    root = rng.normal(size=(3, 3)) * 0.4
    cov = root @ root.T
    errors = rng.normal(size=(400_000, 3)) @ root.T
    seen = ciede2000(a, b + errors)
    judged = one(a, b, cov, 1.5)
    assert judged.sd[0] == pytest.approx(seen.std(), rel=0.02)
    assert judged.p_inside[0] == pytest.approx((seen <= 1.5).mean(), abs=0.01)
    low, high = np.quantile(seen, (0.025, 0.975))
    assert judged.u95[0] == pytest.approx((high - low) / 2, rel=0.02)


def test_two_uncertain_colours_follow_brute_force() -> None:
    rng = np.random.default_rng(5)
    a, b = np.array([70.0, 10.0, 30.0]), np.array([64.0, 12.0, 33.0])
    sd = np.array([0.5, 0.4, 0.6])
    errors = rng.normal(size=(2, 400_000, 3)) * sd
    seen = ciede2000(a + errors[0], b + errors[1])
    judged = judge([a], [b], [2.0 * np.diag(sd**2)], 5.0)
    assert judged.sd[0] == pytest.approx(seen.std(), rel=0.01)
    assert judged.p_inside[0] == pytest.approx((seen <= 5.0).mean(), abs=0.01)


def test_far_from_zero_it_is_the_linear_law() -> None:
    a, b = np.array([50.0, 20.0, 10.0]), np.array([60.0, 22.0, 11.0])
    cov = np.diag([0.2, 0.1, 0.3]) ** 2
    step = 1e-5
    gradient = [(ciede2000(a, b + step * axis) - ciede2000(a, b)) / step for axis in np.eye(3)]
    linear = float(np.sqrt(gradient @ cov @ np.array(gradient)))
    judged = one(a, b, cov, 2.0)
    assert judged.sd[0] == pytest.approx(linear, rel=0.01)
    assert judged.u95[0] == pytest.approx(1.96 * linear, rel=0.02)


def test_known_exactly_there_is_no_doubt() -> None:
    grey = (50.0, 0.0, 0.0)
    zero = np.zeros((3, 3))
    edge = float(ciede2000(np.array(grey), np.array([52.0, 0.0, 0.0])))
    assert one(grey, (52.0, 0.0, 0.0), zero, edge).verdict(0) is Verdict.PASS
    assert one(grey, (52.0, 0.0, 0.0), zero, edge - 1e-3).verdict(0) is Verdict.FAIL
    assert one(grey, grey, zero, 0.1).verdict(0) is Verdict.PASS


def test_noise_never_buys_a_pass() -> None:
    """True zero, read through noise alone, is not passed on the strength of its bias."""
    grey = (50.0, 0.0, 0.0)
    judged = one(grey, grey, np.eye(3), 1.0)
    assert judged.de00[0] == 0.0
    assert judged.noise[0] > 1.0
    assert judged.verdict(0) is Verdict.RESHOOT


def test_large_noise_fails_only_what_the_limit_could_not_read() -> None:
    grey = (50.0, 0.0, 0.0)
    doubtful = one(grey, (50.0, 2.2, 0.0), np.eye(3), 1.0)
    assert doubtful.de00[0] > doubtful.tolerance[0] + 1.645 * doubtful.sd[0]
    assert doubtful.verdict(0) is Verdict.RESHOOT
    assert one(grey, (50.0, 3.0, 0.0), np.eye(3), 1.0).verdict(0) is Verdict.FAIL


def test_judgement_does_not_depend_on_company() -> None:
    labs = np.array([[50.0, 5.0, 5.0]] * 130)
    others = labs + np.linspace(0, 3, 130)[:, None]
    covs = np.tile(np.eye(3) * 0.04, (130, 1, 1))
    together = judge(labs, others, covs, 2.0)
    alone = judge(labs[100:101], others[100:101], covs[100:101], 2.0)
    assert together.p_inside[100] == alone.p_inside[0]
    assert together.sd[100] == pytest.approx(alone.sd[0], rel=1e-12)


def pairs_near_a_limit(count: int) -> tuple[np.ndarray, ...]:
    """Pairs of all colours, a third about neutral, with tolerances on both sides of a verdict."""
    rng = np.random.default_rng(12)
    a = np.column_stack([rng.uniform(5, 95, count), rng.normal(0, 30, (count, 2))])
    a[::3, 1:] *= 0.02
    known = np.arange(count) % 2 == 0
    b = a + rng.normal(size=a.shape) * rng.uniform(0, 2, (count, 1))
    root = rng.normal(size=(count, 3, 3)) * rng.choice([0.0, 0.05, 0.4, 1.5], (count, 1, 1))
    cov = root @ root.swapaxes(1, 2)
    judged = judge(a, b, cov, 1.0, known)
    errors = standard_points() @ square_root(cov).swapaxes(1, 2)
    half = np.where(known, 0.0, 0.5)[:, None, None]
    seen = ciede2000((a[:, None] - half * errors), b[:, None] + (1.0 - half) * errors)
    edge = np.where(
        rng.random(count) < 0.6,
        np.quantile(seen, 0.95, axis=1),
        judged.de00 - 1.645 * judged.sd,
    )
    off = rng.choice([-0.3, -1e-3, -1e-6, 0.0, 1e-6, 1e-3, 0.3], count)
    return a, b, cov, np.maximum(edge + off, 1e-3), known


def test_verdicts_alone_are_those_of_a_judgement() -> None:
    pairs = pairs_near_a_limit(1500)
    judged = judge(*pairs)
    verdicts = decide(*pairs)
    assert verdicts == [judged.verdict(index) for index in range(len(verdicts))]
    assert all(verdicts.count(one) > 100 for one in Verdict)


def test_points_are_standard() -> None:
    points = standard_points()
    assert points.mean(axis=0) == pytest.approx(np.zeros(3), abs=1e-12)
    assert points.T @ points / len(points) == pytest.approx(np.eye(3), abs=1e-12)


def test_a_square_root_ignores_negative_variance() -> None:
    root = square_root(np.diag([4.0, -1.0, 1.0]))
    assert root @ root.T == pytest.approx(np.diag([4.0, 0.0, 1.0]))
