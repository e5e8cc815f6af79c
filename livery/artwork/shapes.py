"""SVG's basic shapes as exact paths, in user units.

Source: svg-2 (10, basic shapes and their equivalent paths).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np

from livery.artwork.pathdata import Tracer, parse_path_data
from livery.artwork.values import parse_length, parse_numbers
from livery.geometry import FillRule, Path

Attributes = Mapping[str, str]


def shape_path(tag: str, attributes: Attributes, rule: FillRule) -> Path:
    """The path a shape element draws; empty where SVG draws nothing.

    Args:
        tag: one of ``SHAPES``.
        attributes: the element's.
        rule: fill rule the path shall carry.

    Raises:
        ValueError: an attribute that cannot be read, or a negative size.
    """
    return _TRACED[tag](attributes, rule)


def _length(attributes: Attributes, name: str, default: float = 0.0) -> float:
    text = attributes.get(name)
    if text is None:
        return default
    try:
        return parse_length(text)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _size(attributes: Attributes, name: str) -> float:
    size = _length(attributes, name)
    if size < 0:
        raise ValueError(f"{name}={attributes[name]!r} is negative")
    return size


def _path(attributes: Attributes, rule: FillRule) -> Path:
    return parse_path_data(attributes.get("d", ""), rule)


def _rect(attributes: Attributes, rule: FillRule) -> Path:
    x, y = _length(attributes, "x"), _length(attributes, "y")
    w, h = _size(attributes, "width"), _size(attributes, "height")
    rx, ry = _corner(attributes, w, h)
    tracer = Tracer()
    if not (w and h):
        return tracer.path(rule)
    tracer.step("M", (x + rx, y))
    corners = [((x + w, y + ry), (x + w - rx, y)), ((x + w - rx, y + h), (x + w, y + h - ry))]
    corners += [((x, y + h - ry), (x + rx, y + h)), ((x + rx, y), (x, y + ry))]
    for end, start in corners:
        tracer.step("L", start)
        if rx and ry:
            tracer.arc((rx, ry), 0.0, False, True, end)
    tracer.step("Z", ())
    return tracer.path(rule)


def _corner(attributes: Attributes, w: float, h: float) -> tuple[float, float]:
    """Corner radii: one stands for both, neither exceeds half the side."""
    rx, ry = _size(attributes, "rx"), _size(attributes, "ry")
    if "rx" not in attributes:
        rx = ry
    if "ry" not in attributes:
        ry = rx
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    return (rx, ry) if rx and ry else (0.0, 0.0)


def _circle(attributes: Attributes, rule: FillRule) -> Path:
    radius = _size(attributes, "r")
    return _ellipse_path(attributes, radius, radius, rule)


def _ellipse(attributes: Attributes, rule: FillRule) -> Path:
    return _ellipse_path(attributes, _size(attributes, "rx"), _size(attributes, "ry"), rule)


def _ellipse_path(attributes: Attributes, rx: float, ry: float, rule: FillRule) -> Path:
    x, y = _length(attributes, "cx"), _length(attributes, "cy")
    tracer = Tracer()
    if rx and ry:
        tracer.step("M", (x + rx, y))
        tracer.arc((rx, ry), 0.0, False, True, (x - rx, y))
        tracer.arc((rx, ry), 0.0, False, True, (x + rx, y))
        tracer.step("Z", ())
    return tracer.path(rule)


def _line(attributes: Attributes, rule: FillRule) -> Path:
    x1, y1, x2, y2 = (_length(attributes, name) for name in ("x1", "y1", "x2", "y2"))
    return Path.polyline([(x1, y1), (x2, y2)], closed=False)


def _polyline(attributes: Attributes, rule: FillRule) -> Path:
    return _corners(attributes, rule, closed=False)


def _polygon(attributes: Attributes, rule: FillRule) -> Path:
    return _corners(attributes, rule, closed=True)


def _corners(attributes: Attributes, rule: FillRule, *, closed: bool) -> Path:
    numbers = parse_numbers(attributes.get("points", ""))
    if len(numbers) % 2:
        raise ValueError(f"points holds {len(numbers)} numbers, not pairs")
    if not numbers:
        return Tracer().path(rule)
    path = Path.polyline(numbers, closed=closed)
    return Path(path.verbs, path.points, rule)


_TRACED: dict[str, Callable[[Attributes, FillRule], Path]] = {
    "path": _path,
    "rect": _rect,
    "circle": _circle,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": _polyline,
    "polygon": _polygon,
}
SHAPES = frozenset(_TRACED)


def closed_for_fill(path: Path) -> Path:
    """The path with every subpath closed, as filling closes it; lone points dropped."""
    kept = [part for part in subpaths(path) if len(part.points) > 1]
    if not kept:
        return Path("", path.points[:0], path.rule)
    verbs = "".join(part.verbs if part.verbs.endswith("Z") else part.verbs + "Z" for part in kept)
    return Path(verbs, np.concatenate([part.points for part in kept]), path.rule)


def subpaths(path: Path) -> list[Path]:
    """A path's subpaths, each a path."""
    parts, start = [], 0
    for verbs in path.verbs.split("M")[1:]:
        count = 1 + verbs.count("L") + 3 * verbs.count("C")
        parts.append(Path("M" + verbs, path.points[start : start + count], path.rule))
        start += count
    return parts


def is_closed(path: Path) -> bool:
    """Whether every subpath ends where it starts."""
    return all(
        part.verbs.endswith("Z") or math.dist(part.points[0], part.points[-1]) < 1e-6
        for part in subpaths(path)
    )
