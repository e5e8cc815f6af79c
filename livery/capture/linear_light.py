"""From a photograph's codes to linear light, by the profile it carries."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from livery.capture.photograph import Codes, Photograph
from livery.capture.picture_header import refuse
from livery.capture.rounding import TO_RGB, luma_chroma, mixed, rounded_alike
from livery.colour import Floats, decode_srgb, read_rgb_profile
from livery.errors import ColourError

# The most that decoding a JPEG rounds by: half a code, and a hair for single precision.
# [source: itu-t-871]
_MOST_ROUNDED = 0.51


@dataclass(frozen=True, slots=True, eq=False)
class Linear:
    """From codes to linear light in the photograph's own primaries, by a table.

    Attributes:
        columns: each channel's light for every code, shape (3, codes).
        steps: in which a JPEG's blocks hold their mean luma and chroma, in codes; else None.
        spread: variance of luma and of each chroma of even areas before rounding, shape (3,);
            nothing, the worst, until patches tell.
    """

    columns: Floats
    steps: tuple[float, float] | None = None
    spread: Floats = field(default_factory=lambda: np.zeros(3))

    def __call__(self, codes: Codes) -> Floats:
        """Light of pixels as the file gives them, shape (..., 3).

        Args:
            codes: shape (..., 3).
        """
        return np.stack([self.columns[i].take(codes[..., i]) for i in range(3)], axis=-1)

    def planes(self, codes: Codes) -> Floats:
        """Light of channels one after the other, shape (3, ...).

        Of a JPEG's pixels as they were before red, green and blue were rounded.

        Args:
            codes: shape (3, ...), of 8 bits where the file is a JPEG.
        """
        light = np.stack([self.columns[i].take(codes[i]) for i in range(3)])
        if self.steps is not None:
            held = luma_chroma(codes)
            for i in range(3):
                off = mixed(TO_RGB[i], held) - codes[i]
                np.clip(off, -_MOST_ROUNDED, _MOST_ROUNDED, out=off)
                off *= self._steep(i).astype(np.float32).take(codes[i])
                light[i] += off
        return light

    def _steep(self, channel: int) -> Floats:
        """Light by code at each code; nothing where the channel is empty or full."""
        steep: Floats = np.gradient(self.columns[channel])
        steep[[0, -1]] = 0.0
        return steep

    def rounding_cov(self, light: Floats) -> Floats:
        """Covariance of means of even areas by the file's rounding, shape (..., 3, 3).

        Tiles of one area do not tell of it, as they are rounded alike. 16 bits round too little
        to be counted. What other files than JPEG were decoded from is not known, so that all of 8
        bits are taken to have been luma and chroma once.

        Args:
            light: the means, shape (..., 3).
        """
        last = len(self.columns[0]) - 1
        if last > 255:
            return np.zeros((*light.shape, 3))
        at = [np.searchsorted(self.columns[i], light[..., i]).clip(1, last - 1) for i in range(3)]
        steep = np.stack([self._steep(i)[at[i]] for i in range(3)], axis=-1)
        alike = rounded_alike(self.spread, self.steps or (0.0, 0.0))
        off = steep[..., None] * TO_RGB * np.sqrt(alike)
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
        found = str(error).split(". ")[0].rstrip(".")  # its own advice is not a photographer's
        mend = "Export the photograph as sRGB, Display P3 or Adobe RGB."
        raise refuse(photograph.path, found, mend) from error
    return Linear(np.ascontiguousarray(table.T), photograph.steps)
