"""What the evidence leaves out, said beside the verdicts."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from itertools import combinations

from livery.capture.model import Capture, Sample
from livery.colour import ciede2000
from livery.match.evidence import Shot, Shots, gather
from livery.match.model import Remark
from livery.scheme.model import Palette


def list_remarks(
    evidence: Iterable[Capture | Sample],
    aims: Palette,
    reference: Iterable[Capture | Sample] = (),
) -> tuple[Remark, ...]:
    """Say what no comparison could be made of, or rests on little.

    Args:
        evidence: as given to ``compare``.
        aims: as given to ``compare``.
        reference: as given to ``compare``.

    Raises:
        InputError: an item is called ``aim`` or ``reference``.
    """
    evidence = list(evidence)
    inks = [ink.key for ink in aims.inks]
    shots, signed = gather(evidence, inks), gather(reference, inks)
    remarks = [*_of_lost_regions(evidence)]
    for ink in [*inks, *(key for key in shots if key not in inks)]:
        remarks.extend(_of_ink(ink, shots, aims))
        if signed:
            remarks.extend(_of_reference(ink, shots, signed))
    return tuple(remarks)


def _of_lost_regions(evidence: Iterable[Capture | Sample]) -> Iterator[Remark]:
    """Regions that were pointed at and could not be read, so that no sample tells of them."""
    for capture in evidence:
        if isinstance(capture, Capture):
            read = {sample.name for sample in capture.samples}
            for name in capture.refused_regions:
                if name not in read:
                    yield Remark("", name, "this region could not be read", unjudged=True)


def _of_ink(ink: str, shots: Shots, aims: Palette) -> Iterator[Remark]:
    if ink not in shots:
        yield Remark(ink, "", "no sample shows this ink")
        return
    if ink not in aims.keys:
        near = difflib.get_close_matches(ink, sorted(aims.keys), n=1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        alone = len(shots[ink]) == 1
        yield Remark(ink, "", f"the palette has no such ink, so it has no aim{hint}", alone)
    every = dict.fromkeys(item for items in shots.values() for item in items)
    if len(shots[ink]) == 1:
        yield Remark(ink, next(iter(shots[ink])), "no other item shows this ink: no pair")
    else:
        for item in every:
            if item not in shots[ink]:
                yield Remark(ink, item, "this item shows none of it: no pair with it")
    limit = aims.ink(ink).tolerance_de00 if ink in aims.keys else None
    for item, own in shots[ink].items():
        yield from _of_evenness(ink, item, [*own], limit)


def _of_evenness(ink: str, item: str, shots: list[Shot], limit: float | None) -> Iterator[Remark]:
    if sum(len(shot.regions) for shot in shots) == 1:
        yield Remark(ink, item, "one region only: how even the colour is was not seen")
    apart = [
        float(ciede2000(one, other))
        for shot in shots
        for one, other in combinations(shot.regions, 2)
    ]
    if apart and limit is not None and max(apart) > limit:
        text = (
            f"its own regions differ by up to {max(apart):.2f}, more than the tolerance {limit:g}"
        )
        yield Remark(ink, item, text)


def _of_reference(ink: str, shots: Shots, signed: Shots) -> Iterator[Remark]:
    for item in shots.get(ink, {}):
        if item not in signed.get(ink, {}):
            yield Remark(ink, item, "the reference does not show it")
