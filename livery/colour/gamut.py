"""What a press can print at one lightness: a slice through its gamut."""

from __future__ import annotations

import numpy as np

from livery.colour.arrays import Floats
from livery.colour.press import PressProfile

_STEPS = 13
_SECTORS = 90
_BRIDGE = 4


def gamut_slice(profile: PressProfile, lightness: float, most: float = 4.0) -> Floats:
    """The edge of what a press prints at one lightness.

    Builds on an even grid are followed along each ink to where they cross the lightness. In every
    sector of hue the crossing farthest from the slice's middle is on the edge; dents between near
    sectors, which the grid leaves, are bridged.

    Args:
        profile: the press condition.
        lightness: L* of the slice, absolute.
        most: largest sum of the four coverages.

    Returns:
        a*, b* round the edge by hue, shape (n, 2); n is 0 where the press prints nothing so light
        or so dark.

    Source:
        13 steps an ink, 90 sectors, bridges over four, workshop-choice.
    """
    points = _crossings(profile, lightness, most)
    if len(points) < 3:
        return np.empty((0, 2))
    middle = points.mean(axis=0)
    offsets = points - middle
    sector = (np.arctan2(offsets[:, 1], offsets[:, 0]) / (2 * np.pi) % 1.0 * _SECTORS).astype(int)
    reach = np.hypot(offsets[:, 0], offsets[:, 1])
    order = np.lexsort((-reach, sector))
    _, first = np.unique(sector[order], return_index=True)
    edge: Floats = middle + _bridge(offsets[order][first])
    return edge


def _bridge(edge: Floats) -> Floats:
    """Points round the origin, pushed out to the chords between their near neighbours."""
    rays = edge / np.hypot(edge[:, 0], edge[:, 1])[:, None]
    reach = np.hypot(edge[:, 0], edge[:, 1])
    for before in range(1, _BRIDGE + 1):
        for after in range(1, _BRIDGE + 1):
            start, end = np.roll(edge, before, axis=0), np.roll(edge, -after, axis=0)
            across = _cross(rays, end - start)
            chord = np.where(across > 0.0, _cross(start, end - start), 0.0)
            reach = np.maximum(reach, chord / np.where(across > 0.0, across, 1.0))
    bridged: Floats = rays * reach[:, None]
    return bridged


def _cross(one: Floats, other: Floats) -> Floats:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])


def _crossings(profile: PressProfile, lightness: float, most: float) -> Floats:
    """a*, b* where neighbouring builds of a grid lie either side of a lightness."""
    axis = np.linspace(0.0, 1.0, _STEPS)
    grid = np.stack(np.meshgrid(axis, axis, axis, axis, indexing="ij"), axis=-1)
    lab = profile.cmyk_to_lab(grid)
    printable = grid.sum(axis=-1) <= most + 1e-9
    found = []
    for ink in range(4):
        low = np.moveaxis(lab, ink, 0)[:-1].reshape(-1, 3)
        high = np.moveaxis(lab, ink, 0)[1:].reshape(-1, 3)
        fine = np.moveaxis(printable, ink, 0)[1:].reshape(-1)
        above, below = low[:, 0] - lightness, high[:, 0] - lightness
        cross = fine & (above * below <= 0.0) & (above != below)
        share = (above[cross] / (above[cross] - below[cross]))[:, None]
        found.append(low[cross, 1:] + share * (high[cross, 1:] - low[cross, 1:]))
    return np.concatenate(found)
