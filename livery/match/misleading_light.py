"""What would put every ink of an item off its aim at once, and is no fault of its print.

Film left on, or stray light, lays some white over all its inks; a shadow, or a lamp that is
nearer, gives all of them one share of the target's light. Both are told; no verdict changes.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from livery.colour import WHITE_D50, ciede2000, lab_to_xyz, xyz_to_lab
from livery.match.model import AIM, Comparison, Remark, Verdict

Floats = NDArray[np.float64]

# Each: [source: workshop-choice]
_FEWEST_INKS = 3
_LEAST_VEIL, _LEAST_SHARE = 0.004, 0.03
_EXPLAINED = 0.5  # of the mean difference, that is left at most

_ADVICE = "photograph again before its print or an aim is blamed"


def find_misleading_light(comparisons: Iterable[Comparison]) -> tuple[Remark, ...]:
    """A remark on each item whose inks are off their aims as light, not print, would put them.

    Args:
        comparisons: as ``compare`` gives them; those with aims are looked at.
    """
    by_item: dict[str, list[Comparison]] = {}
    for one in comparisons:
        if one.a == AIM and one.lab_a is not None and one.lab_b is not None:
            by_item.setdefault(one.b, []).append(one)
    told = ((item, _explain(own)) for item, own in by_item.items())
    return tuple(Remark("", item, text) for item, text in told if text)


def _explain(own: list[Comparison]) -> str:
    """The likelier of the two, in words; "" where neither brings every ink inside."""
    if len(own) < _FEWEST_INKS or not any(one.verdict is Verdict.FAIL for one in own):
        return ""
    labs = np.array([(one.lab_a, one.lab_b) for one in own], dtype=np.float64)
    aims, seen = (lab_to_xyz(labs[:, side]) / WHITE_D50 for side in (0, 1))
    veil = float(((1.0 - aims) * (seen - aims)).sum() / ((1.0 - aims) ** 2).sum())
    share = float((aims * seen).sum() / (aims**2).sum())
    found = []
    if veil >= _LEAST_VEIL:
        text = (
            f"all its {len(own)} inks read as if {veil:.1%} of white light lay over them: peel "
            f"off any film, wipe it, turn the lamp away, and {_ADVICE}"
        )
        found.append((_left(own, aims + veil * (1.0 - aims), labs[:, 1]), text))
    if abs(share - 1.0) >= _LEAST_SHARE:
        text = (
            f"all its {len(own)} inks read as if they had {share:.0%} of the target's light: lay "
            f"it beside the target in the same light, and {_ADVICE}"
        )
        found.append((_left(own, aims * share, labs[:, 1]), text))
    left, text = min(found, default=(np.inf, ""))
    return text if left <= _EXPLAINED * float(np.mean([one.de00 for one in own])) else ""


def _left(own: list[Comparison], expected: Floats, seen: Floats) -> float:
    """Mean ΔE00 that is left; infinite where an ink is still outside its tolerance."""
    left = ciede2000(xyz_to_lab(expected * WHITE_D50), seen)
    inside = left <= np.array([one.tolerance for one in own])
    return float(left.mean()) if inside.all() else float("inf")
