"""Rails either side of a blade: one target, or two loose strips that did not lie quite true."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from livery.capture.markers import marker_corners_mm
from livery.capture.model import Marker, Patch, Target
from livery.capture.plane import Plane, crossing, plane_from_markers, project
from livery.colour import Floats
from livery.geometry import Affine

_LEAST_A_SIDE = 3  # markers that fix a strip [source: workshop-choice]
_EVIDENCE = 12.0  # F ratio from which strips are taken as loose [source: workshop-choice]
_LEAST_MOVE_MM = 0.25  # a strip moved by less is as good as fixed [source: workshop-choice]
_ASTRAY_MM = 1.5  # a marker farther off its place is no evidence [source: workshop-choice]
_LENS_MARKERS = 8  # that show a lens [source: workshop-choice]
_LENS_GAIN = 0.95  # share of the misfit that a lens term must leave [source: workshop-choice]
_PAPER_MM = 3.7  # beside the outermost patch [source: workshop-choice]
_LEAST_SCALE = 1e-9  # so that a term of a homography that is 0 may move [source: workshop-choice]
# Distances beyond a pixel count less, so that a marker torn or smeared moves nothing.
_STRAYS_LITTLE: dict[str, Any] = {"loss": "soft_l1", "f_scale": 1.0}


@dataclass(frozen=True, slots=True, eq=False)
class RailsLie:
    """How rails lie in the photograph.

    Attributes:
        plane: the left strip's frame to px.
        target: the target as it lies: marks of the right strip moved with it.
        shift_mm, turn_deg: of the right strip's middle against the left one, turn
            counter-clockwise; 0 where they lie as printed.
        loose: whether the strips lie otherwise than printed.
    """

    plane: Plane
    target: Target
    shift_mm: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    loose: bool = False


def is_rails(target: Target) -> bool:
    """Whether a target's marks stand in two strips with room for a blade between."""
    x0, x1 = window_of(target)
    left, right = _sides(target.markers, target.width_mm)
    both = min(len(left), len(right)) >= _LEAST_A_SIDE
    return both and len(left) + len(right) == len(target.markers) and x1 - x0 > target.width_mm / 3


def window_of(target: Target) -> tuple[float, float]:
    """The room between the strips: its left and its right end in the target's frame, mm."""
    middle = target.width_mm / 2
    spans = [(p.x_mm, p.x_mm + p.w_mm) for p in target.patches]
    spans += [(m.x_mm - m.size_mm / 2, m.x_mm + m.size_mm / 2) for m in target.markers]
    left = max((x1 for _, x1 in spans if x1 <= middle), default=0.0)
    right = min((x0 for x0, _ in spans if x0 >= middle), default=target.width_mm)
    return left + _PAPER_MM, right - _PAPER_MM


def lay_rails(
    corners_px: Mapping[Marker, Floats], target: Target, picture_px: tuple[int, int]
) -> RailsLie | None:
    """How the strips lie, both estimated together on one plane.

    A strip that slid along looks like a photograph taken askew, but for the squareness of its
    markers: at 4 px/mm a slide of 2 mm is told from that, at 2 px/mm it is not.

    Args:
        corners_px: corners of each marker found, top-left clockwise, shape (4, 2).
        target: the rails as printed.
        picture_px: the photograph's width and height.

    Returns:
        None when the markers lie in no plane.
    """
    plane = plane_from_markers(corners_px, picture_px)
    if plane is None:
        return None
    left, right = _sides(tuple(corners_px), target.width_mm)
    if min(len(left), len(right)) < _LEAST_A_SIDE:
        return RailsLie(plane, target)
    centred = _on_centres(corners_px, plane, picture_px)
    loose = _lay_loose(corners_px, left, right, centred)
    return RailsLie(centred, target) if loose is None else _as_it_lies(*loose, target, right)


def _sides(
    markers: tuple[Marker, ...], width_mm: float
) -> tuple[tuple[Marker, ...], tuple[Marker, ...]]:
    """Markers of the left and of the right strip, by their thirds of the target's width."""
    return (
        tuple(m for m in markers if m.x_mm < width_mm / 3),
        tuple(m for m in markers if m.x_mm > 2 * width_mm / 3),
    )


def _on_centres(
    corners_px: Mapping[Marker, Floats], plane: Plane, picture_px: tuple[int, int]
) -> Plane:
    """The plane through the markers' middles, with a lens term where it shows."""
    mm = np.array([(m.x_mm, m.y_mm) for m in corners_px])
    px = np.array([crossing(corners) for corners in corners_px.values()])
    near = np.linalg.norm(plane.to_mm(px) - mm, axis=1) < _ASTRAY_MM
    mm, px = mm[near], px[near]
    centre = np.array(picture_px, np.float64) / 2
    flat = _fit_plane(mm, px, centre, lens=False)
    if len(mm) < _LENS_MARKERS:
        return flat
    bent = _fit_plane(mm, px, centre, lens=True)
    return bent if bent.residual_mm < _LENS_GAIN * flat.residual_mm else flat


def _fit_plane(mm: Floats, px: Floats, centre: Floats, *, lens: bool) -> Plane:
    """The plane through points, shape (n, 2) each, with or without a lens term about a centre."""
    from scipy.optimize import least_squares  # type: ignore[import-untyped]  # has no types

    start = _homography(mm, px)
    scale = np.abs(start) + _LEAST_SCALE
    radius = float(np.linalg.norm(centre))

    def plane_of(values: Floats) -> Plane:
        return Plane(
            _matrix_of(values[:8] * scale), float(values[8]) if lens else 0.0, centre, radius, 0.0
        )

    def error(values: Floats) -> Floats:
        return (plane_of(values).to_px(mm) - px).ravel()

    first = np.concatenate([start / scale, np.zeros(int(lens))])
    solved = least_squares(error, first, **_STRAYS_LITTLE).x
    free = max(2 * len(mm) - len(first), 1)
    return _with_residual(plane_of(solved), mm, error(solved), free)


def _lay_loose(
    corners_px: Mapping[Marker, Floats],
    left: tuple[Marker, ...],
    right: tuple[Marker, ...],
    plane: Plane,
) -> tuple[Plane, Floats] | None:
    """A plane and the right strip's motion, if that fits far better than none.

    The motion is (dx mm, dy mm, turn rad) about the middle of the strip's corners.
    """
    from scipy.optimize import least_squares

    mm = [np.concatenate([marker_corners_mm(m) for m in side]) for side in (left, right)]
    middles = [np.repeat([(m.x_mm, m.y_mm) for m in side], 4, axis=0) for side in (left, right)]
    straight = _unbent(plane, np.concatenate([corners_px[m] for m in (*left, *right)]))
    start = _homography(np.concatenate(mm), straight)
    middle = mm[1].mean(axis=0)
    scale = np.abs(start) + _LEAST_SCALE

    def error(values: Floats) -> Floats:
        """Values: homography, size of markers as blur leaves it, and the right strip's motion."""
        trial = _matrix_of(values[:8] * scale)
        grown = [at + (1.0 + values[8]) * (one - at) for one, at in zip(mm, middles, strict=True)]
        motion = values[9:] if len(values) > 9 else np.zeros(3)
        points = np.concatenate([grown[0], _moved(grown[1], motion, middle)])
        return (project(trial, points) - straight).ravel()

    first = np.append(start / scale, 0.0)
    rigid = least_squares(error, first, **_STRAYS_LITTLE)
    loose = least_squares(error, np.append(first, np.zeros(3)), **_STRAYS_LITTLE)
    motion = np.asarray(loose.x[9:])
    free = straight.size - len(loose.x)
    gained = (rigid.cost - loose.cost) / len(motion) >= _EVIDENCE * loose.cost / free
    farthest = float(np.abs(_moved(mm[1], motion, middle) - mm[1]).max())
    if not gained or farthest < _LEAST_MOVE_MM:
        return None
    laid = replace(plane, matrix=_matrix_of(loose.x[:8] * scale))
    return _with_residual(laid, np.concatenate(mm), error(loose.x), free), motion


def _with_residual(plane: Plane, mm: Floats, error_px: Floats, free: int) -> Plane:
    """The plane, its residual from what points at ``mm`` are off by and the degrees of freedom."""
    rms = math.sqrt(2.0 * float((error_px**2).sum()) / free)
    most, least = plane.stretch(mm.mean(axis=0))
    return replace(plane, residual_mm=rms / math.sqrt(most * least))


def _homography(mm: Floats, px: Floats) -> Floats:
    """The best one for all points, as the first eight of its nine terms; the last is 1."""
    import cv2

    found, _ = cv2.findHomography(mm, px, 0)
    return np.asarray(found / found[2, 2], np.float64).ravel()[:8]


def _matrix_of(terms: Floats) -> Floats:
    """A homography, shape (3, 3), of its first eight terms."""
    return np.append(terms, 1.0).reshape(3, 3)


def _unbent(plane: Plane, px: Floats) -> Floats:
    """Pixels as a lens without distortion would have them."""
    return project(plane.matrix, plane.to_mm(px)) if plane.bend else px


def _moved(points: Floats, motion: Floats, middle: Floats) -> Floats:
    """Points, mm, shape (n, 2), moved as the right strip about its middle."""
    turn = Affine.rotation(math.degrees(float(motion[2])))
    return turn.apply(points - middle) + middle + motion[:2]


def _as_it_lies(
    plane: Plane, motion: Floats, target: Target, right: tuple[Marker, ...]
) -> RailsLie:
    """The target with the right strip's marks where they really are."""
    middle = np.concatenate([marker_corners_mm(m) for m in right]).mean(axis=0)

    def marker(mark: Marker) -> Marker:
        if mark.x_mm < target.width_mm / 2:
            return mark
        x, y = _moved(np.array([[mark.x_mm, mark.y_mm]]), motion, middle)[0]
        return replace(mark, x_mm=float(x), y_mm=float(y))

    def patch(mark: Patch) -> Patch:
        if mark.x_mm < target.width_mm / 2:
            return mark
        half = np.array([mark.w_mm, mark.h_mm]) / 2
        centre = _moved(np.array([[mark.x_mm, mark.y_mm]]) + half, motion, middle)[0]
        x, y = centre - half
        return replace(mark, x_mm=float(x), y_mm=float(y))

    laid = replace(
        target,
        markers=tuple(marker(m) for m in target.markers),
        patches=tuple(patch(p) for p in target.patches),
    )
    shift = (float(motion[0]), float(motion[1]))
    return RailsLie(plane, laid, shift, -math.degrees(float(motion[2])), True)
