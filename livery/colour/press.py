"""A press condition's profile, evaluated in double precision: process inks to CIELAB and back."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import product

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.arrays import Floats, as_triples
from livery.colour.cielab import WHITE_PCS, lab_to_xyz, xyz_to_lab
from livery.colour.difference import ciede2000
from livery.colour.icc import IccTable, read_table_element, read_tags, read_xyz
from livery.errors import ColourError

_FILES = {"FOGRA39L": "FOGRA39L_coated.icc"}
# How a build is sought: a lattice round each of the best seeds moves to its nearest point, and is
# halved where that lies within. All are workshop choices, coverages but for the ΔE00.
_SEEDS = np.array(list(product((0.0, 0.25, 0.5, 0.75, 1.0), repeat=3)))
_AROUND = np.array(
    sorted(product((-1.0, -0.5, 0.0, 0.5, 1.0), repeat=3), key=lambda p: np.dot(p, p))
)
_STARTS = 3
_WIDEST, _ONE_LEFT, _FINEST = 0.25, 0.06, 1e-5
_NO_DE00 = 1e-4
_MOST_MOVES = 50  # at one size: printers' profiles take 6, and a flat one would take thousands


@dataclass(frozen=True, slots=True, eq=False)
class PressProfile:
    """A process-ink printing condition.

    Attributes:
        key: as the season's print profile names it.
        white: XYZ of the bare stock under D50, shape (3,).
        table: inks to Lab relative to the stock.
        data: the ICC profile itself, for embedding.
    """

    key: str
    white: Floats
    table: IccTable
    data: bytes

    def cmyk_to_lab(self, cmyk: ArrayLike, relative: bool = False) -> Floats:
        """What a build of process inks looks like.

        Args:
            cmyk: ink coverages 0..1, shape (..., 4).
            relative: relative to the stock's white instead of a perfect one.

        Returns:
            CIELAB D50/2°, absolute unless ``relative``, shape (..., 3).

        Raises:
            ColourError: wrong shape, not finite, or outside 0..1.

        Source:
            icc-1
        """
        inks = np.asarray(cmyk, dtype=np.float64)
        if inks.ndim == 0 or inks.shape[-1] != 4:
            raise ColourError(f"cmyk: shape {inks.shape}. Four inks are needed on the last axis.")
        if inks.size and not (inks.min() >= 0.0 and inks.max() <= 1.0):
            raise ColourError("cmyk: a coverage lies outside 0..1 or is not a number.")
        lab = _decode_lab(_evaluate(self.table, inks.reshape(-1, 4)), self.table.wide)
        lab = lab.reshape((*inks.shape[:-1], 3))
        if relative:
            return lab
        return xyz_to_lab(lab_to_xyz(lab, WHITE_PCS) * self.white / WHITE_PCS, WHITE_PCS)

    def lab_to_cmyk(
        self, lab: ArrayLike, black: float = 0.0, most: float = 4.0
    ) -> tuple[Floats, float]:
        """The build nearest to a colour at a chosen black, by inverting ``cmyk_to_lab``.

        Args:
            lab: CIELAB D50/2°, absolute, shape (3,).
            black: coverage of the black ink, 0..1; held.
            most: largest sum of the four coverages.

        Returns:
            C, M, Y, K as coverages 0..1, shape (4,), and the ΔE00 that is left: 0 inside the
            gamut, the honest distance outside.

        Raises:
            ColourError: wrong shape, not finite, ``black`` outside 0..1, or above ``most``.
        """
        aim = as_triples(lab, "lab").reshape(3)
        if not black <= most:
            raise ColourError(f"cmyk: black {black:g} is more than all ink together, {most:g}.")

        def builds(inks: Floats) -> Floats:
            """Cyan, magenta and yellow with the black, thinned where they are too much ink."""
            total = np.maximum(inks.sum(axis=-1, keepdims=True), 1e-9)
            thinned = inks * np.minimum(1.0, (most - black) / total)
            return np.concatenate([thinned, np.full_like(total, black)], axis=-1)

        def distances(inks: Floats) -> Floats:
            return ciede2000(aim, self.cmyk_to_lab(builds(inks)))

        at = _SEEDS[np.argsort(distances(_SEEDS), kind="stable")[:_STARTS]]
        half, left, moves = _WIDEST, np.full(len(at), np.inf), 0
        while half >= _FINEST and left.min() >= _NO_DE00:
            around = np.clip(at[:, None] + half * _AROUND, 0.0, 1.0)
            errors = distances(around)
            best = np.arange(len(at)), errors.argmin(axis=1)
            moved, at, left = np.abs(around[best] - at).max(), around[best], errors[best]
            moves += 1
            # The nearest lies within, not at the lattice's side; or there is hardly a nearest.
            if moved < 0.75 * half or moves == _MOST_MOVES:
                half, moves = half / 2.0, 0
            if half < _ONE_LEFT:
                at, left = at[[left.argmin()]], left[[left.argmin()]]
        nearest = int(left.argmin())
        return builds(at[nearest]), float(left[nearest])


def read_press_profile(key: str, data: bytes) -> PressProfile:
    """Read a printer's profile with four process inks.

    Args:
        key: what to call it.
        data: the ICC profile's bytes.

    Returns:
        The profile, by its colorimetric table.

    Raises:
        ColourError: damaged, not for CMYK, or not to CIELAB by a table.

    Source:
        icc-1
    """
    profile = read_tags(data)
    if profile.space != "CMYK" or profile.connection != "Lab ":
        raise ColourError(
            f"ICC profile {key}: {profile.space.strip()} to {profile.connection.strip()}. "
            "A press profile goes from CMYK to Lab."
        )
    table = read_table_element(profile.tag("A2B1" if "A2B1" in profile.tags else "A2B0"))
    if table.inputs.shape[0] != 4 or table.outputs.shape[0] != 3:
        raise ColourError(f"ICC profile {key}: its table does not go from four inks to Lab.")
    return PressProfile(key, read_xyz(profile.tag("wtpt")), table, data)


@cache
def press_profile(key: str = "FOGRA39L", icc: bytes = b"") -> PressProfile:
    """A press condition: a printer's own, or the packaged one of that key.

    Args:
        key: what it is called.
        icc: the printer's own profile; empty for a packaged one.

    Raises:
        ColourError: no such condition, the message lists them; or a profile that cannot be used.

    Source:
        fogra39l
    """
    if icc:
        return read_press_profile(key, icc)
    if key not in _FILES:
        raise ColourError(f"press condition {key!r} is not one of {', '.join(_FILES)}.")
    return read_press_profile(key, files("livery.data").joinpath("press", _FILES[key]).read_bytes())


def press_conditions() -> tuple[str, ...]:
    """Keys of the packaged press conditions."""
    return tuple(_FILES)


def _decode_lab(encoded: Floats, wide: bool) -> Floats:
    """0..1 as the table stores it to Lab; a lut16 keeps L* 100 at FF00 and a*, b* 0 at 8000."""
    if wide:
        codes = encoded * 65535.0
        scale, zero = np.array([100.0 / 65280.0, 1 / 256.0, 1 / 256.0]), np.array([0, 128.0, 128.0])
    else:
        codes = encoded * 255.0
        scale, zero = np.array([100.0 / 255.0, 1.0, 1.0]), np.array([0.0, 128.0, 128.0])
    decoded: Floats = codes * scale - zero
    return decoded


def _evaluate(table: IccTable, inks: Floats) -> Floats:
    """Multilinear interpolation between the grid's points; inks shape (n, 4), out (n, 3)."""
    channels, entries = table.inputs.shape
    positions = np.linspace(0.0, 1.0, entries)
    points = table.grid.shape[0]
    at = np.stack(
        [np.interp(inks[:, i], positions, table.inputs[i]) for i in range(channels)], axis=1
    )
    at *= points - 1
    low = np.minimum(at.astype(np.intp), points - 2)
    share = at - low
    corners = np.array(list(product((0, 1), repeat=channels)))
    weights = np.where(corners, share[:, None], 1.0 - share[:, None]).prod(axis=2)
    around = table.grid[tuple(np.moveaxis(low[:, None] + corners, 2, 0))]
    mixed = (weights[:, :, None] * around).sum(axis=1)
    outputs, entries = table.outputs.shape
    positions = np.linspace(0.0, 1.0, entries)
    return np.stack(
        [np.interp(mixed[:, i], positions, table.outputs[i]) for i in range(outputs)], axis=1
    )
