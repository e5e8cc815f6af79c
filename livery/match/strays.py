"""Regions that are outside by themselves, however well the mean of all of them does.

A mean of ten decals hides one in another ink; no pass stands over such a one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from livery.colour import ciede2000
from livery.match.decision import decide
from livery.match.evidence import Shot
from livery.match.model import Verdict

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One region's share in a pair; the other side is what the region is held against.

    Attributes:
        cov: covariance of ``lab_b - lab_a``, shape (3, 3).
    """

    name: str
    lab_a: Floats
    lab_b: Floats
    cov: Floats


@dataclass(frozen=True, slots=True)
class Stray:
    """The region furthest outside."""

    name: str
    de00: float


class Parted(Protocol):
    """A pair that knows its parts."""

    @property
    def parts(self) -> tuple[Part, ...]:
        """Its regions one by one; none where it has no more than one a side."""

    @property
    def a_known(self) -> bool:
        """Whether a is exact."""


def pair_parts(pairs: Sequence[tuple[Shot, Shot]]) -> tuple[Part, ...]:
    """Each region of either item against the other item's mean in the same photograph."""
    parts: list[Part] = []
    for one, other in pairs:
        for shot, beside, mirrored in ((one, other, True), (other, one, False)):
            if len(shot.regions) < 2:
                continue
            cov = shot.region_cov_beside(beside) + beside.cov_beside(shot)
            for name, lab in zip(shot.region_names, shot.regions, strict=True):
                lab_a, lab_b = (lab, beside.lab) if mirrored else (beside.lab, lab)
                parts.append(Part(name, lab_a, lab_b, cov))
    return tuple(parts)


def parts_against(lab_a: Floats, cov_a: Floats, shots: Sequence[Shot]) -> tuple[Part, ...]:
    """Each region of some photographs against an aim, or what others say of another item."""
    parts = tuple(
        Part(name, lab_a, lab, cov_a + shot.region_cov + shot.shared_cov)
        for shot in shots
        for name, lab in zip(shot.region_names, shot.regions, strict=True)
    )
    return parts if len(parts) > 1 else ()


def find_strays(pairs: Sequence[Parted], tolerances: Sequence[float]) -> tuple[Stray | None, ...]:
    """Of each pair the region furthest outside, among those that fail by themselves.

    Args:
        pairs: with their parts.
        tolerances: largest ΔE00 of each.
    """
    found: list[Stray | None] = [None] * len(pairs)
    at = [(index, part) for index, pair in enumerate(pairs) for part in pair.parts]
    if not at:
        return tuple(found)
    limits = np.array([tolerances[index] for index, _ in at])
    apart = ciede2000([part.lab_a for _, part in at], [part.lab_b for _, part in at])
    suspects = np.flatnonzero(apart > limits)
    if not len(suspects):
        return tuple(found)
    parts = [at[place][1] for place in suspects]
    verdicts = decide(
        np.array([part.lab_a for part in parts]),
        np.array([part.lab_b for part in parts]),
        np.array([part.cov for part in parts]),
        limits[suspects],
        np.array([pairs[at[place][0]].a_known for place in suspects]),
    )
    for place, verdict in zip(suspects, verdicts, strict=True):
        index, part = at[place]
        worst, de00 = found[index], float(apart[place])
        if verdict is Verdict.FAIL and (worst is None or de00 > worst.de00):
            found[index] = Stray(part.name, de00)
    return tuple(found)
