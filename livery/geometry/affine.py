"""Affine maps of the plane, in the coefficient order of SVG and PDF."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Affine:
    """The map x' = a·x + c·y + e, y' = b·x + d·y + f (SVG ``matrix(a b c d e f)``).

    ``outer @ inner`` applies ``inner`` first.
    """

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @classmethod
    def translation(cls, x: float, y: float) -> Affine:
        """Move by (x, y)."""
        return cls(e=x, f=y)

    @classmethod
    def scaling(cls, x: float, y: float | None = None) -> Affine:
        """Scale about the origin; one factor scales both axes."""
        return cls(a=x, d=x if y is None else y)

    @classmethod
    def rotation(cls, angle_deg: float) -> Affine:
        """Turn about the origin, taking +x towards +y; quarter turns are exact."""
        quarter, rest = divmod(angle_deg, 90.0)
        if rest == 0.0:
            cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
        else:
            cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        return cls(cos, sin, -sin, cos)

    @classmethod
    def mirror_x(cls) -> Affine:
        """Reflect left to right about the y axis."""
        return cls(a=-1.0)

    def __matmul__(self, inner: Affine) -> Affine:
        return Affine(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            self.a * inner.e + self.c * inner.f + self.e,
            self.b * inner.e + self.d * inner.f + self.f,
        )

    @property
    def determinant(self) -> float:
        """Signed area scale; negative when the map mirrors."""
        return self.a * self.d - self.b * self.c

    @property
    def coefficients(self) -> tuple[float, float, float, float, float, float]:
        """(a, b, c, d, e, f)."""
        return (self.a, self.b, self.c, self.d, self.e, self.f)

    @property
    def for_shapely(self) -> list[float]:
        """The six numbers in the order ``shapely.affinity.affine_transform`` takes."""
        return [self.a, self.c, self.b, self.d, self.e, self.f]

    @property
    def for_opencv(self) -> NDArray[np.float64]:
        """The map as ``cv2.warpAffine`` takes it, shape (2, 3)."""
        return np.array([[self.a, self.c, self.e], [self.b, self.d, self.f]])

    @property
    def linear(self) -> Affine:
        """The same map without its move, so that the origin stays."""
        return Affine(self.a, self.b, self.c, self.d)

    def inverse(self) -> Affine:
        """The map that undoes this one.

        Raises:
            ZeroDivisionError: the map is flat.
        """
        det = self.determinant
        a, b, c, d = self.d / det, -self.b / det, -self.c / det, self.a / det
        return Affine(a, b, c, d, -(a * self.e + c * self.f), -(b * self.e + d * self.f))

    def apply(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Map points of shape (..., 2), to the bit alike on every machine: no matrix product is."""
        given = np.asarray(points, dtype=np.float64)
        x, y = given[..., 0], given[..., 1]
        mapped = np.empty(given.shape)
        mapped[..., 0] = self.a * x + self.c * y + self.e
        mapped[..., 1] = self.b * x + self.d * y + self.f
        return mapped
