"""The decision rule: from two colours and their covariance to pass, fail or re-shoot.

The true difference is taken as normal about the measured one, and ΔE00 is followed through its
own curvature with a fixed set of quasi-random points: no seed, the same verdict every time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour import ciede2000, ciede2000_single
from livery.match.model import Verdict

Floats = NDArray[np.float64]
Reals = NDArray[np.floating[Any]]
Answer = TypeVar("Answer", Verdict, Verdict | None)

PASS_PROBABILITY = 0.95
"""Least probability of being inside tolerance for a pass. Source: jcgm-106."""

GUARD = 1.645
"""Standard deviations of guard band before a fail: one-sided 5 %. Source: jcgm-106."""

_POINTS = 2048  # workshop choice; each is used with its mirror image
_SLIP_DE00 = 1e-3  # workshop choice; single precision was found to be off by at most 1e-4
_SLIP_POINTS = 4  # workshop choice: readings that may lie on either side of a jump of the formula
_SLACK_DE00 = 1e-9  # workshop choice: a difference of exactly the tolerance is inside
_CHUNK = 128  # workshop choice: pairs judged at a time
_CACHED_BYTES = 200_000  # workshop choice: errors whose readings are made in a core's cache


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """Numbers behind verdicts, each of shape (n,).

    Attributes:
        de00: ΔE00 of the means.
        sd: standard deviation of ΔE00.
        u95: half-width of its central 95 % interval.
        p_inside: probability that the true ΔE00 is within tolerance.
        noise: mean reading if the two colours were the same.
        limit_reading: what a true difference on the limit would read above only once in twenty
            times; infinite where ΔE00 is within tolerance.
    """

    de00: Floats
    sd: Floats
    u95: Floats
    p_inside: Floats
    noise: Floats
    limit_reading: Floats
    tolerance: Floats

    def verdict(self, index: int) -> Verdict:
        """What may be said of one pair.

        Noise lengthens a difference on average. That is never subtracted before a pass, where it
        errs on the safe side; before a fail the reading must also exceed ``limit_reading``, or
        large noise would fail more than one good pair in twenty.

        Source:
            jcgm-106
        """
        if self.p_inside[index] >= PASS_PROBABILITY:
            return Verdict.PASS
        if self.de00[index] > self.fail_above(index):
            return Verdict.FAIL
        return Verdict.RESHOOT

    def fail_above(self, index: int) -> float:
        """The reading above which a pair fails: its tolerance with the guard band."""
        guarded = self.tolerance[index] + GUARD * self.sd[index]
        return float(max(guarded, self.limit_reading[index]))


def judge(
    lab_a: ArrayLike,
    lab_b: ArrayLike,
    cov: ArrayLike,
    tolerance: ArrayLike,
    a_known: ArrayLike = False,
) -> Judgement:
    """Judge pairs of colours.

    Args:
        lab_a: CIELAB D50/2°, shape (n, 3).
        lab_b: likewise.
        cov: covariance of ``lab_b - lab_a``, shape (n, 3, 3).
        tolerance: largest ΔE00 that matches, shape (n,) or one for all.
        a_known: where ``lab_a`` is exact, as an aim is, shape (n,) or one for all; elsewhere
            the two are equally uncertain about their middle.

    Raises:
        ColourError: values that are not finite, or shapes that do not agree.

    Source:
        jcgm-106, sharma-2005
    """
    a, b = (np.asarray(lab, dtype=np.float64).reshape(-1, 3) for lab in (lab_a, lab_b))
    covs = np.asarray(cov, dtype=np.float64).reshape(-1, 3, 3)
    limits = np.broadcast_to(np.asarray(tolerance, dtype=np.float64), len(a)).copy()
    own = np.where(np.broadcast_to(np.asarray(a_known, dtype=bool), len(a)), 0.0, 0.5)
    columns = np.empty((5, len(a)))
    for start in range(0, len(a), _CHUNK):
        part = slice(start, start + _CHUNK)
        columns[:, part] = _follow(a[part], b[part], covs[part], limits[part], own[part])
    sd, u95, inside, noise, limit_reading = columns
    return Judgement(ciede2000(a, b), sd, u95, inside, noise, limit_reading, limits)


def decide(
    lab_a: Floats, lab_b: Floats, cov: Floats, tolerance: Floats, a_known: NDArray[np.bool_]
) -> list[Verdict]:
    """Verdicts alone, the same as ``judge`` gives, for a fifth of its work.

    Most are plain at a glance in single precision; the others are followed in double.

    Args:
        lab_a: CIELAB D50/2°, shape (n, 3).
        lab_b: likewise.
        cov: covariance of ``lab_b - lab_a``, shape (n, 3, 3).
        tolerance: shape (n,).
        a_known: where ``lab_a`` is exact, shape (n,).

    Raises:
        ColourError: values that are not finite.

    Source:
        jcgm-106, sharma-2005
    """
    terms = (lab_a, lab_b, cov, tolerance, np.where(a_known, 0.0, 0.5))
    glanced = _by_chunks(_glance, terms)
    left = np.array([verdict is None for verdict in glanced], dtype=bool)
    decided = iter(_by_chunks(_decide, [term[left] for term in terms]))
    return [next(decided) if verdict is None else verdict for verdict in glanced]


def _by_chunks(work: Callable[..., list[Answer]], terms: Sequence[Floats]) -> list[Answer]:
    starts = range(0, len(terms[0]), _CHUNK)
    return [
        one for start in starts for one in work(*(term[start : start + _CHUNK] for term in terms))
    ]


def _glance(
    a: Floats, b: Floats, cov: Floats, tolerance: Floats, own: Floats
) -> list[Verdict | None]:
    """Verdicts that single precision is sure of; None of what may fail or lies near a limit."""
    seen = _readings(a, b, own, np.ones(len(a)), _errors(square_root(cov).astype(np.float32)))
    least, most = (
        np.count_nonzero(seen <= limit.astype(np.float32)[:, None], axis=1)
        for limit in (tolerance - _SLIP_DE00, tolerance + _SLIP_DE00)
    )
    enough = PASS_PROBABILITY * seen.shape[1]
    passed = least >= enough + _SLIP_POINTS
    guarded = tolerance + GUARD * seen.std(axis=1) - _SLIP_DE00
    neither = (most < enough - _SLIP_POINTS) & (ciede2000(a, b) < guarded)
    return [
        Verdict.PASS if good else Verdict.RESHOOT if unsure else None
        for good, unsure in zip(passed, neither, strict=True)
    ]


def _decide(a: Floats, b: Floats, cov: Floats, tolerance: Floats, own: Floats) -> list[Verdict]:
    errors = _errors(square_root(cov))
    seen = _readings(a, b, own, np.ones(len(a)), errors)
    passed = (seen <= tolerance[:, None] + _SLACK_DE00).mean(axis=1) >= PASS_PROBABILITY
    de00 = ciede2000(a, b)
    failed = ~passed & (de00 > tolerance + GUARD * seen.std(axis=1))
    if failed.any():
        limits = _limit_readings(
            a[failed], b[failed], own[failed], tolerance[failed], errors[failed]
        )
        failed[failed] = de00[failed] > limits
    return [
        Verdict.PASS if good else Verdict.FAIL if bad else Verdict.RESHOOT
        for good, bad in zip(passed, failed, strict=True)
    ]


def _limit_readings(a: Floats, b: Floats, own: Floats, tolerance: Floats, errors: Reals) -> Floats:
    """What a true difference on the limit reads above only once in twenty times."""
    share = _share_at(a, b, own, tolerance)
    at_limit = _readings(a, b, own, share, errors)
    limits: Floats = np.quantile(at_limit, PASS_PROBABILITY, axis=1)
    return limits


def _follow(a: Floats, b: Floats, cov: Floats, tolerance: Floats, own: Floats) -> Floats:
    """SD, U95, P(inside), noise and limit reading of one chunk, shape (5, n)."""
    errors = _errors(square_root(cov))
    everything = np.ones(len(a))
    seen = _readings(a, b, own, everything, errors)
    low, high = np.quantile(seen, (0.025, 0.975), axis=1)
    inside = (seen <= tolerance[:, None] + _SLACK_DE00).mean(axis=1)
    noise = _readings(a, b, own, 0.0 * everything, errors).mean(axis=1)
    limit_reading = np.full(len(a), np.inf)
    out = ciede2000(a, b) > tolerance
    if out.any():
        limit_reading[out] = _limit_readings(a[out], b[out], own[out], tolerance[out], errors[out])
    return np.stack([seen.std(axis=1), (high - low) / 2.0, inside, noise, limit_reading])


def _errors(root: Reals) -> Reals:
    """Errors at the standard points, by factors of their covariances; shape (n, p, 3)."""
    return np.swapaxes(root @ standard_points().T.astype(root.dtype), 1, 2)


def _readings(a: Floats, b: Floats, own: Floats, share: Floats, errors: Reals) -> Reals:
    """ΔE00 of ``share`` of each difference with every error, shape (n, p), as precise as those.

    ``own`` is the part of difference and error that lies on a's side of where they are held.
    """
    kind = errors.dtype
    measure = ciede2000 if kind == np.float64 else ciede2000_single
    part = own[:, None, None].astype(kind)
    away = (b - a)[:, None]
    held = (a[:, None] + own[:, None, None] * away).astype(kind)
    away = (away * share[:, None, None]).astype(kind)
    readings = np.empty(errors.shape[:2], dtype=kind)
    few = max(1, _CACHED_BYTES // errors[:1].nbytes)
    for start in range(0, len(a), few):
        at = slice(start, start + few)
        step = away[at] + errors[at]
        readings[at] = measure(held[at] - part[at] * step, held[at] + (1.0 - part[at]) * step)
    return readings


def _share_at(a: Floats, b: Floats, own: Floats, tolerance: Floats) -> Floats:
    """The share of each difference at which ΔE00 is the tolerance."""
    share = np.ones(len(a))
    away, part = b - a, own[:, None]
    held = a + part * away
    for _ in range(12):  # ΔE00 is nearly proportional along a line, so this closes in fast
        step = away * share[:, None]
        share = share * tolerance / ciede2000(held - part * step, held + (1.0 - part) * step)
    return share


def square_root(cov: Floats) -> Floats:
    """A factor F of covariances with F Fᵀ = cov; negative eigenvalues count as none.

    Args:
        cov: shape (..., 3, 3).
    """
    values, vectors = np.linalg.eigh((cov + np.swapaxes(cov, -1, -2)) / 2.0)
    factor: Floats = vectors * np.sqrt(np.maximum(values, 0.0))[..., None, :]
    return factor


@cache
def standard_points() -> Floats:
    """Points of a standard normal in three dimensions, shape (4096, 3).

    An additive recurrence whose steps are powers of the root of x⁴ = x + 1, with every point's
    mirror image, scaled to unit covariance exactly.

    Source:
        roberts-2018
    """
    root = 1.2207440846057596
    steps = np.arange(1, _POINTS + 1)[:, None] / root ** np.arange(1, 4)
    inverse = np.vectorize(NormalDist().inv_cdf, otypes=[np.float64])
    points = inverse((0.5 + steps) % 1.0)
    points = np.concatenate([points, -points])
    spread = np.linalg.cholesky(points.T @ points / len(points))
    whitened: Floats = np.linalg.solve(spread, points.T).T
    whitened.setflags(write=False)
    return whitened
