"""Decals that depend on one another: aligned, or near enough to push. Where they fit together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely

from livery.geometry import Area
from livery.limits import RuleBook
from livery.placement.bounds import gap_between, gather_bounds
from livery.placement.contour import Contour
from livery.placement.fitting import Fitter
from livery.placement.hulls import barred_beside
from livery.placement.intent import Box, Fit, Intent, Point, Settled, joint_box, settle
from livery.placement.moves import Pair, moves_exist, smallest_moves
from livery.placement.scales import Scales
from livery.placement.slides import SLACK_MM, Interval, free_slides

_MOST_GAPS = 24
"""Pairs of parts that may be in one another's way and are still solved jointly: each may lie on
either hand of the other, so that the choices double with every pair. [source: workshop-choice]."""


@dataclass(frozen=True, slots=True)
class _Gap:
    """Two parts of different intents (index, part), and the gap they must keep, mm."""

    one: tuple[int, int]
    other: tuple[int, int]
    gap_mm: float


@dataclass(eq=False)
class Cluster:
    """Intents of one surface whose scales and moves hang together.

    At given scales what is aligned moves with what it is aligned to, so that each chain has one
    move; two chains bar one another an interval of the difference of their moves. All of it is
    exact: lengths and closed forms, no samples.

    Args:
        intents: in order of importance; every link leads to one of them.
        books: rule books in force.
    """

    intents: Sequence[Intent]
    books: Sequence[RuleBook]
    _free: dict[tuple[int, float, Point], list[Interval]] = field(default_factory=dict)
    _held: dict[Scales, bool] = field(default_factory=dict)

    @cached_property
    def fitters(self) -> list[Fitter]:
        """One for each intent, held by its own limits and by no neighbour."""
        return [Fitter(one, gather_bounds(one, self.books, [])) for one in self.intents]

    @property
    def monotone(self) -> bool:
        """Whether what fits surely fits with every decal smaller by one factor."""
        linked = any(intent.link is not None for intent in self.intents)
        return not linked and all(fitter.monotone for fitter in self.fitters)

    @property
    def crowded(self) -> bool:
        """Whether too many are in one another's way for all choices to be weighed."""
        return len(self._gaps) > _MOST_GAPS

    def ranges(self) -> list[Interval]:
        """Least and greatest scale of each intent; least above greatest where none is allowed."""
        pairs = zip(self.fitters, self.intents, strict=True)
        return [fitter.allowed(one.least_scale, one.scale) for fitter, one in pairs]

    def holds(self, scales: Scales) -> bool:
        """Whether there are moves that keep every limit at these scales."""
        if scales not in self._held:
            found = self._intervals(scales)
            self._held[scales] = found is not None and moves_exist(*found)
        return self._held[scales]

    def settle(self, scales: Scales) -> list[Settled] | None:
        """Intents in place at these scales, with the smallest moves, the first's first.

        Returns:
            Intents without links, with their fits; None where they do not fit together.
        """
        found = self._intervals(scales)
        moves = None if found is None else smallest_moves(*found)
        if moves is None:
            return None
        by_root = dict(zip(self._roots, moves, strict=True))
        slides = [by_root[root] if root == i else 0.0 for i, root in enumerate(self._root_of)]
        fits = [Fit(scale, slide) for scale, slide in zip(scales, slides, strict=True)]
        return settle_all(self.intents, fits)

    @cached_property
    def _root_of(self) -> list[int]:
        """For each intent, the index of the one without a link that its chain hangs on."""
        index = {intent.key: n for n, intent in enumerate(self.intents)}
        roots = []
        for n, intent in enumerate(self.intents):
            while intent.link is not None:
                n = index[intent.link.to]
                intent = self.intents[n]
            roots.append(n)
        return roots

    @cached_property
    def _roots(self) -> list[int]:
        return sorted(set(self._root_of))

    @cached_property
    def _gaps(self) -> list[_Gap]:
        return list(_list_gaps(self.intents, self.books))

    def _intervals(
        self, scales: Scales
    ) -> tuple[list[list[Interval]], dict[Pair, list[Interval]]] | None:
        """What each chain and each pair of chains allows; None where a chain allows nothing."""
        at = self._origins(scales)
        own = [self._chain_moves(root, scales, at) for root in self._roots]
        if not all(own):
            return None
        apart: dict[Pair, list[Interval]] = {}
        for gap in self._gaps:  # a pair that finds no room ends the search, and is tried first next
            ends = (self._root_of[gap.one[0]], self._root_of[gap.other[0]])
            i, j = (self._roots.index(end) for end in ends)
            window = (
                (own[j][0][0] - own[i][-1][1], own[j][-1][1] - own[i][0][0])
                if i != j
                else (0.0, 0.0)
            )
            free = self._apart(gap, scales, at, window)
            if not any(i != j or low <= 0.0 <= high for low, high in free):
                self._gaps.remove(gap)
                self._gaps.insert(0, gap)
                return None
            if i == j:
                continue
            if j < i:
                i, j, free = j, i, [(-high, -low) for low, high in reversed(free)]
            apart[i, j] = _common(apart[i, j], free) if (i, j) in apart else free
        return own, apart

    def _origins(self, scales: Scales) -> list[Point]:
        """Where each intent's origin lies before its chain moves."""
        settled = settle_all(self.intents, [Fit(scale, 0.0) for scale in scales])
        return [intent.origin for intent, _ in settled]

    def _chain_moves(self, root: int, scales: Scales, at: Sequence[Point]) -> list[Interval]:
        """What its own decals allow a chain, whatever lies beside it, mm."""
        reach = self.intents[root].slide_mm
        moves: list[Interval] = [(-reach, reach)]
        for index, end in enumerate(self._root_of):
            if end != root:
                continue
            key = (index, scales[index], at[index])
            if key not in self._free:
                fitter = self.fitters[index]
                self._free[key] = fitter.free_moves(scales[index], (-reach, reach), at[index])
            moves = _common(moves, self._free[key])
        return moves

    def _apart(
        self, gap: _Gap, scales: Scales, at: Sequence[Point], window: Interval
    ) -> list[Interval]:
        """Moves of the other, less the one's, that keep two parts their gap apart."""
        (i, p), (j, q) = gap.one, gap.other
        one, other = self.fitters[i].figures[p], self.fitters[j].figures[q]
        still, moving = one.hull_at(scales[i], at[i]), other.hull_at(scales[j], at[j])

        def contours() -> tuple[Contour, Contour]:
            return other.contour_at(scales[j], at[j]), one.contour_at(scales[i], at[i])

        free = free_slides(barred_beside(moving, still, gap.gap_mm, window, contours), window)
        if still.exact and moving.exact:
            return free
        areas = one.area_at(scales[i], at[i]), other.area_at(scales[j], at[j])
        return [part for part in free if not _nested(*areas, sum(part) / 2.0)]


def settle_all(intents: Sequence[Intent], fits: Sequence[Fit]) -> list[Settled]:
    """Settle linked intents, whatever order they come in.

    Raises:
        KeyError: a link leads to none of them.
    """
    by_key = {one.key: (one, fit) for one, fit in zip(intents, fits, strict=True)}
    settled: dict[str, Settled] = {}

    def place(key: str) -> None:
        intent, fit = by_key[key]
        if key in settled:
            return
        if intent.link is not None:
            place(intent.link.to)
        settled[key] = (settle(intent, settled), fit)

    for key in by_key:
        place(key)
    return [settled[intent.key] for intent in intents]


def cluster_intents(intents: Sequence[Intent], books: Sequence[RuleBook]) -> list[Cluster]:
    """Part the intents of one surface into clusters that cannot meet, whatever their fits."""
    index = {intent.key: n for n, intent in enumerate(intents)}
    name = list(range(len(intents)))

    def join(i: int, j: int) -> None:
        low, high = sorted((name[i], name[j]))
        name[:] = [low if one == high else one for one in name]

    for n, intent in enumerate(intents):
        if intent.link is not None:
            join(n, index[intent.link.to])
    for gap in _list_gaps(intents, books):
        join(gap.one[0], gap.other[0])
    return [
        Cluster([intents[n] for n, named in enumerate(name) if named == group], books)
        for group in sorted(set(name))
    ]


def _list_gaps(intents: Sequence[Intent], books: Sequence[RuleBook]) -> Iterator[_Gap]:
    """The gaps that some fits of these intents would not keep."""
    reaches = _reaches(intents)
    for j, other in enumerate(intents):
        for i, one in enumerate(intents[:j]):
            for p, part in enumerate(one.parts):
                for q, beside in enumerate(other.parts):
                    gap = gap_between(books, part.decal, beside.decal, one.surface)
                    if gap is not None and _near(reaches[i], reaches[j], gap[1]):
                        yield _Gap((i, p), (j, q), gap[1])


def _reaches(intents: Sequence[Intent]) -> list[Box]:
    """The box that each intent stays in, whatever fit it is given.

    Positions and boxes are linear in each scale, so that the extremes lie at extreme scales; a
    chain of links sways by as much as its decals shrink.
    """
    found: dict[str, Box] = {}
    swayed: dict[str, Box] = {}
    by_key = {intent.key: intent for intent in intents}

    def reach(intent: Intent) -> Box:
        if intent.key in found:
            return found[intent.key]
        if intent.link is None:
            x, y, slide = intent.x_mm, intent.y_mm, intent.slide_mm
            sway = (x, y - slide, x, y + slide)
        else:
            reach(by_key[intent.link.to])
            target, (u, v) = by_key[intent.link.to], intent.link.at
            ends = [
                (scale * u, scale * v, scale * u, scale * v)
                for scale in (target.least_scale, target.scale)
            ]
            moved = _add(swayed[target.key], joint_box(ends))
            sway = _add(moved, (intent.x_mm, intent.y_mm, intent.x_mm, intent.y_mm))
        x0, y0, x1, y1 = intent.box
        sizes = [
            (scale * x0, scale * y0, scale * x1, scale * y1)
            for scale in (intent.least_scale, intent.scale)
        ]
        swayed[intent.key] = sway
        found[intent.key] = _add(sway, joint_box(sizes))
        return found[intent.key]

    return [reach(intent) for intent in intents]


def _add(one: Box, other: Box) -> Box:
    a, b = np.asarray(one), np.asarray(other)
    x0, y0, x1, y1 = (a + b).tolist()
    return x0, y0, x1, y1


def _near(one: Box, other: Box, gap_mm: float) -> bool:
    """Whether boxes come nearer than a gap on both axes."""
    return all(
        one[axis] - gap_mm <= other[axis + 2] and other[axis] - gap_mm <= one[axis + 2]
        for axis in (0, 1)
    )


def _common(one: Sequence[Interval], other: Sequence[Interval]) -> list[Interval]:
    """What two lists of closed intervals share; points within rounding of one another count."""
    shared = [(max(a, c), min(b, d)) for a, b in one for c, d in other]
    return [(low, max(low, high)) for low, high in shared if low <= high + 2 * SLACK_MM]


def _nested(still: Area, moving: Area, move_mm: float) -> bool:
    """Whether one of two areas whose boundaries do not meet lies inside the other."""
    dx, dy = shapely.get_coordinates(moving)[0]
    x, y = shapely.get_coordinates(still)[0]
    inside = shapely.contains_xy(still, dx, dy + move_mm)
    return bool(inside or shapely.contains_xy(moving, x, y - move_mm))
