"""The RGB profile a photograph carries: its codes to linear light and XYZ, in its own space."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.arrays import Floats, as_triples
from livery.colour.icc import Curve, read_curve, read_tags, read_xyz
from livery.errors import ColourError


@dataclass(frozen=True, slots=True, eq=False)
class RgbProfile:
    """A matrix and curves profile.

    Attributes:
        matrix: linear RGB to XYZ of the connection space (D50, ``WHITE_PCS``), shape (3, 3).
        curves: code value 0..1 to linear light, red, green, blue.
    """

    matrix: Floats
    curves: tuple[Curve, Curve, Curve]

    def linearise(self, rgb: ArrayLike) -> Floats:
        """Code values 0..1 to linear light in the profile's own primaries, shape (..., 3).

        Raises:
            ColourError: wrong shape or not finite.
        """
        codes = as_triples(rgb, "rgb")
        return np.stack([curve(codes[..., i]) for i, curve in enumerate(self.curves)], axis=-1)


def read_rgb_profile(data: bytes) -> RgbProfile:
    """Read the profile embedded in a photograph.

    Args:
        data: the profile's bytes, as the image file holds them.

    Returns:
        The profile.

    Raises:
        ColourError: damaged, not for RGB, or one that only has tables.

    Source:
        icc-1
    """
    profile = read_tags(data)
    if profile.space != "RGB ":
        raise ColourError(
            f"ICC profile: its colours are {profile.space.strip()}, not RGB. "
            "Export the photograph as RGB."
        )
    if profile.connection != "XYZ " or "rXYZ" not in profile.tags:
        raise ColourError(
            "ICC profile: it has tables instead of a matrix and curves. "
            "Export the photograph as sRGB, Display P3 or Adobe RGB."
        )
    matrix = np.stack([read_xyz(profile.tag(f"{c}XYZ")) for c in "rgb"], axis=1)
    if abs(np.linalg.det(matrix)) < 1e-6:
        raise ColourError("ICC profile: its primaries do not span colour. Embed another.")
    red, green, blue = (read_curve(profile.tag(f"{c}TRC")) for c in "rgb")
    return RgbProfile(matrix, (red, green, blue))
