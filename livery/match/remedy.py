"""What would make an ink match: a changed aim for what is printed, or one aim between all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour import PressProfile, ciede2000
from livery.drawing import LabColour, lab_colour
from livery.match import words
from livery.match.model import AIM, REFERENCE, Comparison, Titles, Verdict
from livery.scheme.model import Palette

Floats = NDArray[np.float64]

WELL_INSIDE = 0.8
"""Share of each tolerance that a changed aim should leave a pair at. Source: workshop-choice."""

_SIDE, _ROUNDS, _ZOOM = 9, 26, 0.6  # workshop choice: points a side, rounds, and how each narrows
_NO_BUILD_DE00 = 1.0  # workshop choice: a build further from its aim does not print it


@dataclass(frozen=True, slots=True)
class Build:
    """Process inks for a colour: coverages 0..1, and the ΔE00 that is left."""

    cmyk: tuple[float, float, float, float]
    left_de00: float

    @property
    def in_gamut(self) -> bool:
        """Whether process inks come near enough."""
        return self.left_de00 <= _NO_BUILD_DE00


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change of one printed item's aim that brings its pairs inside.

    Attributes:
        item: what would be printed again.
        other: the other half of its worst pair; ``aim`` where it is off its aim alone.
        before_de00, after_de00: of the worst of its pairs, now and with the change.
        tolerance: of the worst pair after the change.
        change: what to add to the aim, in L*, a*, b*.
        aim: the aim with the change.
        inside: whether every pair would be inside its tolerance.
        build: process inks for it; None without a press profile.
    """

    ink: str
    item: str
    other: str
    before_de00: float
    after_de00: float
    tolerance: float
    change: LabColour
    aim: LabColour
    inside: bool
    words: str
    build: Build | None = None


@dataclass(frozen=True, slots=True)
class CommonAim:
    """The colour whose largest ΔE00 from items already made is least.

    Attributes:
        worst_de00: that largest difference.
        worst_item: an item that far from it.
    """

    ink: str
    lab: LabColour
    worst_de00: float
    worst_item: str
    items: tuple[str, ...]
    build: Build | None = None


def minimax_colour(labs: ArrayLike, scales: ArrayLike | None = None) -> tuple[Floats, float]:
    """The colour whose largest ΔE00 from given colours, over their scales, is least.

    A grid over the box of the colours is narrowed round its best point again and again.

    Args:
        labs: CIELAB D50/2°, shape (n, 3), n at least 1.
        scales: what to divide each difference by, shape (n,); 1 unless given.

    Returns:
        The colour, shape (3,), and the largest scaled difference.

    Raises:
        ColourError: wrong shape or not finite.

    Source:
        [source: sharma-2005]
    """
    made = np.asarray(labs, dtype=np.float64).reshape(-1, 3)
    weights = np.ones(len(made)) if scales is None else np.asarray(scales, dtype=np.float64)

    def worst(points: Floats) -> Floats:
        largest: Floats = (ciede2000(points[:, None, :], made) / weights).max(axis=1)
        return largest

    low, high = made.min(axis=0), made.max(axis=0)
    starts = np.array([(low + high) / 2.0, made.mean(axis=0), *made])
    best = starts[np.argmin(worst(starts))]
    grid = np.array(list(product(np.linspace(-1.0, 1.0, _SIDE), repeat=3)))
    centre, reach = (low + high) / 2.0, np.maximum((high - low) / 2.0, 1e-3)
    for _ in range(_ROUNDS):
        points = np.concatenate([centre + grid * reach, best[None, :]])
        best = points[np.argmin(worst(points))]
        centre, reach = best, reach * _ZOOM
    return best, float(worst(best[None, :])[0])


def find_remedies(
    comparisons: Iterable[Comparison],
    palette: Palette,
    printed: Mapping[str, frozenset[str]],
    press: PressProfile | None = None,
    titles: Titles | None = None,
) -> tuple[Remedy, ...]:
    """For every printed item with a failing pair, the smallest change of aim that mends it.

    The item's colour is moved along a straight line towards the point that serves all its pairs
    best, only as far as brings each to ``WELL_INSIDE`` of its tolerance. Pairs with other items
    count; where none of them fails, its own aim does.

    Args:
        comparisons: as ``compare`` gives them.
        palette: aims.
        printed: ink to items that can be printed again.
        press: to reckon builds of process inks.
        titles: what the words call the items.
    """
    every = list(comparisons)
    remedies = []
    for ink in dict.fromkeys(one.ink for one in every):
        for item in sorted(printed.get(ink, frozenset())):
            pairs = [one for one in every if one.ink == ink and item in (one.a, one.b)]
            between = [one for one in pairs if one.a not in (AIM, REFERENCE)]
            for group in (between, [one for one in pairs if one.a == AIM]):
                if any(one.verdict is Verdict.FAIL for one in group) and ink in palette.keys:
                    remedies.append(_remedy(ink, item, group, palette, press, titles or {}))
                    break
    return tuple(remedies)


def find_common_aims(
    comparisons: Iterable[Comparison], press: PressProfile | None = None
) -> tuple[CommonAim, ...]:
    """For every ink of which a pair fails, the best common aim of all items already made."""
    every = list(comparisons)
    found = []
    for ink in dict.fromkeys(one.ink for one in every):
        own = [one for one in every if one.ink == ink]
        labs = _item_colours(own)
        failing = any(one.verdict is Verdict.FAIL and one.a not in (AIM, REFERENCE) for one in own)
        if not failing or len(labs) < 2:
            continue
        values = np.array(list(labs.values()))
        best, worst = minimax_colour(values)
        furthest = list(labs)[int(np.argmax(ciede2000(best, values)))]
        lab = lab_colour(best)
        build = _build(lab, press)
        found.append(CommonAim(ink, lab, worst, furthest, tuple(labs), build))
    return tuple(found)


def _remedy(
    ink: str,
    item: str,
    group: Sequence[Comparison],
    palette: Palette,
    press: PressProfile | None,
    titles: Titles,
) -> Remedy:
    current = np.mean([_colour_of(one, item) for one in group], axis=0)
    others = [one.a if one.b == item else one.b for one in group]
    labs = np.array([_colour_of(one, other) for one, other in zip(group, others, strict=True)])
    limits = np.array([one.tolerance for one in group])
    best, _ = minimax_colour(labs, limits)
    moved = _move(current, best, labs, limits)
    before = ciede2000(current, labs)
    after = ciede2000(moved, labs)
    worst_before = int(np.argmax(before / limits))
    worst_after = int(np.argmax(after / limits))
    change = moved - current
    aim = lab_colour(np.asarray(palette.ink(ink).lab) + change)
    inside = bool((after <= limits).all())
    told = words.describe(current, moved) or "as it is"
    text = (
        f"Print {titles.get(item, item)} {told}: its worst pair comes from "
        f"{before[worst_before]:.1f} to {after[worst_after]:.1f}, tolerance {limits[worst_after]:g}"
    )
    if not inside:
        text += "; no single change brings all its pairs inside"
    return Remedy(
        ink,
        item,
        others[worst_before],
        float(before[worst_before]),
        float(after[worst_after]),
        float(limits[worst_after]),
        lab_colour(change),
        aim,
        inside,
        text,
        _build(aim, press),
    )


def _move(current: Floats, best: Floats, labs: Floats, limits: Floats) -> Floats:
    """As little of the way to the best point as brings every pair well inside; else all of it."""
    shares = np.linspace(0.0, 1.0, 201)
    path = current + shares[:, None] * (best - current)
    inside = (ciede2000(path[:, None, :], labs) <= WELL_INSIDE * limits).all(axis=1)
    moved: Floats = path[int(np.argmax(inside))] if inside.any() else best
    return moved


def _colour_of(one: Comparison, item: str) -> Floats:
    lab = one.lab_a if one.a == item else one.lab_b
    return np.asarray(lab, dtype=np.float64)


def _item_colours(comparisons: Sequence[Comparison]) -> dict[str, Floats]:
    """Each item's colour: where it was held against its aim, else the mean over its pairs."""
    found: dict[str, list[Floats]] = {}
    absolute: dict[str, Floats] = {}
    for one in comparisons:
        if one.lab_a is None or one.lab_b is None:
            continue
        if one.a == AIM:
            absolute[one.b] = np.asarray(one.lab_b)
        elif one.a != REFERENCE:
            found.setdefault(one.a, []).append(np.asarray(one.lab_a))
            found.setdefault(one.b, []).append(np.asarray(one.lab_b))
    means = {item: np.mean(labs, axis=0) for item, labs in found.items()}
    return {**means, **absolute}


def _build(lab: LabColour, press: PressProfile | None) -> Build | None:
    if press is None:
        return None
    cmyk, left = press.lab_to_cmyk(lab)
    c, m, y, k = (float(value) for value in cmyk)
    return Build((c, m, y, k), left)
