"""Finding a target's markers in a photograph, at any turn, in poor light, at any size."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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
_ENOUGH = 4  # markers that show a target beyond doubt [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Sighting:
    """What was found.

    Attributes:
        corners_px: for each marker found, its corners as printed from top-left clockwise, (4, 2).
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
    for dictionary in sorted({marker.dictionary for marker in target.markers}):
        wanted = {m.id: m for m in target.markers if m.dictionary == dictionary}
        corners, others, twice = _search(grey, dictionary, wanted)
        found |= {wanted[number]: corners[number] for number in sorted(corners)}
        strangers += others
        doubled += twice
    mirrored = len(found) < min(_ENOUGH, len(target.markers)) and _seen_mirrored(grey, target)
    refined = {marker: _refine(grey, corners) for marker, corners in found.items()}
    missing = tuple(marker for marker in target.markers if marker not in refined)
    return Sighting(refined, missing, strangers, doubled, mirrored)


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
    quick, numbers = _detector(dictionary, sorted(wanted), _QUICK_WINDOWS_PX)
    thorough, _ = _detector(dictionary, sorted(wanted))
    enough = min(_ENOUGH, len(wanted))
    found: dict[int, Floats] = {}
    twice: set[int] = set()
    for tried, (level, scale) in enumerate(_levels(grey)):
        if tried >= _LEVELS_FOR_ALL and len(found) >= max(enough, _MOST_OF_ALL * len(wanted)):
            break
        for version, detector in _versions(level, [quick, thorough][tried > 0 :]):
            quads, ids, _ = detector.detectMarkers(version)
            seen = [] if ids is None else [numbers[int(i)] for i in np.ravel(ids)]
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
    detector, numbers = _detector(dictionary)
    level, _ = next(_levels(grey))
    _, ids, _ = detector.detectMarkers(level)
    seen = {numbers[int(i)] for i in np.ravel(ids)} if ids is not None else set()
    return len(seen.difference(wanted))


def _detector(  # type: ignore[no-untyped-def]  # lazy cv2
    dictionary: str, only: Sequence[int] = (), windows_px: tuple[int, int] = _WINDOWS_PX
):
    """A detector of a dictionary's markers, or some of them, and the id of each that it knows."""
    import cv2

    parameters = cv2.aruco.DetectorParameters()
    parameters.adaptiveThreshWinSizeMin, parameters.adaptiveThreshWinSizeMax = windows_px
    parameters.adaptiveThreshWinSizeStep = 24
    parameters.minMarkerPerimeterRate = 0.025
    parameters.polygonalApproxAccuracyRate = 0.05
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary))
    numbers = list(only) or list(range(len(known.bytesList)))
    if only:
        codes = np.ascontiguousarray(known.bytesList[numbers])
        known = cv2.aruco.Dictionary(codes, known.markerSize, known.maxCorrectionBits)
    return cv2.aruco.ArucoDetector(known, parameters), numbers


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


def _versions(grey: Grey, detectors):  # type: ignore[no-untyped-def]  # lazy cv2
    """As it is, for each detector; then, for the last, with its contrast evened out.

    Dim or unevenly lit pictures need the latter.
    """
    import cv2

    for detector in detectors:
        yield grey, detector
    evened = cv2.createCLAHE(clipLimit=4.0, tileGridSize=(8, 8)).apply(grey)
    yield np.asarray(evened, np.uint8), detectors[-1]


def _seen_mirrored(grey: Grey, target: Target) -> bool:
    """Whether turning the picture over left to right brings the markers out."""
    level, _ = next(_levels(grey))
    flipped = np.ascontiguousarray(level[:, ::-1])
    seen = 0
    for dictionary in sorted({marker.dictionary for marker in target.markers}):
        wanted = sorted(m.id for m in target.markers if m.dictionary == dictionary)
        _, ids, _ = _detector(dictionary, wanted)[0].detectMarkers(flipped)
        seen += 0 if ids is None else len(set(np.ravel(ids).tolist()))
    return seen >= min(_ENOUGH, len(target.markers))


def _refine(grey: Grey, corners: Floats) -> Floats:
    """Corners to a fraction of a pixel, looking no farther than a module of the marker.

    The pull of blur on a corner is towards or away from the marker's middle, alike on all four,
    so it does not move the marker.
    """
    import cv2

    side = float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())
    reach = int(np.clip(side / 8.0 * 0.6, 1, 12))
    margin = 2 * reach + 4
    low = np.floor(corners.min(axis=0)).astype(int) - margin
    high = np.ceil(corners.max(axis=0)).astype(int) + margin
    low, high = np.maximum(low, 0), np.minimum(high, (grey.shape[1], grey.shape[0]))
    part = np.ascontiguousarray(grey[low[1] : high[1], low[0] : high[0]])
    points = (corners - low).astype(np.float32).reshape(-1, 1, 2)
    if points.min() < 0 or (points > np.array(part.shape[::-1]) - 1).any():
        return corners
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.005)
    moved = cv2.cornerSubPix(part, points, (reach, reach), (-1, -1), stop)
    refined = np.asarray(moved, np.float64).reshape(4, 2) + low
    astray = np.linalg.norm(refined - corners, axis=1).max() > 2.0 * reach + 1.0
    return corners if astray else refined
