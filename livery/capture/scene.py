"""What the stages of a measurement hand on: the photograph of a target, and its camera's colour."""

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
    """A decoded photograph of one target, and stored ones of the same bench.

    Attributes:
        grey: the photograph in grey, shape (height, width).
        linear: its codes to linear light.
        bench: what other photographs by the same camera in the same light showed.
    """

    photo: Photograph
    grey: NDArray[np.uint8]
    linear: Linear
    target: Target
    bench: tuple[BenchShot, ...] = ()

    def place(self, points_mm: Floats) -> Floats:
        """Places in the target's mm as ``Target.place`` tells them, both of shape (n, 2)."""
        return np.stack(self.target.place(*points_mm.T), axis=1)

    @property
    def least_patch_mm(self) -> float:
        """The shortest side of all patches, mm."""
        return min(min(patch.w_mm, patch.h_mm) for patch in self.target.patches)


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """The camera's colour in one photograph, its white level, and the patches it rests on.

    Attributes:
        fit: the model.
        doubt: what the patches tell of its error.
        white: linear light at Y = 1 of the strongest channel, full scale 1.
        used: indices of the patches it rests on.
        shown: what the camera saw of those patches.
        trial: of the bench's model; None where no photographs of it were given.
    """

    fit: Fit
    doubt: Doubt
    white: float
    used: tuple[int, ...]
    shown: Patches
    trial: BenchTrial | None = None
