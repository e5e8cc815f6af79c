"""From a photograph's codes to linear light, by the profile it carries."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.capture.photograph import Codes, Photograph
from livery.colour import decode_srgb, read_rgb_profile
from livery.errors import ColourError, Fault, PhotographError

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Linear:
    """From codes to linear light in the photograph's own primaries, by a table.

    Attributes:
        columns: each channel's light for every code, shape (3, codes).
    """

    columns: Floats

    def __call__(self, codes: Codes) -> Floats:
        """Light of pixels, shape (..., 3)."""
        return np.stack([self.columns[i].take(codes[..., i]) for i in range(3)], axis=-1)

    def planes(self, codes: Codes) -> Floats:
        """Light of channels one after the other, shape (3, ...)."""
        return np.stack([self.columns[i].take(codes[i]) for i in range(3)])


def linear_of(photograph: Photograph) -> Linear:
    """The photograph's way from codes to linear light.

    Raises:
        PhotographError: it carries a profile that cannot be used.
    """
    levels = np.arange(int(photograph.full_scale) + 1) / photograph.full_scale
    grey = np.repeat(levels[:, None], 3, axis=1)
    try:
        table = (
            decode_srgb(grey)
            if photograph.profile is None
            else read_rgb_profile(photograph.profile).linearise(grey)
        )
    except ColourError as error:
        found = str(error).split(". ")[0].rstrip(".")
        mend = "Export the photograph as sRGB, Display P3 or Adobe RGB."
        raise PhotographError(Fault(photograph.path, "", None, found, mend)) from error
    return Linear(np.ascontiguousarray(table.T))
