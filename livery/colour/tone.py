"""How much of an ink a tint shows, from colour alone, so that any ink can be asked."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.arrays import Floats, as_triples
from livery.errors import ColourError


def spot_tone_value(lab_tint: ArrayLike, lab_solid: ArrayLike, lab_stock: ArrayLike) -> Floats:
    """Tone value of a tint: 0 for the stock, 1 for the solid, even steps to the eye between.

    The distance from the stock over the solid's, in X, Y and Z each on the scale of lightness.

    Args:
        lab_tint: CIELAB D50/2°, shape (..., 3).
        lab_solid: of the solid on the same stock; shapes broadcast.
        lab_stock: of the bare stock.

    Returns:
        Tone values as shares, shape (...,).

    Raises:
        ColourError: wrong shape, not finite, or a solid that is the stock.

    Source:
        [source: iso-20654]
    """
    tint, solid, stock = (
        _lightness_like(as_triples(lab, name))
        for lab, name in ((lab_tint, "tint"), (lab_solid, "solid"), (lab_stock, "stock"))
    )
    whole = np.linalg.norm(solid - stock, axis=-1)
    if not (whole > 1e-6).all():
        raise ColourError("tone value: solid and stock are one colour. Measure them again.")
    share: Floats = np.linalg.norm(tint - stock, axis=-1) / whole
    return share


def _lightness_like(lab: Floats) -> Floats:
    """116 f − 16 of X, Y and Z over the white's, as L* is of Y."""
    y = lab[..., 0]
    return np.stack([y + 116.0 * lab[..., 1] / 500.0, y, y - 116.0 * lab[..., 2] / 200.0], axis=-1)
