"""Colour science: arrays in, arrays out.

- ``arrays`` says what every formula takes; ``cielab`` goes to and from tristimulus values;
- ``difference`` is CIEDE2000, ``metamerism`` the same pairs under many lights;
- ``spectra`` makes colours of spectra under the packaged lights, ``reflectance`` a spectrum of a
  colour, ``tone`` the share of an ink that a tint shows;
- ``icc`` reads profiles: a photograph's for ``camera_profile``, a press's for ``press``, of which
  ``gamut`` takes slices;
- ``screen`` is sRGB, ``notation`` the other ways in which people write a colour.
"""

from livery.colour.arrays import Floats
from livery.colour.camera_profile import RgbProfile, read_rgb_profile
from livery.colour.cielab import (
    SURFACES,
    WHITE_D50,
    WHITE_D65,
    WHITE_PCS,
    adapt,
    is_surface,
    lab_to_xyz,
    xyz_to_lab,
)
from livery.colour.difference import (
    Ciede2000Terms,
    ciede2000,
    ciede2000_single,
    ciede2000_terms,
)
from livery.colour.gamut import gamut_slice
from livery.colour.metamerism import (
    LIGHTS,
    UnderLights,
    correct_to_match,
    light_from_spectrum,
    see_under_lights,
)
from livery.colour.notation import colour_from_words
from livery.colour.press import (
    PressProfile,
    press_conditions,
    press_profile,
    read_press_profile,
)
from livery.colour.reflectance import WAVELENGTHS_NM, spectrum_for_lab
from livery.colour.screen import (
    decode_srgb,
    encode_srgb,
    lab_to_srgb8,
    xyz_to_srgb_linear,
)
from livery.colour.spectra import (
    Illuminant,
    illuminant,
    read_table,
    resampling,
    spectrum_to_lab,
    spectrum_to_xyz,
)
from livery.colour.tone import spot_tone_value

__all__ = [
    "LIGHTS",
    "SURFACES",
    "WAVELENGTHS_NM",
    "WHITE_D50",
    "WHITE_D65",
    "WHITE_PCS",
    "Ciede2000Terms",
    "Floats",
    "Illuminant",
    "PressProfile",
    "RgbProfile",
    "UnderLights",
    "adapt",
    "ciede2000",
    "ciede2000_single",
    "ciede2000_terms",
    "colour_from_words",
    "correct_to_match",
    "decode_srgb",
    "encode_srgb",
    "gamut_slice",
    "illuminant",
    "is_surface",
    "lab_to_srgb8",
    "lab_to_xyz",
    "light_from_spectrum",
    "press_conditions",
    "press_profile",
    "read_press_profile",
    "read_rgb_profile",
    "read_table",
    "resampling",
    "see_under_lights",
    "spectrum_for_lab",
    "spectrum_to_lab",
    "spectrum_to_xyz",
    "spot_tone_value",
    "xyz_to_lab",
    "xyz_to_srgb_linear",
]
