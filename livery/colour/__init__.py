"""Colour science: arrays in, arrays out."""

from livery.colour.cielab import (
    WHITE_A,
    WHITE_D50,
    WHITE_D65,
    WHITE_PCS,
    adapt,
    adaptation_matrix,
    lab_to_lch,
    lab_to_xyz,
    xyz_to_lab,
)
from livery.colour.difference import Ciede2000Terms, ciede2000, ciede2000_terms
from livery.colour.screen import (
    decode_srgb,
    encode_srgb,
    lab_in_srgb,
    lab_to_srgb8,
    rgb_to_xyz_matrix,
    srgb8_to_lab,
    srgb_linear_to_xyz,
    xyz_to_srgb_linear,
)

__all__ = [
    "WHITE_A",
    "WHITE_D50",
    "WHITE_D65",
    "WHITE_PCS",
    "Ciede2000Terms",
    "adapt",
    "adaptation_matrix",
    "ciede2000",
    "ciede2000_terms",
    "decode_srgb",
    "encode_srgb",
    "lab_in_srgb",
    "lab_to_lch",
    "lab_to_srgb8",
    "lab_to_xyz",
    "rgb_to_xyz_matrix",
    "srgb8_to_lab",
    "srgb_linear_to_xyz",
    "xyz_to_lab",
    "xyz_to_srgb_linear",
]
