"""Finding a target's markers in a photograph, at any turn, in poor light, at any size."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from livery.capture.marker_dictionary import find_dictionary, marker_count
from livery.capture.model import Marker, Target
from livery.capture.photograph import reduce_picture
from livery.colour import Floats

Grey = NDArray[np.uint8]
_LEVELS_PX = (1500, 3000, 6000)  # longest sides searched, small first [source: workshop-choice]
_LEVELS_FOR_ALL = 2  # sizes at which markers still missing are looked for [source: workshop-choice]
_MOST_OF_ALL = 0.8  # share of the markers that spares larger sizes [source: workshop-choice]
_ENLARGED_PX = 2000  # a picture smaller than this is enlarged twofold [source: workshop-choice]
_WINDOWS_PX = (5, 53)  # least and most about a pixel to tell black by [source: workshop-choice]
_QUICK_WINDOWS_PX = (23, 23)  # the same, tried first [source: workshop-choice]
_WINDOW_STEP_PX = 24  # between the sizes of windows [source: workshop-choice]
_ENOUGH = 4  # markers that show a target beyond doubt [source: workshop-choice]
MODULES = 8  # squares across a marker of ours, border included; others have 6 to 9
# Least perimeter as a share of the picture's longer side, and how far an outline may bend as a
# share of its perimeter: OpenCV's own 0.03 and 0.03 miss small and soft markers.
# [source: workshop-choice]
_LEAST_PERIMETER, _MOST_BEND = 0.025, 0.05
_CONTRAST_LIMIT, _CONTRAST_TILES = 4.0, (8, 8)  # of evening out [source: workshop-choice]
# Corners are refined within this share of a module, at least and at most so many px, in at most so
# many rounds, until they move by less than that many px. [source: workshop-choice]
_REFINED_MODULES, _REFINED_PX, _REFINED_ROUNDS, _REFINED_STILL_PX = 0.6, (1, 12), 40, 0.005


@dataclass(frozen=True, slots=True, eq=False)
class Sighting:
    """What was found.

    Attributes:
        corners_px: for each marker found, its corners as printed from top-left clockwise, shape
            (4, 2).
        missing: the target's markers not found.
        strangers: markers of the same dictionaries that are none of this target's.
        doubled: markers that are in the picture more than once, as of two prints of the target.
        mirrored: the target was seen as in a mirror.
    """

    corners_px: dict[Marker, Floats]
    missing: tuple[Marker, ...]
    strangers: int
    doubled: int
    mirrored: bool


def find_markers(grey: Grey, target: Target) -> Sighting:
    """Look for the target's markers, coarse to fine, and refine each corner at full size.

    Args:
        grey: the photograph in grey, shape (height, width), uint8.
        target: whose markers to look for.
    """
    found: dict[Marker, Floats] = {}
    strangers = doubled = 0
    for dictionary, wanted in _by_dictionary(target):
        corners, others, twice = _search(grey, dictionary, wanted)
        found |= {wanted[number]: corners[number] for number in sorted(corners)}
        strangers += others
        doubled += twice
    mirrored = len(found) < min(_ENOUGH, len(target.markers)) and _seen_mirrored(grey, target)
    refined = {marker: _refine(grey, corners) for marker, corners in found.items()}
    missing = tuple(marker for marker in target.markers if marker not in refined)
    return Sighting(refined, missing, strangers, doubled, mirrored)


def _by_dictionary(target: Target) -> list[tuple[str, dict[int, Marker]]]:
    """The names of the target's dictionaries in order, each with its markers by id."""
    return [
        (name, {m.id: m for m in target.markers if m.dictionary == name})
        for name in sorted({marker.dictionary for marker in target.markers})
    ]


def marker_corners_mm(marker: Marker) -> Floats:
    """The marker's corners in the target's frame, top-left clockwise, shape (4, 2)."""
    half = marker.size_mm / 2
    offsets = np.array([(-half, -half), (half, -half), (half, half), (-half, half)])
    corners: Floats = offsets + np.array([marker.x_mm, marker.y_mm])
    return corners


def _search(
    grey: Grey, dictionary: str, wanted: dict[int, Marker]
) -> tuple[dict[int, Floats], int, int]:
    """Corners by id of what is wanted, the finest seen; how many markers were not, or were twice.

    A large dictionary is slow to compare with, so it is asked for strangers only where too few
    of the wanted are seen.
    """
    numbers = sorted(wanted)
    quick, thorough = (_detector(dictionary, numbers, w) for w in (_QUICK_WINDOWS_PX, _WINDOWS_PX))
    enough = min(_ENOUGH, len(wanted))
    found: dict[int, Floats] = {}
    twice: set[int] = set()
    for tried, (level, scale) in enumerate(_levels(grey)):
        if tried >= _LEVELS_FOR_ALL and len(found) >= max(enough, _MOST_OF_ALL * len(wanted)):
            break
        for version, detector in _versions(level, [thorough] if tried else [quick, thorough]):
            quads, seen = _detect(detector, version, numbers)
            twice |= {number for number in seen if seen.count(number) > 1}
            for number, quad in zip(seen, quads, strict=True):
                if seen.count(number) == 1:
                    corners = np.asarray(quad, np.float64).reshape(4, 2)
                    found[number] = (corners + 0.5) / scale - 0.5
            if len(found) == len(wanted):
                return found, 0, 0
    strangers = 0 if len(found) >= enough else _strangers(grey, dictionary, wanted)
    return found, strangers, len(twice)


def _strangers(grey: Grey, dictionary: str, wanted: dict[int, Marker]) -> int:
    """How many markers of the dictionary are in the picture that are not wanted."""
    known = range(marker_count(dictionary))
    level, _ = next(_levels(grey))
    _, seen = _detect(_detector(dictionary, known), level, known)
    return len(set(seen).difference(wanted))


def _detector(
    dictionary: str, ids: Sequence[int], windows_px: tuple[int, int] = _WINDOWS_PX
) -> Any:
    """A detector of some of a dictionary's markers, which numbers them in the ids' order."""
    import cv2

    parameters = cv2.aruco.DetectorParameters()
    parameters.adaptiveThreshWinSizeMin, parameters.adaptiveThreshWinSizeMax = windows_px
    parameters.adaptiveThreshWinSizeStep = _WINDOW_STEP_PX
    parameters.minMarkerPerimeterRate = _LEAST_PERIMETER
    parameters.polygonalApproxAccuracyRate = _MOST_BEND
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    known = find_dictionary(dictionary)
    codes = np.ascontiguousarray(known.bytesList[list(ids)])
    some = cv2.aruco.Dictionary(codes, known.markerSize, known.maxCorrectionBits)
    return cv2.aruco.ArucoDetector(some, parameters)


def _detect(detector: Any, grey: Grey, ids: Sequence[int]) -> tuple[Sequence[Any], list[int]]:
    """The corners of each marker seen, and its id."""
    quads, numbers, _ = detector.detectMarkers(grey)
    return quads, [] if numbers is None else [ids[int(i)] for i in np.ravel(numbers)]


def _levels(grey: Grey) -> Iterator[tuple[Grey, float]]:
    """The picture at growing sizes, with the scale of each."""
    import cv2

    longest = max(grey.shape)
    for size in _LEVELS_PX:
        if size < longest:
            factor = math.ceil(longest / size)
            yield np.asarray(reduce_picture(grey, factor), np.uint8), 1.0 / factor
    yield grey, 1.0
    if longest < _ENLARGED_PX:
        twice = (2 * grey.shape[1], 2 * grey.shape[0])
        yield np.asarray(cv2.resize(grey, twice, interpolation=cv2.INTER_CUBIC)), 2.0


def _versions(grey: Grey, detectors: Sequence[Any]) -> Iterator[tuple[Grey, Any]]:
    """The picture as it is, for each detector; then, for the last, with its contrast evened out.

    Dim or unevenly lit pictures need the latter.
    """
    import cv2

    for detector in detectors:
        yield grey, detector
    evened = cv2.createCLAHE(clipLimit=_CONTRAST_LIMIT, tileGridSize=_CONTRAST_TILES).apply(grey)
    yield np.asarray(evened, np.uint8), detectors[-1]


def _seen_mirrored(grey: Grey, target: Target) -> bool:
    """Whether turning the picture over left to right brings the markers out."""
    level, _ = next(_levels(grey))
    flipped = np.ascontiguousarray(level[:, ::-1])
    seen = 0
    for dictionary, wanted in _by_dictionary(target):
        numbers = sorted(wanted)
        seen += len(set(_detect(_detector(dictionary, numbers), flipped, numbers)[1]))
    return seen >= min(_ENOUGH, len(target.markers))


def _refine(grey: Grey, corners: Floats) -> Floats:
    """Corners, shape (4, 2), to a fraction of a pixel, looking no farther than a module.

    The pull of blur on a corner is towards or away from the marker's middle, alike on all four,
    so it does not move the marker.
    """
    import cv2

    side = float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())
    reach = int(np.clip(side / MODULES * _REFINED_MODULES, *_REFINED_PX))
    margin = 2 * reach + 4
    low = np.floor(corners.min(axis=0)).astype(int) - margin
    high = np.ceil(corners.max(axis=0)).astype(int) + margin
    low, high = np.maximum(low, 0), np.minimum(high, (grey.shape[1], grey.shape[0]))
    part = np.ascontiguousarray(grey[low[1] : high[1], low[0] : high[0]])
    points = (corners - low).astype(np.float32).reshape(-1, 1, 2)
    if points.min() < 0 or (points > np.array(part.shape[::-1]) - 1).any():
        return corners
    until = cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER
    stop = (until, _REFINED_ROUNDS, _REFINED_STILL_PX)
    moved = cv2.cornerSubPix(part, points, (reach, reach), (-1, -1), stop)
    refined = np.asarray(moved, np.float64).reshape(4, 2) + low
    astray = np.linalg.norm(refined - corners, axis=1).max() > 2.0 * reach + 1.0
    return corners if astray else refined
