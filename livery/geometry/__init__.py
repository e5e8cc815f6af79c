"""Plane geometry every room shares: affine maps and exact paths, in mm.

``affine`` is the maps, ``path`` the lines and cubics they move; ``settled`` takes sines and powers
as every machine takes them.
"""

from livery.geometry.affine import Affine
from livery.geometry.path import (
    POINTS_PER_VERB,
    Area,
    FillRule,
    Path,
    areal,
    box_of,
    cubic_weights,
    lay,
)
from livery.geometry.settled import settled

__all__ = [
    "POINTS_PER_VERB",
    "Affine",
    "Area",
    "FillRule",
    "Path",
    "areal",
    "box_of",
    "cubic_weights",
    "lay",
    "settled",
]
