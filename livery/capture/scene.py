"""A decoded photograph of one target, and the camera's colour in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.capture.bench_profile import BenchShot
from livery.capture.colour_model import Fit, Patches
from livery.capture.doubt import Doubt
from livery.capture.linear_light import Linear
from livery.capture.model import BenchTrial, Target
from livery.capture.photograph import Photograph
from livery.colour import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """A decoded photograph of one target, and stored ones of the same bench."""

    photo: Photograph
    grey: NDArray[np.uint8]
    linear: Linear
    target: Target
    bench: tuple[BenchShot, ...] = ()

    def place(self, points_mm: Floats) -> Floats:
        """Places in the target's mm as -1..1 along its longer side."""
        size = np.array([self.target.width_mm, self.target.height_mm])
        scaled: Floats = (points_mm - size / 2) / (size.max() / 2)
        return scaled

    @property
    def least_patch_mm(self) -> float:
        """The shortest side of all patches."""
        return min(min(patch.w_mm, patch.h_mm) for patch in self.target.patches)


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """The camera's colour in one photograph, its white level, and the patches it rests on.

    Attributes:
        shown: what the camera saw of those patches.
        trial: of the bench's model; None where no photographs of it were given.
    """

    fit: Fit
    doubt: Doubt
    white: float
    used: tuple[int, ...]
    shown: Patches
    trial: BenchTrial | None = None
