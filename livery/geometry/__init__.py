"""Plane geometry every room shares: affine maps and exact paths, in mm."""

from livery.geometry.affine import Affine
from livery.geometry.path import FillRule, Path, areal

__all__ = ["Affine", "FillRule", "Path", "areal"]
