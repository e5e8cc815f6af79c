"""What looks different between two revisions, surface by surface."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from livery.geometry import Path
from livery.proof.likeness import Likeness, Piece

_SEEN_MM, _SEEN_LAB = 0.01, 0.05  # least difference that counts as one (workshop choice)


@dataclass(frozen=True, slots=True, eq=False)
class Difference:
    """A decal, panel or bare surface before and after; None where it is not there."""

    before: Piece | None
    after: Piece | None

    @property
    def name(self) -> str:
        """What differs."""
        piece = self.after or self.before
        return "" if piece is None else piece.name

    @property
    def words(self) -> str:
        """How it differs: ``moved 2.0 mm right and 4.0 mm down``."""
        if self.before is None:
            return "new"
        if self.after is None:
            return "taken away"
        return ", ".join(_ways(self.before, self.after)) or "redrawn"


@dataclass(frozen=True, slots=True, eq=False)
class ChangedSurface:
    """A surface that looks different; a side is None where the revision has no such surface."""

    before: Likeness | None
    after: Likeness | None
    differences: tuple[Difference, ...]

    @property
    def title(self) -> str:
        """Which surface, as the later revision names it."""
        one = self.after or self.before
        return "" if one is None else one.title


def find_differences(
    before: Sequence[Likeness], after: Sequence[Likeness]
) -> tuple[ChangedSurface, ...]:
    """The surfaces that look different, in the later revision's order, those gone last."""
    found = []
    for old, new in _pairs(before, after):
        olds = {} if old is None else {piece.key: piece for piece in old.pieces}
        news = {} if new is None else {piece.key: piece for piece in new.pieces}
        pairs = [Difference(olds.get(key), news.get(key)) for key in {**news, **olds}]
        differing = tuple(pair for pair in pairs if not _alike(pair.before, pair.after))
        if differing:
            found.append(ChangedSurface(old, new, differing))
    return tuple(found)


def _pairs(
    before: Sequence[Likeness], after: Sequence[Likeness]
) -> Iterator[tuple[Likeness | None, Likeness | None]]:
    """Each surface with its earlier self: of the same size and hand if there is one, else kin."""
    left = {one.key: one for one in before}
    earlier = {one.key: left.pop(one.key, None) for one in after}
    for one in after:
        old = earlier[one.key]
        if old is None:
            kin = next((key for key, other in left.items() if other.kin == one.kin), "")
            old = left.pop(kin, None)
        yield old, one
    for gone in left.values():
        yield gone, None


def _alike(before: Piece | None, after: Piece | None) -> bool:
    if before is None or after is None:
        return False
    return (
        before.name == after.name
        and _same_shapes(before, after, np.zeros(2))
        and _same_colours(before, after)
    )


def _ways(before: Piece, after: Piece) -> Iterator[str]:
    if before.name != after.name:
        yield f"was {before.name}"
    old, new = np.array(before.outline.bounds()), np.array(after.outline.bounds())
    sizes = [f"{box[2] - box[0]:.1f} × {box[3] - box[1]:.1f}" for box in (old, new)]
    if sizes[0] != sizes[1]:
        yield f"{sizes[1]} mm, was {sizes[0]}"
    across, down = (new[:2] + new[2:] - old[:2] - old[2:]) / 2
    ways = [
        f"{abs(step):.1f} mm {names[int(step > 0)]}"
        for step, names in ((across, ("left", "right")), (down, ("up", "down")))
        if abs(step) >= 0.05
    ]
    if ways and not after.is_ground:
        yield f"moved {' and '.join(ways)}"
    if sizes[0] == sizes[1] and not _same_shapes(before, after, np.array([across, down])):
        yield "redrawn"
    if not _same_colours(before, after):
        yield "other colours"


def _same_shapes(before: Piece, after: Piece, shift: np.ndarray) -> bool:
    pairs = [(before.outline, after.outline)]
    if len(before.regions) != len(after.regions):
        return False
    pairs += [(a[1], b[1]) for a, b in zip(before.regions, after.regions, strict=True)]
    return all(_same_path(a, b, shift) for a, b in pairs)


def _same_path(before: Path, after: Path, shift: np.ndarray) -> bool:
    return (before.verbs, before.rule) == (after.verbs, after.rule) and bool(
        (np.abs(before.points + shift - after.points) < _SEEN_MM).all()
    )


def _same_colours(before: Piece, after: Piece) -> bool:
    old, new = ([lab for lab, _ in piece.regions] for piece in (before, after))
    return (
        len(old) != len(new)
        or not old
        or bool((np.abs(np.array(old) - np.array(new)) < _SEEN_LAB).all())
    )
