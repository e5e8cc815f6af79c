"""How well simulated photographs are measured.

Run by hand: ``python tests/bench/camera_colour.py``.

Two cameras, five lights, tilt to 35°, uneven light to 30 %, veil to 3 %, JPEG 95 to 85; the 99
reflectances of CIE 224:2017 beside the rendition chart, and the inks of an invented season, on
other materials, in the window of a card. All photographs are simulated. Prints, for each camera
and light, ΔE00 (mean, 95 %), leave-one-out, coverage of 95 % regions, and ΔE00 between two areas
of one material in one photograph.
"""

import tempfile
import warnings
from pathlib import Path

import numpy as np

from livery.capture import make_target, measure, rendition_24, with_measured
from livery.capture.model import Region
from livery.capture.target_layout import TargetKind, form_of
from livery.colour import ciede2000
from livery.rehearsal.model import Camera, Light, Material, Pose
from livery.rehearsal.photograph import render
from livery.rehearsal.scene import box_ring, make_scene, region, rendition_patches, spectrum_of
from livery.scheme.model import Finish, Ink, Palette, Spectrum

CAMERAS = ("nikon-5100", "sigma-sdmerill")
LIGHTS = ("D50", "D65", "LED-B3", "FL11", "A")
# Tilt (deg), share of light lost, veil, JPEG quality.
SETTINGS = ((0, 0.0, 0.005, 95), (20, 0.15, 0.01, 90), (35, 0.3, 0.03, 85))
INSIDE_95 = 7.815  # chi-square, three degrees of freedom
INKS = {
    "tarn": (36.0, -16.0, -24.0),
    "ember": (57.0, 46.0, 44.0),
    "chalk": (91.0, 0.0, 5.0),
    "reed": (66.0, -6.0, 36.0),
    "pitch": (20.0, 1.0, -1.0),
    "heath": (44.0, 32.0, -14.0),
}
MATERIALS = (Material.FILM, Material.LEATHER, Material.FABRIC)


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


def rendition_scene():
    """The chart with the 99 samples laid below it."""
    target = rendition_24()
    spectra = cie_2017_samples()
    places = boxes(0.0, target.height_mm + 8.0, len(spectra), 33, 8.0)
    laid = [
        region(f"sample {i}", ring, spectrum)
        for i, (ring, spectrum) in enumerate(zip(places, spectra, strict=True))
    ]
    return make_scene(target, over=laid, patches=rendition_patches(), paper=(22.0, 0.0, 0.0))


def card_scene():
    """A card on three materials in each ink, each shifted a little, as prints differ."""
    inks = tuple(Ink(key, key, lab, Finish.MATT, 2.0) for key, lab in INKS.items())
    target, _ = make_target(TargetKind.CARD, Palette("bench", "Bench", inks, "invented"))
    window = form_of(TargetKind.CARD).window_mm
    shifts = np.random.default_rng(11).normal(0.0, 2.0, (len(INKS), len(MATERIALS), 3))
    places = boxes(window[0] + 1.0, window[1] + 1.0, 2 * shifts.size // 3, 9, 7.5)
    laid = []
    for (key, lab), row in zip(INKS.items(), shifts, strict=True):
        for material, shift in zip(MATERIALS, row, strict=True):
            spectrum = spectrum_of(tuple(np.add(lab, shift)))
            for twin in "ab":
                name = f"{key} {material} {twin}"
                laid.append(region(name, next(places), spectrum, material=material))
    return make_scene(target, under=laid, window_mm=window)


def shoot(scene, sensor, light, setting, folder, seed):
    """Photograph and measure: errors by region, whether each is covered, and the capture."""
    tilt, uneven, veil, quality = setting
    camera = Camera(
        sensor,
        2400,
        2400 if not scene.target.markers else 1800,
        veil=veil,
        quality=quality,
        exposure=0.8,
    )
    photo = render(scene, camera, Light(light, uneven), Pose(tilt, roll_deg=3.0 * tilt), seed)
    truth = photo.truth
    values = {p.name: t.lab for p, t in zip(scene.target.patches, truth.patches, strict=True)}
    path = Path(folder) / f"photo{photo.suffix}"
    path.write_bytes(photo.data)
    regions = [Region(r.name, r.ink, r.item, r.rings_mm[0]) for r in truth.regions]
    corners = None if scene.target.markers else truth.corners_px
    capture = measure(path, with_measured(scene.target, values), regions, corners)
    refused = {gate.region for gate in capture.gates if not gate.ok}
    true = {r.name: np.array(r.lab) for r in truth.regions}
    errors, covered, found = [], [], {}
    for sample in capture.samples:
        if sample.name in refused:
            continue
        away = sample.lab - true[sample.name]
        errors.append(float(ciede2000(sample.lab, true[sample.name])))
        covered.append(float(away @ np.linalg.solve(sample.cov, away)) < INSIDE_95)
        found[sample.name] = sample.lab
    pairs = [
        float(ciede2000(found[name], found[name[:-1] + "b"]))
        for name in found
        if name.endswith(" a") and name[:-1] + "b" in found
    ]
    return errors, covered, pairs, capture


def study(title, scene):
    """One line for each camera and light."""
    print(title)
    with tempfile.TemporaryDirectory() as folder:
        for sensor in CAMERAS:
            for light in LIGHTS:
                errors, covered, pairs, loo = [], [], [], []
                for seed, setting in enumerate(SETTINGS):
                    one = shoot(scene, sensor, light, setting, folder, seed)
                    errors += one[0]
                    covered += one[1]
                    pairs += one[2]
                    loo.append(one[3].characterisation.loo_mean)
                line = f"{sensor:15s} {light:7s} n {len(errors):4d}  mean {np.mean(errors):.2f}"
                line += f"  95 % {np.percentile(errors, 95):.2f}  left out {np.mean(loo):.2f}"
                line += f"  covered {np.mean(covered):.3f}"
                if pairs:
                    line += f"  pairs {np.mean(pairs):.2f}  95 % {np.percentile(pairs, 95):.2f}"
                print(line, flush=True)


if __name__ == "__main__":
    study("rendition-24, 99 reflectances", rendition_scene())
    study("card, inks on other materials", card_scene())
