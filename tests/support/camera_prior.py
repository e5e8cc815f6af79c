"""Makes livery/data/cameras/likely.csv: what a camera's colour matrix is likely to be.

Run by hand: ``python tests/support/camera_prior.py``.

Cameras and lamps are invented, of every kind there is: filters of dyes beside one another, layers
that overlap, much or little cross-talk; daylight, filament, LED and fluorescent lamps. Each camera
has a maker's matrix to sRGB, fitted under D50, as the simulator's have. The reflectances are real
surfaces', and none of what the bench measures. The root-polynomial that suits one camera under one
lamp is fitted to all of them; the mean and covariance of many are written.
"""

import csv
from pathlib import Path

import numpy as np
from colour_science import colour

from livery.capture.colour_metric import lab_to_weighted, xyz_to_lab_slope
from livery.capture.colour_model import with_roots
from livery.colour import illuminant, spectrum_to_xyz, xyz_to_lab, xyz_to_srgb_linear

PLACE = Path(__file__).parents[2] / "livery" / "data" / "cameras" / "likely.csv"
NANOMETRES = np.arange(380.0, 781.0, 5.0)
CAMERAS = 1500
TERMS = ("r", "g", "b", "root rg", "root gb", "root rb")


def reflectances():
    """Those of 190 real surfaces, without what shines or is no reflectance, shape (n, 81)."""
    table = colour.characterisation.read_training_data_rawtoaces_v1()
    real = np.asarray(table.align(colour.SpectralShape(380, 780, 5)).values).T
    return real[(real.min(axis=1) >= 0.0) & (real.max(axis=1) <= 1.0)]


def _bell(middle, left, right):
    width = np.where(middle > NANOMETRES, left, right)
    return np.exp(-0.5 * ((NANOMETRES - middle) / width) ** 2)


def _edge(middle, width):
    return 1.0 / (1.0 + np.exp((middle - NANOMETRES) / width))


def _sensitivities(draw):
    """Shape (81, 3)."""
    red = _bell(draw(580, 625), draw(18, 80), draw(25, 60))
    green = _bell(draw(510, 555), draw(28, 80), draw(28, 70))
    blue = _bell(draw(435, 475), draw(18, 45), draw(22, 70))
    cross_talk = draw(0.0, 0.45) * draw(0.0, 1.0, (3, 3))
    seen = np.stack([red, green, blue], axis=1) @ (np.eye(3) + cross_talk)
    cut = _edge(draw(395, 420), draw(3, 10)) * (1.0 - _edge(draw(640, 700), draw(4, 20)))
    ripple = np.stack(
        [np.interp(NANOMETRES, np.linspace(380, 780, 14), draw(-0.14, 0.14, 14)) for _ in range(3)]
    )
    return seen * cut[:, None] * np.exp(ripple.T)


def _lamp(draw):
    """Relative power, shape (81,)."""
    kind = int(draw(0, 4))
    if kind == 0:
        cool = draw(-0.5, 1.5)
        power = (1.0 - cool) * _of("D50") + cool * _of("D65")
    elif kind == 1:
        kelvin = draw(2600, 4000)
        power = NANOMETRES**-5.0 / (np.exp(1.4388e7 / (NANOMETRES * kelvin)) - 1.0)
    elif kind == 2:
        pump, phosphor = draw(445, 465), draw(540, 610)
        widths = draw(8, 14), draw(45, 75)
        power = draw(0.3, 1.2) * _bell(pump, widths[0], widths[0])
        power = power + _bell(phosphor, widths[1], widths[1])
    else:
        power = 0.15 * _bell(580, 70, 70)
        for line, width, height in LINES:
            power = power + draw(0.5, 1.3) * height * _bell(line, width, width)
    return np.maximum(power, 1e-9)


# nm, nm, share: the lines of mercury and of three phosphors, from memory.
LINES = ((405, 4, 0.3), (436, 4, 1.0), (488, 6, 0.7), (544, 4, 2.0), (585, 6, 0.6), (611, 4, 2.0))


def _of(name):
    light = illuminant(name)
    power = np.interp(NANOMETRES, light.wavelengths_nm, light.power)
    return power / power.sum()


def _raw(surfaces, sensitivities, power):
    weights = sensitivities * power[:, None]
    return surfaces @ (weights / weights.sum(axis=0))


def _makers_matrix(surfaces, xyz, sensitivities):
    """From balanced raw to linear sRGB under D50, keeping white white, shape (3, 3)."""
    raw, ideal = _raw(surfaces, sensitivities, _of("D50")), xyz_to_srgb_linear(xyz)
    free = np.linalg.lstsq(raw[:, :2] - raw[:, 2:], ideal - raw[:, 2:], rcond=None)[0]
    return np.column_stack([free.T, 1.0 - free.sum(axis=0)])


def matrices():
    """Root-polynomials of many cameras, each under some lamp, shape (cameras, 3, 6)."""
    draw = np.random.default_rng(1).uniform
    surfaces = reflectances()
    xyz = spectrum_to_xyz(NANOMETRES, surfaces, "D50")
    scale = lab_to_weighted(xyz_to_lab(xyz)) @ xyz_to_lab_slope(xyz)
    wanted = np.einsum("nij,nj->ni", scale, xyz).ravel()
    found = []
    for _ in range(CAMERAS):
        camera = _sensitivities(draw)
        srgb = _raw(surfaces, camera, _lamp(draw)) @ _makers_matrix(surfaces, xyz, camera).T
        terms = with_roots(np.clip(srgb, 0.0, 1.0))
        rows = np.einsum("nij,nk->nijk", scale, terms).reshape(len(wanted), -1)
        found.append(np.linalg.solve(rows.T @ rows, rows.T @ wanted).reshape(3, 6))
    return np.stack(found)


def likely():
    """The mean of the matrices, row by row, shape (18,), and their covariance."""
    flat = matrices().reshape(CAMERAS, -1)
    return flat.mean(axis=0), np.cov(flat.T)


def main():
    """Write the file."""
    mean, cov = likely()
    with PLACE.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(["mean", *(f"{row} by {term}" for row in "XYZ" for term in TERMS)])
        for middle, row in zip(mean, cov, strict=True):
            writer.writerow([f"{middle:.6f}", *(f"{value:.6e}" for value in row)])


if __name__ == "__main__":
    main()
