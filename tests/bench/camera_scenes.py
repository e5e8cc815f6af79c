"""What the colour bench photographs: reflectances beside a chart, invented inks under a card."""

import warnings

import numpy as np

from livery.capture import make_target, rendition_24
from livery.capture.target_layout import TargetKind, form_of
from livery.errors import ColourError
from livery.rehearsal import (
    Material,
    box_ring,
    make_scene,
    region,
    rendition_patches,
    spectrum_of,
)
from livery.scheme.model import Finish, Ink, Palette, Spectrum

INKS = {
    "tarn": (36.0, -16.0, -24.0),
    "ember": (57.0, 46.0, 44.0),
    "chalk": (91.0, 0.0, 5.0),
    "reed": (66.0, -6.0, 36.0),
    "pitch": (20.0, 1.0, -1.0),
    "heath": (44.0, 32.0, -14.0),
}
MATERIALS = (Material.FILM, Material.LEATHER, Material.FABRIC)
STRONGER = 1.05  # exponent of a reflectance where more of the same ink lies


def cie_2017_samples():
    """The 99 reflectances, every 10 nm from 380 to 730 nm."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
        from colour.quality.cfi2017 import load_TCS_CIE2017
    table = np.asarray(load_TCS_CIE2017(colour.SpectralShape(380, 780, 5)).values)[:71:2]
    nanometres = np.arange(380.0, 731.0, 10.0)
    return [Spectrum(nanometres, column) for column in table.T]


def boxes(x0, y0, count, columns, cell):
    """Outlines of squares in rows, a millimetre apart."""
    for index in range(count):
        x, y = x0 + index % columns * cell, y0 + index // columns * cell
        yield box_ring(x, y, x + cell - 1.0, y + cell - 1.0)


def rendition_scene(key):
    """The chart with the 99 samples laid below it."""
    target = rendition_24(key)
    spectra = cie_2017_samples()
    places = boxes(0.0, target.height_mm + 8.0, len(spectra), 33, 8.0)
    laid = [
        region(f"sample {i}", ring, spectrum)
        for i, (ring, spectrum) in enumerate(zip(places, spectra, strict=True))
    ]
    return make_scene(target, over=laid, patches=rendition_patches(), paper=(22.0, 0.0, 0.0))


def other_print(lab, generator):
    """A reflectance of about the same colour by another printer, as smooth as can be."""
    while True:
        try:
            return spectrum_of(tuple(np.add(lab, generator.normal(0.0, 2.0, 3))))
        except ColourError:  # lighter or stronger than any surface
            continue


def other_ground(lab, generator):
    """The ink's own reflectance, changed smoothly by what it is printed on."""
    ink = spectrum_of(lab)
    apart = np.subtract.outer(ink.wavelengths_nm, ink.wavelengths_nm)
    reach = np.exp(generator.uniform(np.log(40.0), np.log(150.0)))
    root = np.linalg.cholesky(np.exp(-0.5 * (apart / reach) ** 2) + 1e-6 * np.eye(len(apart)))
    change = np.exp(0.08 * root @ generator.normal(size=len(apart)))
    changed = ink.reflectance * change + 0.02 * generator.random()
    return Spectrum(ink.wavelengths_nm, np.clip(changed, 0.01, 0.97))


def card_scene(seed):
    """A card on three materials in each ink: other prints and other grounds in turn.

    Of each there are two areas, the second with more ink, named ``... a`` and ``... b``.
    """
    inks = tuple(Ink(key, key, lab, Finish.MATT, 2.0) for key, lab in INKS.items())
    target, _ = make_target(TargetKind.CARD, Palette("bench", "Bench", inks, "invented"))
    window = form_of(TargetKind.CARD).window_mm
    generator = np.random.default_rng([11, seed])
    places = boxes(window[0] + 1.0, window[1] + 1.0, 2 * len(INKS) * len(MATERIALS), 9, 7.5)
    laid = []
    for number, (key, lab) in enumerate(INKS.items()):
        for turn, material in enumerate(MATERIALS):
            is_print = (number + turn + seed) % 2 == 0
            spectrum = (other_print if is_print else other_ground)(lab, generator)
            kind = "print" if is_print else "ground"
            for twin in "ab":
                item = f"{key} {material} {kind} {twin}"
                laid.append(
                    region(item, next(places), spectrum, ink=key, item=item, material=material)
                )
                spectrum = Spectrum(spectrum.wavelengths_nm, spectrum.reflectance**STRONGER)
    return make_scene(target, under=laid, window_mm=window)
