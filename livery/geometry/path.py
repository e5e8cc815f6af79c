"""Exact paths: lines and cubic Béziers, kept as drawn until a writer needs them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from livery.geometry.affine import Affine

POINTS_PER_VERB = {"M": 1, "L": 1, "C": 3, "Z": 0}
_MOVE, _LINE, _CUBIC, _CLOSE = b"MLCZ"
_POINTS_OF = np.zeros(128, dtype=np.intp)  # the same by a letter's code
_POINTS_OF[[ord(verb) for verb in POINTS_PER_VERB]] = list(POINTS_PER_VERB.values())


class FillRule(StrEnum):
    """Which points are inside a path that crosses or nests (SVG 2, 13.4.2)."""

    NONZERO = "nonzero"
    EVENODD = "evenodd"


Area = Polygon | MultiPolygon


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """Subpaths of lines and cubic Béziers, in mm.

    Attributes:
        verbs: one letter a command: M(ove), L(ine), C(ubic), Z (close). Each subpath opens with M.
        points: shape (n, 2), read-only: 1 point for M and L, 3 for C, none for Z.
        rule: how the inside is decided.
    """

    verbs: str
    points: NDArray[np.float64]
    rule: FillRule = FillRule.NONZERO

    def __post_init__(self) -> None:
        points = np.ascontiguousarray(self.points, dtype=np.float64).reshape(-1, 2)
        counts = {verb: self.verbs.count(verb) for verb in POINTS_PER_VERB}
        if sum(counts.values()) != len(self.verbs):
            raise ValueError(f"path has a command that is none of {', '.join(counts)}")
        needed = sum(POINTS_PER_VERB[verb] * count for verb, count in counts.items())
        if len(points) != needed:
            raise ValueError(f"path needs {needed} points for {self.verbs!r}, got {len(points)}")
        if self.verbs and self.verbs[0] != "M":
            raise ValueError("path must start with a move")
        points.setflags(write=False)
        object.__setattr__(self, "points", points)

    @classmethod
    def polyline(cls, points: object, *, closed: bool = True) -> Path:
        """Straight lines through points of shape (n, 2)."""
        array = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        return cls("M" + "L" * (len(array) - 1) + ("Z" if closed else ""), array)

    @classmethod
    def rectangle(cls, x0: float, y0: float, x1: float, y1: float) -> Path:
        """An axis-parallel rectangle."""
        return cls.polyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])

    @classmethod
    def circle(cls, x: float, y: float, radius: float) -> Path:
        """A circle of four cubics, true to 0.03 % of its radius."""
        k = 4.0 / 3.0 * math.tan(math.pi / 8.0)
        unit = [(1, 0), (1, k), (k, 1), (0, 1), (-k, 1), (-1, k), (-1, 0)]
        unit += [(-1, -k), (-k, -1), (0, -1), (k, -1), (1, -k), (1, 0)]
        return cls("MCCCCZ", np.array(unit, dtype=np.float64) * radius + (x, y))

    @classmethod
    def from_geometry(cls, geometry: BaseGeometry) -> Path:
        """A shapely geometry's rings (or lines) as straight-sided subpaths."""
        verbs, points = "", []
        for part in getattr(geometry, "geoms", [geometry]):
            if isinstance(part, Polygon):
                for ring in (part.exterior, *part.interiors):
                    coords = np.asarray(ring.coords)[:-1]
                    verbs += "M" + "L" * (len(coords) - 1) + "Z"
                    points.append(coords)
            elif not part.is_empty:
                coords = np.asarray(part.coords)
                verbs += "M" + "L" * (len(coords) - 1)
                points.append(coords)
        array = np.concatenate(points)[:, :2] if points else np.empty((0, 2))
        return cls(verbs, array, FillRule.EVENODD)

    def __add__(self, other: Path) -> Path:
        """Both paths' subpaths, under this path's rule."""
        return Path(
            self.verbs + other.verbs, np.concatenate([self.points, other.points]), self.rule
        )

    def transformed(self, affine: Affine) -> Path:
        """The same path under an affine map; exact for cubics."""
        return Path(self.verbs, affine.apply(self.points), self.rule)

    def commands(self) -> Iterator[tuple[str, NDArray[np.float64]]]:
        """Each verb with its points, shape (0, 1 or 3, 2)."""
        start = 0
        for verb in self.verbs:
            count = POINTS_PER_VERB[verb]
            yield verb, self.points[start : start + count]
            start += count

    def flattened(self, tolerance_mm: float = 0.01) -> list[NDArray[np.float64]]:
        """Each subpath as points of shape (n, 2), within ``tolerance_mm`` of the curve.

        Source: [common-practice], the number of chords from the second difference of the
        control polygon.
        """
        if not self.verbs:
            return []
        if set(self.verbs[1:-1]) == {"L"} and self.verbs[-1] in "LZ":
            open_end = self.verbs[-1] == "L" or bool((self.points[0] == self.points[-1]).all())
            return [self.points if open_end else np.concatenate([self.points, self.points[:1]])]
        walk = _walk(self.verbs)
        cubics = self._cubics()
        curved, moves = walk.kinds == _CUBIC, walk.kinds == _MOVE
        counts = np.ones(len(walk.kinds), dtype=np.intp)
        counts[curved] = chords = _chord_counts(cubics, tolerance_mm)
        closes = walk.kinds == _CLOSE
        there = (self.points[walk.begins] == self.points[walk.opened]).all(axis=1)
        counts[closes & there] = 0
        stops = np.cumsum(counts)
        flat = np.empty((stops[-1], 2))
        straight = moves | (walk.kinds == _LINE)
        flat[stops[straight] - 1] = self.points[walk.firsts[straight]]
        flat[stops[closes & ~there] - 1] = self.points[walk.opened[closes & ~there]]
        firsts = (stops - counts)[curved]
        for count in np.unique(chords).tolist():
            alike = chords == count
            flat[firsts[alike, None] + np.arange(count)] = _chords(cubics[alike], count)
        return np.split(flat, (stops - counts)[moves][1:])

    def origins(self) -> NDArray[np.intp]:
        """For each point the index of the point at which its command begins; a move's is −1."""
        walk = _walk(self.verbs)
        begins = np.where(walk.kinds == _MOVE, -1, walk.begins)
        return np.repeat(begins, _POINTS_OF[walk.kinds])

    def polygon(self, tolerance_mm: float = 0.01) -> Area:
        """The filled area as a valid shapely polygon, curves within ``tolerance_mm``."""
        rings = [ring for ring in self.flattened(tolerance_mm) if len(ring) >= 3]
        return _filled(rings, self.rule)

    def bounds(self) -> tuple[float, float, float, float]:
        """Exact (x0, y0, x1, y1); curves are bounded by their extrema, not control points.

        Raises:
            ValueError: the path is empty.
        """
        if not self.verbs:
            raise ValueError("an empty path has no bounds")
        corners = self._on_curve()
        if "C" in self.verbs:
            corners = np.concatenate([corners, _extrema(self._cubics())])
        (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def _on_curve(self) -> NDArray[np.float64]:
        """Ends of all segments, shape (n, 2)."""
        walk = _walk(self.verbs)
        drawn = walk.kinds != _CLOSE
        ends = walk.firsts[drawn] + _POINTS_OF[walk.kinds[drawn]] - 1
        return np.asarray(self.points[ends])

    def _cubics(self) -> NDArray[np.float64]:
        """Control polygons of all cubics, shape (n, 4, 2)."""
        walk = _walk(self.verbs)
        curved = walk.kinds == _CUBIC
        following = walk.firsts[curved, None] + np.arange(3)
        return np.asarray(self.points[np.column_stack([walk.begins[curved], following])])

    def svg_d(self, digits: int = 4) -> str:
        """The path as SVG path data, rounded to ``digits`` decimals."""
        parts = []
        for verb, points in self.commands():
            numbers = " ".join(_number(value, digits) for value in points.ravel())
            parts.append(verb + numbers)
        return "".join(parts)


def _number(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


@dataclass(frozen=True, slots=True, eq=False)
class _Walk:
    """Of each command: its letter's code, and points by their index.

    Attributes:
        firsts: its own first point, or the next command's where it has none.
        begins: where it sets out from.
        opened: where its subpath does.
    """

    kinds: NDArray[np.uint8]
    firsts: NDArray[np.intp]
    begins: NDArray[np.intp]
    opened: NDArray[np.intp]


@lru_cache(maxsize=64)
def _walk(verbs: str) -> _Walk:
    kinds = np.frombuffer(verbs.encode("ascii"), dtype=np.uint8)
    stops = np.cumsum(_POINTS_OF[kinds])
    firsts = stops - _POINTS_OF[kinds]
    opened = np.maximum.accumulate(np.where(kinds == _MOVE, firsts, 0))
    reached = np.where(kinds == _CLOSE, opened, stops - 1)
    return _Walk(kinds, firsts, np.concatenate([[0], reached[:-1]]), opened)


def _chord_counts(cubics: NDArray[np.float64], tolerance: float) -> NDArray[np.intp]:
    second = np.abs(np.diff(cubics, 2, axis=1)).max(axis=1)
    counts: NDArray[np.float64] = np.ceil(np.sqrt(0.75 * np.hypot(*second.T) / tolerance))
    return np.maximum(counts, 1.0).astype(np.intp)


def _chords(cubics: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """Points at even steps along cubics but their first, shape (n, count, 2)."""
    p0, p1, p2, p3 = np.moveaxis(cubics[:, :, None], 1, 0)
    w0, w1, w2, w3 = _weights(count)
    points: NDArray[np.float64] = w0 * p0 + w1 * p1 + w2 * p2 + w3 * p3
    return points


@lru_cache(maxsize=256)
def _weights(count: int) -> tuple[NDArray[np.float64], ...]:
    return cubic_weights(np.linspace(0.0, 1.0, count + 1)[1:, None])


def cubic_weights(t: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """What each of a cubic's four control points weighs at t, by products alone (see ``settled``).

    Args:
        t: 0 at the cubic's start to 1 at its end, any shape.
    """
    s = 1.0 - t
    return s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t


def _extrema(cubics: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points of cubics, shape (n, 4, 2), where x or y turns; ends where it does not."""
    p0, p1, p2, p3 = np.moveaxis(cubics, 1, 0)
    a, b, c = -p0 + 3 * p1 - 3 * p2 + p3, 2 * (p0 - 2 * p1 + p2), p1 - p0
    # Roots of a·t² + b·t + c without cancellation; a vanishing a leaves the linear root.
    q = -0.5 * (b + np.copysign(np.sqrt(np.maximum(b * b - 4 * a * c, 0.0)), b))
    with np.errstate(divide="ignore", invalid="ignore"):
        roots = np.stack([q / a, c / q])
    t = np.clip(np.nan_to_num(roots, nan=0.0, posinf=0.0, neginf=0.0), 0.0, 1.0)
    t = np.moveaxis(t, -1, 1).reshape(4, -1, 1)  # both roots of both axes
    w0, w1, w2, w3 = cubic_weights(t)
    points: NDArray[np.float64] = w0 * p0 + w1 * p1 + w2 * p2 + w3 * p3
    return points.reshape(-1, 2)


def _filled(rings: list[NDArray[np.float64]], rule: FillRule) -> Area:
    if not rings:
        return Polygon()
    if rule is FillRule.EVENODD:
        area: BaseGeometry = Polygon()
        for ring in rings:
            area = area.symmetric_difference(shapely.make_valid(Polygon(ring)))
    else:
        area = _nonzero(rings)
    return areal(area)


def _nonzero(rings: list[NDArray[np.float64]]) -> BaseGeometry:
    """Union of the faces of the arrangement whose winding number is not zero."""
    if len(rings) == 1 and Polygon(rings[0]).is_valid:
        return Polygon(rings[0])
    closed = [np.concatenate([r, r[:1]]) if not np.array_equal(r[0], r[-1]) else r for r in rings]
    noded = shapely.unary_union([shapely.LineString(r) for r in closed])
    faces = shapely.get_parts(shapely.polygonize(list(shapely.get_parts(noded))))
    points = shapely.get_coordinates(shapely.point_on_surface(faces))
    sides = np.concatenate([np.stack([ring[:-1], ring[1:]]) for ring in closed], axis=1)
    inside = [_winding(sides - point) != 0 for point in points]
    return shapely.unary_union(faces[inside]) if any(inside) else Polygon()


def _winding(sides: NDArray[np.float64]) -> int:
    """How often sides, shape (2, n, 2), go round the origin."""
    (x0, x1), (y0, y1) = np.moveaxis(sides, 2, 0)
    below, above = y0 <= 0, y1 <= 0
    cross = x0 * y1 - x1 * y0
    rising = np.count_nonzero(below & ~above & (cross > 0))
    return int(rising) - int(np.count_nonzero(~below & above & (cross < 0)))


def areal(geometry: BaseGeometry) -> Area:
    """What of a geometry has area; the lines and points at which areas touch are dropped."""
    parts = [p for p in shapely.get_parts(geometry) if isinstance(p, Polygon) and p.area > 0]
    if len(parts) == 1:
        return parts[0]
    merged = shapely.unary_union(parts) if parts else Polygon()
    return merged if isinstance(merged, Polygon | MultiPolygon) else Polygon()


@lru_cache(maxsize=1024)
def lay(path: Path, affine: Affine) -> Path:
    """A path where it lies; kept, as a decal lies alike on many bats, and all their papers ask."""
    return path.transformed(affine)


@lru_cache(maxsize=1024)
def box_of(path: Path) -> tuple[float, float, float, float]:
    """Exact (x0, y0, x1, y1) of a path, kept likewise."""
    return path.bounds()
