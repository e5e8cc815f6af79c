"""All pairs of the CIE 2017 test colours under nine lights, against colour-science in one run."""

import time
import warnings

import numpy as np
from colour_science import colour, load_TCS_CIE2017

from livery.colour import LIGHTS, see_under_lights

ROUNDS = 3
# A light emits nothing outside its table; theirs would go on at its last value.
DARK_OUTSIDE = {
    "interpolator": colour.LinearInterpolator,
    "extrapolator_kwargs": {"method": "Constant", "left": 0, "right": 0},
}


def by_colour_science(reflectances):
    """ΔE00 of every pair under every light, by its own integration."""
    shape = colour.SpectralShape(360, 830, 5)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    first, second = np.triu_indices(reflectances.values.shape[-1], k=1)
    found = []
    for name in LIGHTS:
        light = colour.SDS_ILLUMINANTS[name].copy().align(shape, **DARK_OUTSIDE)
        xyz = colour.msds_to_XYZ(reflectances, observer, light, method="Integration") / 100
        white = colour.sd_to_XYZ(colour.sd_ones(shape), observer, light, method="Integration")
        lab = colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(white))
        found.append(colour.delta_E(lab[first], lab[second], method="CIE 2000"))
    return np.array(found)


def test_all_pairs_under_nine_lights(benchmark):
    table = load_TCS_CIE2017(colour.SpectralShape(360, 830, 5))
    waves, rows = np.asarray(table.wavelengths), np.asarray(table.values).T
    start = time.perf_counter()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # theirs, not ours, to keep quiet
        theirs = by_colour_science(table)
    taken = time.perf_counter() - start
    ours = benchmark.pedantic(see_under_lights, (waves, rows), rounds=ROUNDS, warmup_rounds=1)
    benchmark.extra_info["times_as_fast"] = round(taken / benchmark.stats.stats.min, 2)
    benchmark.extra_info.update(peer="colour-science", peer_s=taken, bar=1.0)
    assert ours.de00.shape == theirs.shape == (9, 99 * 98 // 2)
    assert np.abs(ours.de00 - theirs).max() < 1e-9
    assert taken > benchmark.stats.stats.min
