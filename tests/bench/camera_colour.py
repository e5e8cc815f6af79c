"""How well, and how fast, simulated photographs are measured.

Run by hand: ``python tests/bench/camera_colour.py [quick]``.

Two cameras, five lights, tilt to 35°, uneven light to 30 %, veil to 3 %, JPEG 95 to 85. All
photographs are simulated. Tables:

- the 99 reflectances of CIE 224:2017 beside the rendition chart, whose values are those of the
  photographed patches, and again with the chart's published values, which are those of another
  batch;
- the inks of an invented season, as another printer would match them, on other materials in the
  window of a card: reflectances as smooth as the card's, and the card's own inks changed by what
  they are printed on. The card's values carry a spectrophotometer's error.

Each line: ΔE00 (mean, 95 %), leave-one-out, the share of truths inside their 95 % regions, and
ΔE00 between two areas of one material in one photograph. The doubt of a model was tuned on
invented spectra of dyed things, but these reflectances were looked at while its form was settled,
so they are no blind test of it. Last: a 24-megapixel JPEG,
against its decoding, in seconds of processor time and of the clock, and peak memory.
"""

import resource
import sys
import tempfile
import time
import warnings
from functools import partial
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
INSTRUMENT_SD = 0.2  # each of L*, a*, b*
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


def other_prints(lab, count, generator):
    """Reflectances of about the same colour, each by another printer, as smooth as can be."""
    for shift in generator.normal(0.0, 2.0, (count, 3)):
        yield spectrum_of(tuple(np.add(lab, shift)))


def other_grounds(lab, count, generator):
    """The ink's own reflectance, changed smoothly by what it is printed on."""
    ink = spectrum_of(lab)
    apart = np.subtract.outer(ink.wavelengths_nm, ink.wavelengths_nm)
    for _ in range(count):
        reach = np.exp(generator.uniform(np.log(40.0), np.log(150.0)))
        root = np.linalg.cholesky(np.exp(-0.5 * (apart / reach) ** 2) + 1e-6 * np.eye(len(apart)))
        change = np.exp(0.08 * root @ generator.normal(size=len(apart)))
        changed = ink.reflectance * change + 0.02 * generator.random()
        yield Spectrum(ink.wavelengths_nm, np.clip(changed, 0.01, 0.97))


def card_scene(prints=other_prints):
    """A card on three materials in each ink, two areas of each."""
    inks = tuple(Ink(key, key, lab, Finish.MATT, 2.0) for key, lab in INKS.items())
    target, _ = make_target(TargetKind.CARD, Palette("bench", "Bench", inks, "invented"))
    window = form_of(TargetKind.CARD).window_mm
    generator = np.random.default_rng(11)
    places = boxes(window[0] + 1.0, window[1] + 1.0, 2 * len(INKS) * len(MATERIALS), 9, 7.5)
    laid = []
    for key, lab in INKS.items():
        spectra = prints(lab, len(MATERIALS), generator)
        for material, spectrum in zip(MATERIALS, spectra, strict=True):
            for twin in "ab":
                name = f"{key} {material} {twin}"
                laid.append(region(name, next(places), spectrum, material=material))
    return make_scene(target, under=laid, window_mm=window)


def as_photographed(truth, seed):
    """The patches' true values."""
    return {patch.name: patch.lab for patch in truth.patches}


def as_published(truth, seed):
    """The values that come with the chart."""
    return {patch.name: patch.lab for patch in rendition_24().patches}


def by_instrument(truth, seed):
    """True values with an instrument's error: half its variance common to all, half not."""
    generator = np.random.default_rng([seed, 5])
    common = generator.normal(0.0, INSTRUMENT_SD / np.sqrt(2.0), 3)
    return {
        patch.name: tuple(
            np.add(patch.lab, common) + generator.normal(0.0, INSTRUMENT_SD / np.sqrt(2.0), 3)
        )
        for patch in truth.patches
    }


def shoot(scene, values_of, sensor, light, setting, folder, seed):
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
    values = values_of(truth, seed)
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


def study(title, scene, values_of, lights=LIGHTS):
    """One line for each camera and light."""
    print(title)
    with tempfile.TemporaryDirectory() as folder:
        for sensor in CAMERAS:
            for light in lights:
                errors, covered, pairs, loo = [], [], [], []
                for seed, setting in enumerate(SETTINGS):
                    one = shoot(scene, values_of, sensor, light, setting, folder, seed)
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


def timed(work):
    """Least processor and clock seconds of five runs."""
    spent = []
    for _ in range(5):
        start = time.process_time(), time.perf_counter()
        work()
        spent.append((time.process_time() - start[0], time.perf_counter() - start[1]))
    return np.min(spent, axis=0)


def race(title, scene):
    """A 24-megapixel JPEG: decoding alone, and measuring ten regions."""
    import cv2

    camera = Camera("nikon-5100", 6000, 4000, veil=0.01, quality=92, exposure=0.8)
    photo = render(scene, camera, Light("D65", 0.15), Pose(15, roll_deg=5), 3)
    regions = [Region(r.name, r.ink, r.item, r.rings_mm[0]) for r in photo.truth.regions[:10]]
    target = with_measured(scene.target, as_photographed(photo.truth, 0))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "photo.jpg"
        path.write_bytes(photo.data)
        decoding = timed(partial(cv2.imread, str(path)))
        measuring = timed(partial(measure, path, target, regions))
    ratio = measuring / decoding
    line = f"{title}: decoded in {decoding[0]:.3f} s ({decoding[1]:.3f} by the clock), measured in"
    line += f" {measuring[0]:.3f} s ({measuring[1]:.3f}): {ratio[0]:.1f} times ({ratio[1]:.1f})"
    print(line, flush=True)


if __name__ == "__main__":
    few = LIGHTS[:1] if "quick" in sys.argv else LIGHTS
    chart = rendition_scene()
    study("rendition-24, 99 reflectances", chart, as_photographed, few)
    study("rendition-24, 99 reflectances, published values", chart, as_published, few)
    study("card, inks of other printers", card_scene(), by_instrument, few)
    study("card, its inks on other grounds", card_scene(other_grounds), by_instrument, few)
    race("chart, 24 megapixels", chart)
    race("card, 24 megapixels", card_scene())
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory {peak:.0f} MiB, simulation included")
