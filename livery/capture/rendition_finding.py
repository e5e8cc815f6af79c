"""Finding a chart without markers by its patches: squares in a grid, with the right colours."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from livery.capture.colour_fit import fit_form
from livery.capture.colour_model import Form, Patches
from livery.capture.model import Target
from livery.capture.photograph import Photograph, reduce_picture
from livery.capture.pixels import FULL
from livery.capture.plane import homography_of_corners, project
from livery.colour import Floats, decode_srgb

_SEARCH_PX = 1000  # longest side searched [source: workshop-choice]
_LEAST_SIDE_PX = 9.0  # of a patch at that size [source: workshop-choice]
_LEAST_QUADS = 8  # patches that must stand out as squares [source: workshop-choice]
_MOST_ERROR = 9.0  # mean ΔE00 at which colours still name the chart [source: workshop-choice]
_MOST_GRIDS = 4  # grids whose colours are looked at [source: workshop-choice]
_ALIKE = 0.7  # correlation with the chart's lightness, to look closer [source: workshop-choice]
_NEAR = 0.25  # of a pitch by which a square may be off its place [source: workshop-choice]
_PITCH = 1.11  # from one patch to the next, in a patch's sides [source: rendition-24]
_DARK = 5  # codes of 255 below which a patch tells no colour [source: workshop-choice]
# Edges are sought in a picture smoothed by so many px, so many codes and px of spread, from each of
# these steps in codes and twice as much. [source: workshop-choice]
_SMOOTHED, _EDGE_CODES = (7, 30, 5), (10, 25, 60)
# An outline is a patch's where a polygon within this share of its length has four corners, sides
# alike by this ratio, and this share of a square's area; squares are one patch's whose middles are
# nearer than this share of a side. [source: workshop-choice]
_SMOOTH_OUTLINE, _MOST_LONGER, _LEAST_AREA, _SAME = 0.08, 2.0, 0.6, 0.3
_LIKE_SIZES = 1.6  # ratio of sides within which squares are one grid's [source: workshop-choice]
# Px, and share of a pitch, that a square may be off a grid's homography. [source: workshop-choice]
_ASTRAY_PX, _ASTRAY = 1.5, 0.05


def find_rendition(photograph: Photograph, target: Target) -> Floats | None:
    """Look for a chart of square patches in rows.

    Args:
        photograph: at any turn; a mirrored chart is not accepted.
        target: the chart, its patches in reading order.

    Returns:
        The frame's corners in px, top-left clockwise as printed, shape (4, 2), or None.
    """
    factor = math.ceil(max(photograph.size_px) / _SEARCH_PX)
    small = reduce_picture(photograph.codes, factor)
    picture = np.asarray(small, np.float64) / photograph.full_scale
    quads = _quads((picture * 255).astype(np.uint8))
    best: tuple[float, Floats] | None = None
    for matrix, spots in _grids(quads, _shape(target)):
        for corners in _frames(matrix, spots, target):
            error = _colour_error(picture, corners, target)
            if error is not None and (best is None or error < best[0]):
                best = error, corners
    if best is None or best[0] > _MOST_ERROR:
        return None
    return (best[1] + 0.5) * factor - 0.5


def _quads(picture: NDArray[np.uint8]) -> Floats:
    """Convex four-cornered outlines of about square shape, shape (n, 4, 2)."""
    import cv2

    found: list[Floats] = []
    smooth = cv2.bilateralFilter(picture, *_SMOOTHED)
    for channel in (*cv2.split(smooth), cv2.cvtColor(smooth, cv2.COLOR_RGB2GRAY)):
        for low in _EDGE_CODES:
            edges = cv2.dilate(cv2.Canny(channel, low, 2 * low), np.ones((3, 3), np.uint8))
            outlines, _ = cv2.findContours(edges, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
            for outline in outlines:
                quad = _as_quad(np.asarray(outline, np.int32))
                if quad is not None:
                    found.append(quad)
    return _apart(np.array(found).reshape(-1, 4, 2))


def _apart(quads: Floats) -> Floats:
    """The first of each bunch of squares about one middle."""
    middles = quads.mean(axis=1)
    reach = _SAME * _sides(quads)
    taken = np.zeros(len(quads), np.bool_)
    kept: list[int] = []
    for index, middle in enumerate(middles):
        if not taken[index]:
            kept.append(index)
            away = middles - middle
            taken |= np.hypot(away[:, 0], away[:, 1]) <= reach
    return quads[kept]


def _sides(quads: Floats) -> Floats:
    """The mean side of each, px, shape (n,)."""
    sides: Floats = np.linalg.norm(np.roll(quads, -1, axis=1) - quads, axis=2).mean(axis=1)
    return sides


def _as_quad(outline: NDArray[np.int32]) -> Floats | None:
    """An outline's corners, clockwise, shape (4, 2); None unless it is about square."""
    import cv2

    area = cv2.contourArea(outline)
    if area < _LEAST_SIDE_PX**2:
        return None
    shape = cv2.approxPolyDP(outline, _SMOOTH_OUTLINE * cv2.arcLength(outline, True), True)
    if len(shape) != 4 or not cv2.isContourConvex(shape):
        return None
    quad = np.asarray(shape, np.float64).reshape(4, 2)
    corners = quad.tolist()  # of so few numbers, plain ones are the quicker
    sides = [math.dist(corners[i - 1], corners[i]) for i in range(4)]
    if max(sides) > _MOST_LONGER * min(sides) or area < _LEAST_AREA * (sum(sides) / 4.0) ** 2:
        return None
    (x0, y0), (x1, y1), (x2, y2), _ = corners
    clockwise = (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1) > 0
    return quad if clockwise else quad[::-1]


def _shape(target: Target) -> tuple[int, int]:
    """Columns and rows of the chart."""
    columns = sum(patch.y_mm == target.patches[0].y_mm for patch in target.patches)
    return columns, len(target.patches) // columns


def _grids(quads: Floats, shape: tuple[int, int]) -> Iterator[tuple[Floats, NDArray[np.int_]]]:
    """Grids that many squares lie on: homography from whole-numbered spots to px, and the spots.

    Larger squares first; grids larger than the chart are passed over.
    """
    if len(quads) < _LEAST_QUADS:
        return
    sides = _sides(quads)
    middles = quads.mean(axis=1)
    told: set[int] = set()
    yielded = 0
    for seed in np.argsort(-sides, kind="stable").tolist():
        if seed in told:
            continue
        alike = np.flatnonzero(np.abs(np.log(sides / sides[seed])) < np.log(_LIKE_SIZES))
        spots = _walk(quads, middles, alike, seed)
        told.update(spots)
        grid = _grid(middles, spots) if len(spots) >= _LEAST_QUADS else None
        if grid is None or not _fits(grid[1], shape):
            continue
        yield grid
        yielded += 1
        if yielded >= _MOST_GRIDS:
            return


def _fits(spots: NDArray[np.int_], shape: tuple[int, int]) -> bool:
    """Whether spots, shape (n, 2), span no more than the chart's columns and rows, at any turn."""
    span = np.sort(np.ptp(spots, axis=0) + 1)
    return bool(span[0] <= min(shape) and span[1] <= max(shape))


def _walk(
    quads: Floats, middles: Floats, alike: NDArray[np.int_], seed: int
) -> dict[int, tuple[int, int]]:
    """Number squares from one to its neighbours, each step one pitch along the square's sides."""
    spots = {seed: (0, 0)}
    reference = quads[seed]
    queue = [seed]
    while queue:
        index = queue.pop(0)
        quad = _turned(quads[index], reference)
        right = (quad[1] - quad[0] + quad[2] - quad[3]) / 2 * _PITCH
        down = (quad[3] - quad[0] + quad[2] - quad[1]) / 2 * _PITCH
        pitch = (np.linalg.norm(right) + np.linalg.norm(down)) / 2
        for step, way in (((1, 0), right), ((-1, 0), -right), ((0, 1), down), ((0, -1), -down)):
            away = np.linalg.norm(middles[alike] - middles[index] - way, axis=1)
            near = int(alike[int(np.argmin(away))])
            if away.min() < _NEAR * pitch and near not in spots:
                spots[near] = (spots[index][0] + step[0], spots[index][1] + step[1])
                queue.append(near)
    return spots


def _turned(quad: Floats, reference: Floats) -> Floats:
    """The quad with its corners numbered as the reference's are."""
    shape = reference - reference.mean(axis=0)
    own = quad - quad.mean(axis=0)
    turn = max(range(4), key=lambda k: float((np.roll(own, -k, axis=0) * shape).sum()))
    return np.roll(quad, -turn, axis=0)


def _grid(
    middles: Floats, spots: dict[int, tuple[int, int]]
) -> tuple[Floats, NDArray[np.int_]] | None:
    """The homography from spots to px, and the spots that lie on it, (n, 2); None of too few."""
    import cv2

    indices = sorted(spots)
    places = np.array([spots[i] for i in indices])
    if len(np.unique(places[:, 0])) < 2 or len(np.unique(places[:, 1])) < 2:
        return None
    pitch = float(np.median(np.linalg.norm(np.diff(middles[indices], axis=0), axis=1)))
    reach = max(_ASTRAY_PX, _ASTRAY * pitch)
    matrix, good = cv2.findHomography(
        places.astype(np.float64), middles[indices], cv2.RANSAC, reach
    )
    if matrix is None or good.sum() < _LEAST_QUADS:
        return None
    return np.asarray(matrix, np.float64), places[good.ravel() > 0]


def _frames(matrix: Floats, spots: NDArray[np.int_], target: Target) -> Iterator[Floats]:
    """Corners of every frame of the chart's shape that holds all spots, at all four turns."""
    columns, rows = _shape(target)
    first = target.patches[0]
    pitch = target.patches[1].x_mm - first.x_mm
    edge = (first.x_mm + first.w_mm / 2) / pitch
    low, high = spots.min(axis=0), spots.max(axis=0)
    for across, down in ((columns, rows), (rows, columns)):
        for x in range(int(high[0]) - across + 1, int(low[0]) + 1):
            for y in range(int(high[1]) - down + 1, int(low[1]) + 1):
                x1, y1 = x + across - 1 + edge, y + down - 1 + edge
                box = [(x - edge, y - edge), (x1, y - edge), (x1, y1), (x - edge, y1)]
                corners = project(matrix, np.array(box, dtype=np.float64))
                for turn in (0, 2) if across == columns else (1, 3):
                    yield np.roll(corners, -turn, axis=0)


def _patch_codes(picture: Floats, corners: Floats, target: Target) -> Floats | None:
    """Mean codes of 3×3 px in the middle of each patch, shape (n, 3); None off the picture."""
    matrix = homography_of_corners((target.width_mm, target.height_mm), corners)
    middles = np.array([patch.middle_mm for patch in target.patches])
    at = np.round(project(matrix, middles)).astype(int)
    height, width = picture.shape[:2]
    if at.min() < 1 or (at[:, 0] >= width - 1).any() or (at[:, 1] >= height - 1).any():
        return None
    step = np.arange(-1, 2)
    rows, columns = at[:, 1, None, None] + step[:, None], at[:, 0, None, None] + step[None, :]
    return np.asarray(picture[rows, columns].mean(axis=(1, 2)), np.float64)


def _colour_error(picture: Floats, corners: Floats, target: Target) -> float | None:
    """Mean leave-one-out ΔE00 of a 3×3 from the patches at these corners, clipped ones left out.

    Args:
        picture: codes from 0 to 1, shape (height, width, 3).
        corners: of the chart's frame, px, shape (4, 2).
        target: the chart.

    Returns:
        None where the frame leaves the picture, or what lies in it is not like the chart.
    """
    codes = _patch_codes(picture, corners, target)
    if codes is None:
        return None
    good = (codes.max(axis=1) < FULL / 255) & (codes.min(axis=1) > _DARK / 255)
    if good.sum() < len(target.patches) / 2:
        return None
    lab = np.array([patch.lab for patch in target.patches])[good]
    if np.corrcoef(codes[good].mean(axis=1), lab[:, 0])[0, 1] < _ALIKE:
        return None
    rgb = decode_srgb(codes[good])
    patches = Patches(rgb / rgb.max(), np.zeros((len(rgb), 2)), lab, np.ones(len(rgb)))
    return float(fit_form(Form(0, 0, False, False), patches).loo_de00.mean())
