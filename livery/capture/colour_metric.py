"""How large a small step in tristimulus values is to the eye, as a matrix at each colour."""

from __future__ import annotations

import numpy as np

from livery.colour import WHITE_D50, Floats

_EDGE = 6.0 / 29.0  # cube root of the ratio where CIELAB's curve turns straight [source: cie-15]
_NO_CHROMA = 1e-6  # below which a colour has no hue [source: workshop-choice]


def lab_to_weighted(lab: Floats) -> Floats:
    """The matrix that turns a small step in CIELAB into one whose length is about its ΔE00.

    The hue-dependent terms of ΔE00 are left out: they bend the metric by less than the model
    errors it weighs.

    Args:
        lab: D50/2°, shape (n, 3).

    Returns:
        Shape (n, 3, 3); rows are lightness, chroma and hue, each over its weight.

    Source:
        [source: sharma-2005]
    """
    lightness, a, b = lab.T
    seventh = np.hypot(a, b) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(seventh / (seventh + 25.0**7))
    a = a * stretch
    chroma = np.hypot(a, b)
    grey = chroma < _NO_CHROMA
    cosine = np.where(grey, 1.0, a / np.where(grey, 1.0, chroma))
    sine = np.where(grey, 0.0, b / np.where(grey, 1.0, chroma))
    away = (lightness - 50.0) ** 2
    s_l = 1.0 + 0.015 * away / np.sqrt(20.0 + away)
    s_c, s_h = 1.0 + 0.045 * chroma, 1.0 + 0.015 * chroma
    matrix = np.zeros((len(lab), 3, 3))
    matrix[:, 0, 0] = 1.0 / s_l
    matrix[:, 1, 1], matrix[:, 1, 2] = cosine * stretch / s_c, sine / s_c
    matrix[:, 2, 1], matrix[:, 2, 2] = -sine * stretch / s_h, cosine / s_h
    return matrix


def xyz_to_lab_slope(xyz: Floats) -> Floats:
    """The derivative of CIELAB (D50/2°) by tristimulus values, shape (n, 3, 3).

    Args:
        xyz: shape (n, 3), Y = 1 for white.

    Source:
        [source: cie-15]
    """
    white = np.asarray(WHITE_D50)
    ratio = xyz / white
    steep = 1.0 / (3.0 * np.cbrt(np.maximum(ratio, _EDGE**3)) ** 2)
    slope = steep / white
    matrix = np.zeros((len(xyz), 3, 3))
    matrix[:, 0, 1] = 116.0 * slope[:, 1]
    matrix[:, 1, 0], matrix[:, 1, 1] = 500.0 * slope[:, 0], -500.0 * slope[:, 1]
    matrix[:, 2, 1], matrix[:, 2, 2] = 200.0 * slope[:, 1], -200.0 * slope[:, 2]
    return matrix
