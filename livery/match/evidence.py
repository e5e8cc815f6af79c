"""From captures to what each photograph says of one ink on one item."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.capture.model import Capture, Sample
from livery.errors import Fault, InputError
from livery.match.model import AIM, REFERENCE

Floats = NDArray[np.float64]

_SEPARATORS = re.compile(r"[\s/:._-]+")


@dataclass(frozen=True, slots=True, eq=False)
class Shot:
    """One ink on one item in one photograph, all its regions together.

    Attributes:
        source: what identifies the photograph.
        lab: mean of the regions, D50/2°.
        own_cov: covariance that no other sample of the photograph shares.
        shared_cov: covariance common to the photograph.
        absolute: whether it may be held against numbers from outside the photograph.
        advice: of every gate that the photograph or its regions failed.
        regions: the regions' colours, shape (n, 3).
        region_names: their names.
        region_cov: covariance of one region that no other sample shares, on average.
        material: of all the regions; "" when unsaid or mixed.
        misfit_cov: the part of ``shared_cov`` that only samples of one material share.
    """

    item: str
    ink: str
    source: str
    lab: Floats
    own_cov: Floats
    shared_cov: Floats
    absolute: bool
    advice: tuple[str, ...]
    regions: Floats
    region_names: tuple[str, ...]
    region_cov: Floats
    material: str
    misfit_cov: Floats

    @property
    def cov(self) -> Floats:
        """Everything included."""
        return self.own_cov + self.shared_cov

    def cov_beside(self, other: Shot) -> Floats:
        """What remains of this shot's covariance beside another of the same photograph.

        All that is shared cancels where both materials are known and one; else the camera's
        misfit to each material stays, since it may point either way.
        """
        return self.own_cov + self._misfit_beside(other)

    def region_cov_beside(self, other: Shot) -> Floats:
        """The same of one of its regions."""
        return self.region_cov + self._misfit_beside(other)

    def _misfit_beside(self, other: Shot) -> Floats:
        alike = self.material != "" and self.material == other.material
        return np.zeros((3, 3)) if alike else self.misfit_cov


Shots = Mapping[str, Mapping[str, Sequence[Shot]]]
"""Ink to item to one Shot for each photograph."""


def gather(captures: Iterable[Capture | Sample], inks: Sequence[str]) -> Shots:
    """Group samples by ink, item and photograph.

    Args:
        captures: photographs; bare samples count as absolute and of good photographs. A region
            of a photograph that comes twice counts once.
        inks: the palette's inks, which also name inks that samples leave out; their order
            is kept, others follow.

    Raises:
        InputError: a sample named as an item what is no item's name.
    """
    groups: dict[tuple[str, str, str], list[tuple[Sample, Capture | None]]] = {}
    seen: set[tuple[str, ...]] = set()
    for place, entry in enumerate(captures):
        capture = entry if isinstance(entry, Capture) else None
        for sample in capture.samples if capture else [entry]:
            assert isinstance(sample, Sample)
            item, ink = name_sample(sample, inks)
            photo = capture.photo if capture else ""
            source = sample.source or photo or f"capture {place + 1}"
            said = (source, item, ink, sample.name, repr((sample.lab.tolist(), sample.pixels)))
            if said in seen:
                continue
            seen.add(said)
            groups.setdefault((ink, item, source), []).append((sample, capture))
    order = {ink: index for index, ink in enumerate(inks)}
    shots: dict[str, dict[str, list[Shot]]] = {}
    for key in sorted(groups, key=lambda key: order.get(key[0], len(order))):
        ink, item, source = key
        shot = _pool_regions(item, ink, source, groups[key])
        shots.setdefault(ink, {}).setdefault(item, []).append(shot)
    return shots


def name_sample(sample: Sample, inks: Sequence[str]) -> tuple[str, str]:
    """A sample's item and ink; from its name, ``bat-ember``, where it says no more.

    Raises:
        InputError: the item is called ``aim`` or ``reference``.
    """
    item, ink = sample.item, sample.ink
    if not ink:
        words = _SEPARATORS.split(sample.name)
        ink = next((key for key in sorted(inks, key=len)[::-1] if sample.name.endswith(key)), "")
        ink = ink or words[-1]
        rest = sample.name.removesuffix(ink).strip(" /:._-")
        item = item or rest
    item = item or "sample"
    if item in (AIM, REFERENCE):
        found = f"an item is called {item!r}"
        raise InputError(Fault(sample.source, sample.name, None, found, "Give it another name"))
    return item, ink


def _pool_regions(
    item: str, ink: str, source: str, entries: Sequence[tuple[Sample, Capture | None]]
) -> Shot:
    """Mean of an item's regions; how they differ adds to the mean's own covariance."""
    labs = np.array([sample.lab for sample, _ in entries], dtype=np.float64)
    shared = mean_of([sample.shared_cov for sample, _ in entries])
    own = mean_of([sample.cov - sample.shared_cov for sample, _ in entries])
    misfits = [sample.misfit_cov for sample, _ in entries if sample.misfit_cov is not None]
    materials = {sample.material for sample, _ in entries}
    captures = [capture for _, capture in entries if capture is not None]
    names = {sample.name for sample, _ in entries} | {""}
    gates = [gate for capture in captures for gate in capture.gates]
    failed = [gate for gate in gates if not gate.ok and gate.region in names]
    return Shot(
        item=item,
        ink=ink,
        source=source,
        lab=mean_of(labs),
        own_cov=(own + scatter(labs)) / len(labs),
        shared_cov=shared,
        absolute=all(capture.absolute for capture in captures),
        advice=tuple(dict.fromkeys(f"{gate.gate}: {gate.advice}" for gate in failed)),
        regions=labs,
        region_names=tuple(sample.name for sample, _ in entries),
        region_cov=own,
        material=materials.pop() if len(materials) == 1 else "",
        misfit_cov=mean_of(misfits) if misfits else np.zeros((3, 3)),
    )


def mean_of(arrays: Sequence[Floats] | Floats) -> Floats:
    """Mean of arrays of one shape; of few, much quicker than NumPy's."""
    total: Floats = sum(arrays[1:], start=arrays[0])
    return total / len(arrays)


def scatter(labs: Floats) -> Floats:
    """Covariance of single colours about their mean, shape (3, 3); none of fewer than two."""
    if len(labs) < 2:
        return np.zeros((3, 3))
    apart = labs - labs.mean(axis=0)
    spread: Floats = apart.T @ apart / (len(labs) - 1)
    return spread
