"""Which plate prints what: a layer's elements taken apart plate by plate, for SVG.

In PDF a shape knocks out of the other plates whatever was painted before it. SVG has one canvas,
so in each plate's group the later shapes of other plates are blanked; curves stay exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.drawing import Element, Label, Picture, Shape, Symbol, Use
from livery.geometry import Path
from livery.output.lettering import label_outline
from livery.output.paints import NO_PLATE, PROCESS, plates_of

Box = tuple[float, float, float, float]
_MITRE_REACH = 10.0  # half widths a mitre may reach: PDF's default [source: iso-32000-1]


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """An element, or one paint of it, with what decides who knocks out whom.

    Attributes:
        plates: every plate it prints on; more than one for a Use and for a build.
        knocks: whether it knocks earlier parts out of other plates.
    """

    element: Element
    plates: frozenset[str]
    knocks: bool


@dataclass(frozen=True, slots=True, eq=False)
class Contents:
    """Elements taken apart, in painter's order, with their plates in order of first use."""

    parts: tuple[Part, ...]
    plates: tuple[str, ...]

    @property
    def knocks(self) -> bool:
        """Whether any part knocks out."""
        return any(part.knocks for part in self.parts)


class Separator:
    """Takes elements apart; symbols once each.

    Args:
        symbols: in the order that ``ordered_symbols`` gives.
    """

    def __init__(self, symbols: Iterable[Symbol]) -> None:
        self.symbols: dict[str, Contents] = {}
        self._boxes: dict[Part, Box | None] = {}
        for symbol in symbols:
            self.symbols[symbol.key] = self.take_apart(symbol.elements)

    def take_apart(self, elements: Iterable[Element]) -> Contents:
        """Parts in painter's order."""
        parts = tuple(part for element in elements for part in self._parts(element))
        plates = tuple(dict.fromkeys(p for part in parts for p in self._plates_in_order(part)))
        return Contents(parts, plates)

    def knockers(self, contents: Contents, plate: str) -> dict[int, list[int]]:
        """For each part on a plate, the later parts that knock it out, by index.

        Cost grows with the pairs whose bounds meet, not with the square of the parts.
        """
        parts = contents.parts
        below = [i for i, part in enumerate(parts) if plate in part.plates and self.box(part)]
        above = [i for i, part in enumerate(parts) if knocks_out_of(part, plate) and self.box(part)]
        if not below or not above:
            return {}
        tree = shapely.STRtree(_rectangles(self.box(parts[i]) for i in above))
        met = tree.query(_rectangles(self.box(parts[i]) for i in below)).T.tolist()
        found: dict[int, list[int]] = {}
        for low, high in sorted(met):
            if above[high] > below[low]:
                found.setdefault(below[low], []).append(above[high])
        return found

    def _parts(self, element: Element) -> list[Part]:
        match element:
            case Shape():
                return _shape_parts(element)
            case Label():
                plates = frozenset(plates_of(element.paint))
                return [Part(element, plates, True)]
            case Picture():
                return [Part(element, frozenset({NO_PLATE}), True)]
            case Use():
                inside = self.symbols[element.symbol]
                return [Part(element, frozenset(inside.plates), inside.knocks)]

    def box(self, part: Part) -> Box | None:
        """Bounds on its page or in its symbol, mm; None when it draws nothing."""
        if part not in self._boxes:
            boxes = {}
            if isinstance(part.element, Use):
                inside = self.symbols[part.element.symbol].parts
                boxes[part.element.symbol] = _union(map(self.box, inside))
            self._boxes[part] = _element_box(part.element, boxes)
        return self._boxes[part]

    def _plates_in_order(self, part: Part) -> tuple[str, ...]:
        if isinstance(part.element, Use):
            return self.symbols[part.element.symbol].plates
        return tuple(sorted(part.plates, key=_order))


def content_box(elements: Iterable[Element], boxes: Mapping[str, Box | None]) -> Box | None:
    """Bounds of elements; ``boxes`` holds those of the symbols they use."""
    return _union(_element_box(element, boxes) for element in elements)


def _element_box(element: Element, boxes: Mapping[str, Box | None]) -> Box | None:
    match element:
        case Shape():
            shape = drawn(element)
            if shape.fill is None and shape.stroke is None:
                return None
            return path_box(shape.path, _reach_mm(shape))
        case Label():
            return path_box(label_outline(element))
        case Picture():
            x, y = element.x_mm, element.y_mm
            return (x, y, x + element.width_mm, y + element.height_mm)
        case Use():
            return _mapped(boxes[element.symbol], element)


def _reach_mm(shape: Shape) -> float:
    """How far a shape's stroke may reach beyond its path."""
    return shape.stroke.width_mm / 2.0 * _MITRE_REACH if shape.stroke else 0.0


def path_box(path: Path, reach_mm: float = 0.0) -> Box | None:
    """Bounds of a path's control points, widened by ``reach_mm``; never smaller than the path."""
    if not len(path.points):
        return None
    low = path.points.min(axis=0) - reach_mm
    high = path.points.max(axis=0) + reach_mm
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def drawn(shape: Shape) -> Shape:
    """A shape without the strokes of no width, which draw nothing in either format."""
    if shape.stroke is not None and shape.stroke.width_mm <= 0.0:
        return replace(shape, stroke=None)
    return shape


def _shape_parts(shape: Shape) -> list[Part]:
    shape = drawn(shape)
    parts = []
    if shape.fill is not None:
        plates = frozenset(plates_of(shape.fill))
        fill = replace(shape, stroke=None)
        parts.append(Part(fill, plates, not shape.overprint))
    if shape.stroke is not None:
        plates = frozenset(plates_of(shape.stroke.paint))
        parts.append(Part(replace(shape, fill=None), plates, not shape.overprint))
    return parts


def knocks_out_of(part: Part, plate: str) -> bool:
    """Whether a part blanks what lies beneath it on a plate; a Use where any of its parts may."""
    if isinstance(part.element, Use):
        return part.knocks and bool(part.plates - {plate})
    return part.knocks and plate not in part.plates


def _order(plate: str) -> tuple[int, str]:
    """Process inks in their order, then the rest by name."""
    return (PROCESS.index(plate) if plate in PROCESS else len(PROCESS), plate)


def _rectangles(boxes: Iterable[Box | None]) -> NDArray[np.object_]:
    corners = np.array(list(boxes), dtype=np.float64)
    return np.asarray(shapely.box(*corners.T), dtype=np.object_)


def _mapped(box: Box | None, use: Use) -> Box | None:
    if box is None:
        return None
    x0, y0, x1, y1 = box
    corners = use.affine.apply(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))
    low, high = corners.min(axis=0), corners.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _union(boxes: Iterable[Box | None]) -> Box | None:
    found = [box for box in boxes if box is not None]
    if not found:
        return None
    low, high = np.min(found, axis=0), np.max(found, axis=0)
    return float(low[0]), float(low[1]), float(high[2]), float(high[3])
