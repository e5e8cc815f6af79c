"""From a photograph's codes to linear light, by the profile it carries."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.capture.photograph import Codes, Photograph
from livery.colour import decode_srgb, read_rgb_profile
from livery.errors import ColourError, Fault, PhotographError

Floats = NDArray[np.float64]
# What the mean of an even area in an 8-bit file is off by, in codes of luma and of each chroma:
# its blocks are rounded alike. On invented even areas in JPEG 85 to 95. [source: camera-trials]
_ROUNDED_SD = np.array([0.2, 0.25, 0.25])
# From luma, blue and red chroma to red, green and blue. [source: itu-t-871]
_TO_RGB = np.array([[1.0, 0.0, 1.402], [1.0, -0.344, -0.714], [1.0, 1.772, 0.0]])


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

    def rounding_cov(self, light: Floats) -> Floats:
        """Covariance of means of even areas by the file's rounding, shape (..., 3, 3).

        Tiles of one area do not tell of it, as they are rounded alike. 16 bits round too little
        to be counted.

        Args:
            light: the means, shape (..., 3).
        """
        steps = len(self.columns[0]) - 1
        if steps > 255:
            return np.zeros((*light.shape, 3))
        slopes = [np.diff(column) for column in self.columns]
        at = [np.searchsorted(self.columns[i], light[..., i]).clip(1, steps) for i in range(3)]
        steep = np.stack([slopes[i][at[i] - 1] for i in range(3)], axis=-1)
        off = steep[..., None] * _TO_RGB * _ROUNDED_SD
        cov: Floats = off @ np.swapaxes(off, -1, -2)
        return cov


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
