"""How well, and how fast, simulated photographs are measured.

Run by hand: ``python tests/bench/camera_colour.py [quick]``.

Two cameras, five lights, tilt to 35°, uneven light to 30 %, veil to 3 %, JPEG 95 to 85. All
photographs are simulated. Tables:

- the 99 reflectances of CIE 224:2017 beside the rendition chart: with the values of the very chart
  photographed, with the values published for charts of its making, and with those published for
  the other making, as if it had been mistaken. The reflectances photographed are the average of
  30 charts made before November 2014;
- the inks of an invented season on other materials in the window of a card of 12 megapixels,
  each pixel as small as a phone's: half as another printer would match them, half the card's own
  inks changed by what they are printed on. The card's values carry a spectrophotometer's error;
- the same with the pixels that the two cameras have, in number and size (from memory; 1000
  electrons a square micrometre): the second camera's matrix makes ten times its noise;
- the same at 4 megapixels; and with neither sensor noise nor JPEG, to tell what those two cost.

Each line, of one light, of daylight (D50 and D65 together) or of all photographs: ΔE00 (mean,
95 %), leave-one-out, the share of truths inside their 95 % regions; the error of the difference
between two areas of one material in one photograph, and the share of those inside the 95 % regions
of the two areas' own covariance; and how often colours whose true difference is exactly the
tolerance pass and fail: against aims, and in pairs. Last: a 24-megapixel JPEG, against its
decoding, in seconds of processor time and of the clock, and the most memory of a process that
measures it and does nothing else.

Every constant of the doubt was settled on invented reflectances of dyed things and on invented
seasons of other inks. The 99 reflectances were looked at while an earlier form of the doubt was
settled; since it took its present form they were measured seven times: after all else was fixed;
after colours began to be mended by the errors of patches near them, which on a chart of 24 made
nothing better; after that was left to leaving patches out to decide; after fewer of the patches'
pixels were read; twice after every model was given terms for uneven and stray light, and the
doubt was widened for it, both settled on invented dyed things alone; and once after a JPEG's
colours began to be read as they were before its pixels were rounded, with what rounding leaves told
by how patches scatter, settled on invented even areas and on two invented seasons of twelve other
inks. Root-polynomials are held to the likely cameras as those were invented, neither more nor less
firmly. Many variants of that prior were tried on the 99 before; ten invented cameras of another
kind with 200 dyed things tell widths of its variance from half to eight times, and all tails, apart
by no more than 0.02 (2.03 to 2.04 in the mean of five lights; 2.05 without the prior).
"""

import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from functools import partial
from itertools import combinations
from pathlib import Path

import numpy as np
from camera_scenes import card_scene, rendition_scene

from livery.capture import (
    RENDITION_KEY,
    RENDITION_KEYS,
    measure,
    rendition_24,
    with_measured,
    write_target,
)
from livery.capture.model import Region
from livery.colour import ciede2000
from livery.match import compare
from livery.match.model import AIM, Verdict
from livery.rehearsal.model import Camera, Encoding, Light, Pose
from livery.rehearsal.photograph import render
from livery.scheme.model import Finish, Ink, PairTolerance, Palette, Tolerances

CAMERAS = ("nikon-5100", "sigma-sdmerill")
LIGHTS = ("D50", "D65", "LED-B3", "FL11", "A")
DAYLIGHT = ("D50", "D65")
# Tilt (deg), share of light lost, veil, JPEG quality.
SETTINGS = ((0, 0.0, 0.005, 95), (20, 0.15, 0.01, 90), (35, 0.3, 0.03, 85))
INSIDE_95 = 7.815  # chi-square, three degrees of freedom
INSTRUMENT_SD = 0.2  # each of L*, a*, b*
TOLERANCE = 2.0
OLDER_KEY = next(key for key in RENDITION_KEYS if key != RENDITION_KEY)
PLAIN = Camera(width_px=2400, height_px=2400, exposure=0.8)
CARD = Camera(width_px=4000, height_px=3000, exposure=0.8)
# Pixels across and down, and electrons that one holds: of 4.8 and of 5 µm a side.
OWN_PIXELS = {"nikon-5100": (4928, 3264, 23000.0), "sigma-sdmerill": (4704, 3136, 25000.0)}


def as_photographed(target, truth, seed):
    """The patches' true values."""
    return with_measured(target, {patch.name: patch.lab for patch in truth.patches})


def as_published(key, target, truth, seed):
    """The values that come with charts of that making."""
    return rendition_24(key)


def by_instrument(target, truth, seed):
    """True values with an instrument's error: half its variance common to all, half not."""
    generator = np.random.default_rng([seed, 5])
    sd = INSTRUMENT_SD / np.sqrt(2.0)
    common = generator.normal(0.0, sd, 3)
    values = {
        patch.name: tuple(np.add(patch.lab, common) + generator.normal(0.0, sd, 3))
        for patch in truth.patches
    }
    return with_measured(target, values)


class Tally:
    """What many photographs by one camera in one light came to."""

    def __init__(self):
        self.errors, self.covered, self.names, self.loo = [], [], [], []
        self.pairs, self.pairs_covered = [], []
        self.verdicts = {"aim": [], "pair": []}

    @classmethod
    def pooled(cls, tallies):
        """All photographs of several."""
        whole = cls()
        for one in tallies:
            for name in ("errors", "covered", "names", "loo", "pairs", "pairs_covered"):
                getattr(whole, name).extend(getattr(one, name))
            for what, verdicts in one.verdicts.items():
                whole.verdicts[what] += verdicts
        return whole

    def line(self):
        """Every figure there is."""
        share = np.mean(self.covered)
        line = f"n {len(self.errors):4d}  mean {spread(self.errors)}  left out"
        line += f" {np.mean(self.loo):.2f}  covered {share:.3f}"
        for kind in ("print", "ground"):
            some = [c for c, name in zip(self.covered, self.names, strict=True) if kind in name]
            line += f" ({kind}s {np.mean(some):.3f})" if some else ""
        if self.pairs:
            line += f"  pairs {spread(self.pairs)} covered {np.mean(self.pairs_covered):.3f}"
        for what, verdicts in self.verdicts.items():
            if verdicts:
                passed, failed = (np.mean([v is w for v in verdicts]) for w in (PASS, FAIL))
                line += f"  at the limit, {what}: pass {passed:.3f} fail {failed:.3f}"
        return line


PASS, FAIL = Verdict.PASS, Verdict.FAIL


def spread(values):
    """Mean and 95th percentile."""
    return f"{np.mean(values):.2f}  95 % {np.percentile(values, 95):.2f}"


def shoot(scene, values_of, camera, light, setting, folder, seed):
    """Photograph and measure."""
    tilt, uneven, veil, quality = setting
    camera = replace(camera, veil=veil, quality=quality)
    photo = render(scene, camera, Light(light, uneven), Pose(tilt, roll_deg=3.0 * tilt), seed)
    truth = photo.truth
    path = Path(folder) / f"photo{photo.suffix}"
    path.write_bytes(photo.data)
    regions = [
        Region(r.name, r.ink, r.item or r.name, r.rings_mm[0], material=r.material)
        for r in truth.regions
    ]
    corners = None if scene.target.markers else truth.corners_px
    return measure(path, values_of(scene.target, truth, seed), regions, corners), truth


def count(tally, capture, truth, seed):
    """Add one photograph's figures."""
    true = {r.name: np.array(r.lab) for r in truth.regions}
    good = {s.name: s for s in capture.samples if not s.withheld}
    for name, sample in good.items():
        away = sample.lab - true[name]
        tally.errors.append(float(ciede2000(sample.lab, true[name])))
        tally.covered.append(is_inside(away, sample.cov))
        tally.names.append(name)
    for name, sample in good.items():
        twin = good.get(name[:-1] + "b") if name.endswith(" a") else None
        if twin is not None:
            expected = sample.lab + true[twin.name] - true[name]
            tally.pairs.append(float(ciede2000(expected, twin.lab)))
            own = sample.cov - sample.shared_cov + twin.cov - twin.shared_cov
            tally.pairs_covered.append(is_inside(expected - twin.lab, own))
    tally.loo.append(capture.characterisation.loo_mean)
    shown = replace(capture, samples=tuple(good.values()))
    tally.verdicts["aim"] += against_aims(shown, true, seed)
    tally.verdicts["pair"] += in_pairs(shown, true)


def is_inside(away, cov):
    """Whether an error lies in the 95 % region of its covariance."""
    return float(away @ np.linalg.solve(cov, away)) < INSIDE_95


def against_aims(capture, true, seed):
    """Verdicts on samples against aims that lie exactly the tolerance off the truth, any way."""
    generator = np.random.default_rng([seed, 7])
    samples, inks = [], []
    for index, sample in enumerate(capture.samples):
        key = f"ink-{index}"
        samples.append(replace(sample, ink=key, item="thing"))
        aim = at_tolerance(true[sample.name], generator.normal(size=3))
        inks.append(Ink(key, key, aim, Finish.MATT, TOLERANCE))
    palette = Palette("limit", "Limit", tuple(inks), "invented")
    found = compare([replace(capture, samples=tuple(samples))], palette)
    return [one.verdict for one in found if one.a == AIM]


def at_tolerance(lab, way):
    """The colour that way whose ΔE00 is the tolerance."""
    low, high = 0.0, 60.0
    for _ in range(60):
        middle = (low + high) / 2.0
        outside = ciede2000(lab, lab + middle * way) > TOLERANCE
        low, high = (low, middle) if outside else (middle, high)
    return tuple(float(value) for value in lab + low * way)


def in_pairs(capture, true):
    """Verdicts on pairs of one ink in the photograph, each under its own true difference."""
    pairs = [
        (a, b)
        for a, b in combinations(capture.samples, 2)
        if a.ink == b.ink and 0.5 < ciede2000(true[a.name], true[b.name]) < 5.0
    ]
    limits = tuple(
        PairTolerance((a.item, b.item), float(ciede2000(true[a.name], true[b.name])), a.ink)
        for a, b in pairs
    )
    keys = {a.ink for a, _ in pairs}
    inks = tuple(Ink(key, key, (50.0, 0.0, 0.0), Finish.MATT, 2.0) for key in sorted(keys))
    palette = Palette("limit", "Limit", inks, "invented")
    found = compare([capture], palette, Tolerances(pairs=limits))
    wanted = {frozenset((a.item, b.item)) for a, b in pairs}
    return [one.verdict for one in found if frozenset((one.a, one.b)) in wanted]


def study(title, scenes, values_of, camera, lights=LIGHTS, *, own_pixels=False):
    """One line for each camera and light, for daylight of both kinds, and for all photographs.

    Photographs take settings and scenes in turn.
    """
    print(title)
    everything = []
    with tempfile.TemporaryDirectory() as folder:
        for sensor in CAMERAS:
            tallies = {}
            for light in lights:
                tally = tallies[light] = Tally()
                for seed in range(max(len(SETTINGS), len(scenes))):
                    setting, scene = SETTINGS[seed % len(SETTINGS)], scenes[seed % len(scenes)]
                    shown = replace(camera, sensor=sensor)
                    if own_pixels:
                        wide, high, well = OWN_PIXELS[sensor]
                        shown = replace(shown, width_px=wide, height_px=high, full_well=well)
                    one = shoot(scene, values_of, shown, light, setting, folder, seed)
                    count(tally, *one, seed)
                print(f"{sensor:15s} {light:7s} {tally.line()}", flush=True)
            if set(DAYLIGHT) <= set(lights):
                whole = Tally.pooled(tallies[light] for light in DAYLIGHT)
                print(f"{sensor:15s} day     {whole.line()}", flush=True)
            everything += tallies.values()
    print(f"both cameras, every light {Tally.pooled(everything).line()}", flush=True)


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
    target = as_photographed(scene.target, photo.truth, 0)
    with tempfile.TemporaryDirectory() as folder:
        path, target_path = Path(folder) / "photo.jpg", Path(folder) / "target.toml"
        path.write_bytes(photo.data)
        write_target(target, target_path)
        peak = peak_mib(path, target_path if target.markers else RENDITION_KEY)
        decoding = timed(partial(cv2.imread, str(path)))
        measuring = timed(partial(measure, path, target, regions))
    ratio = measuring / decoding
    line = f"{title}: decoded in {decoding[0]:.3f} s ({decoding[1]:.3f} by the clock), measured in"
    line += f" {measuring[0]:.3f} s ({measuring[1]:.3f}): {ratio[0]:.1f} times ({ratio[1]:.1f});"
    print(f"{line} peak memory {peak:.0f} MiB", flush=True)


# As a user measures; the process's own word, as what it was started from does not count.
PEAK = """
import runpy, sys
sys.argv = ["livery", "measure", sys.argv[1], "--target", sys.argv[2], "--json"]
try:
    runpy.run_module("livery", run_name="__main__")
except SystemExit:
    pass
with open("/proc/self/status") as status:
    print(next(line.split()[1] for line in status if line.startswith("VmHWM")), file=sys.stderr)
"""


def peak_mib(photo, target):
    """The most memory that a process holds which measures a photograph and does nothing else."""
    command = [sys.executable, "-c", PEAK, str(photo), str(target)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return int(done.stderr.split()[-1]) / 1024


def main(few):
    """Every table."""
    chart = rendition_scene(OLDER_KEY)
    cards = [card_scene(seed) for seed in range(6)]
    study("rendition-24, 99 reflectances", [chart], as_photographed, PLAIN, few)
    for key, words in ((OLDER_KEY, "its making"), (RENDITION_KEY, "the other making")):
        title = f"rendition-24, 99 reflectances, values published for {words}"
        study(title, [chart], partial(as_published, key), PLAIN, few)
    study("card, 12 megapixels", cards, by_instrument, CARD, few)
    title = "card, the cameras' own pixels"
    study(title, cards, by_instrument, CARD, few, own_pixels=True)
    small = replace(CARD, width_px=2400, height_px=1800)
    study("card, 4 megapixels", cards[:3], by_instrument, small, few[:1])
    quiet = replace(CARD, full_well=1e9, read_noise=0.0, encoding=Encoding.PNG)
    study("card, without noise or JPEG", cards[:3], by_instrument, quiet, few)
    race("chart, 24 megapixels", chart)
    race("card, 24 megapixels", cards[0])


if __name__ == "__main__":
    main(LIGHTS[:1] if "quick" in sys.argv else LIGHTS)
