"""A photograph as evidence. Pixels: x right, y down, centres at whole numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from livery.colour import Floats
from livery.drawing import LabColour

INSTRUMENT_SD = 0.2  # of a measured L*, a* or b* [source: workshop-choice]


@dataclass(frozen=True, slots=True)
class Marker:
    """A fiducial marker of a target: its dictionary, id, centre and size in the target's mm."""

    dictionary: str
    id: int
    x_mm: float
    y_mm: float
    size_mm: float


@dataclass(frozen=True, slots=True)
class Patch:
    """A patch of known colour: top-left corner and size in the target's mm.

    Attributes:
        lab: D50/2°.
        measured: true when ``lab`` was measured on this print; false when nominal.
        lab_sd: standard deviation of ``lab``, each of L*, a*, b*: an instrument's, or how far
            one print lies off the values published for all.
    """

    name: str
    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    lab: LabColour
    measured: bool
    lab_sd: float = INSTRUMENT_SD

    @property
    def middle_mm(self) -> tuple[float, float]:
        """Its middle in the target's frame."""
        return self.x_mm + self.w_mm / 2, self.y_mm + self.h_mm / 2


@dataclass(frozen=True, slots=True)
class Target:
    """A printed reference. Frame: mm, origin top-left, x right, y down."""

    key: str
    width_mm: float
    height_mm: float
    markers: tuple[Marker, ...]
    patches: tuple[Patch, ...]

    @property
    def middle_mm(self) -> Floats:
        """Its middle, shape (2,)."""
        return np.array([self.width_mm, self.height_mm]) / 2

    def place(self, x_mm: Floats, y_mm: Floats) -> tuple[Floats, Floats]:
        """Coordinates from its middle, -1..1 along its longer side; each of any shape."""
        half = max(self.width_mm, self.height_mm) / 2
        return (x_mm - self.width_mm / 2) / half, (y_mm - self.height_mm / 2) / half


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """A region to sample, in the target's mm or in the photograph's px (one of the two).

    Attributes:
        name: told in gates and samples; unlike those of the item's other regions.
        ink: key of the ink it should show.
        item: what it lies on, as comparisons name it.
        polygon_mm, polygon_px: corners in order, shape (n, 2).
        material: what it is made of, in any words; "" when nobody said.
    """

    name: str
    ink: str
    item: str
    polygon_mm: Floats | None = None
    polygon_px: Floats | None = None
    material: str = ""


@dataclass(frozen=True, slots=True)
class Gate:
    """One condition a photograph must meet to be evidence.

    Attributes:
        gate: its name.
        ok: whether it is met.
        value: what was found, in the gate's own unit; infinite where there was nothing to find.
        limit: what is allowed at most, or at least.
        advice: what to change; of a gate that is met, what might be better, or "".
        region: the region it judges; "" when it judges the whole photograph.
    """

    gate: str
    ok: bool
    value: float
    limit: float
    advice: str
    region: str = ""

    @property
    def figures(self) -> str:
        """Its name, value and limit, in a few words."""
        value = f"{self.value:.3g}" if math.isfinite(self.value) else "none"
        return f"{self.gate}: {value} (limit {self.limit:.3g})"


@dataclass(frozen=True, slots=True)
class BenchTrial:
    """How a model learnt from other photographs of the bench did beside the photograph's own.

    Attributes:
        photographs: learnt from.
        error: its mean ΔE00 at patches left out of every photograph; None of too few photographs.
        single_error: the same of the photograph's own model.
        used: whether the bench's was the better, and so was used.
    """

    photographs: int
    error: float | None
    single_error: float
    used: bool


@dataclass(frozen=True, slots=True)
class Characterisation:
    """How the camera's colour was modelled.

    Attributes:
        method: the model's parts, in words.
        loo_mean, loo_max: ΔE00 of patches, each predicted by the model fitted without it.
        bench: of a model learnt from stored photographs; None where none were given.
    """

    method: str
    loo_mean: float
    loo_max: float
    bench: BenchTrial | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Sample:
    """The colour of one region.

    Attributes:
        name, item, ink: the region's.
        lab: mean, D50/2°, shape (3,).
        cov: covariance of that mean, everything included, shape (3, 3).
        shared_cov: the part of ``cov`` common to all samples of this photograph, shape (3, 3).
        pixels: how many pixels were used.
        source: SHA-256 of the photograph.
        material: what it is made of; "" when nobody said.
        misfit_cov: the part of ``shared_cov`` that only samples of one material share, as the
            camera errs alike only on like pigments, shape (3, 3); None when not known.
        withheld: why its numbers must not be relied on; "" when they may.
    """

    name: str
    item: str
    ink: str
    lab: Floats
    cov: Floats
    shared_cov: Floats
    pixels: int
    source: str
    material: str = ""
    misfit_cov: Floats | None = None
    withheld: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class PatchReading:
    """How one patch was seen.

    Attributes:
        corners_px: of the part that was read, shape (4, 2).
        lab: its reference, D50/2°.
        de00: error of the model fitted without it; None when it was not used.
        clipped: it was over- or underexposed, and so left out.
        light: linear light over the target's white level, shape (3,); None when it was not used.
        place: position on the target, -1..1 along its longer side, shape (2,); None likewise.
    """

    name: str
    corners_px: Floats
    lab: LabColour
    de00: float | None
    clipped: bool
    light: Floats | None = None
    place: Floats | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """Where things were seen, for the annotated picture.

    Attributes:
        markers_px: id and corners, shape (4, 2), of each marker found.
        patches: how each was seen, in the target's order.
        regions_px: name and polygon, shape (n, 2), of each region that lies in the picture.
    """

    markers_px: tuple[tuple[int, Floats], ...] = ()
    patches: tuple[PatchReading, ...] = ()
    regions_px: tuple[tuple[str, Floats], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Capture:
    """What one photograph says.

    Attributes:
        photo: the file, as it was named.
        target: the target's key.
        characterisation: None where the camera's colour could not be modelled.
        scale_px_per_mm: at the target's middle; 0 where it was not found.
        homography_residual_mm: root mean square distance of its markers from their places.
        absolute: false when the target's values are nominal, so that only comparisons stand.
        corners_px: the target's four corners in the photograph, shape (4, 2).
        source: SHA-256 of the photograph.
        trace: where markers, patches and regions were seen.
        fingerprint: of what the picture looks like, hexadecimal; alike for copies of it.
    """

    photo: str
    target: str
    samples: tuple[Sample, ...]
    gates: tuple[Gate, ...]
    characterisation: Characterisation | None
    scale_px_per_mm: float
    homography_residual_mm: float
    absolute: bool
    corners_px: Floats | None = None
    source: str = ""
    trace: Trace = field(default_factory=Trace)
    fingerprint: str = ""

    @property
    def ok(self) -> bool:
        """Whether every gate is passed."""
        return all(gate.ok for gate in self.gates)

    @property
    def photo_ok(self) -> bool:
        """Whether every gate on the photograph as a whole is passed."""
        return all(gate.ok for gate in self.gates if not gate.region)

    @property
    def refused_regions(self) -> tuple[str, ...]:
        """Regions that fail a gate of their own."""
        return tuple(dict.fromkeys(g.region for g in self.gates if g.region and not g.ok))

    @property
    def headline(self) -> str:
        """In a few words, what the photograph may be used for."""
        if not self.photo_ok:
            return "no evidence: photograph it again"
        refused = self.refused_regions
        if not refused:
            return "evidence"
        names = ", ".join(refused[:4]) + (f" and {len(refused) - 4} more" if refused[4:] else "")
        return f"evidence, but not for {names}"
