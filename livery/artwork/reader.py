"""Artwork files: SVG in, shapes by ink, lettering and the cut line out.

What a designer draws by:

- ``width`` and ``height`` of the ``svg`` in mm (or cm, in, pt, pc), and a ``viewBox`` of the same
  proportions.
- Every drawn element carries ``data-ink="tarn"``, its own or from a ``g`` around it; a stroke in
  another ink says ``data-stroke-ink``. Screen colours are for the eye; only ``none`` counts.
- Elements: path, rect, circle, ellipse, line, polyline, polygon, g, a, text, and ``use`` of ids in
  the same file (``defs`` and ``symbol`` are drawn only so). A later element covers those before.
- The cut line is the one closed element with ``data-part="outline"``. It never prints.
- ``<text data-field="player">`` is variable; ``text`` without a field shows its own words
  (one ``tspan`` may hold them). ``x``, ``y``, ``font-size``, ``text-anchor``, ``text-transform``
  are SVG's; ``data-font`` names a packaged font; ``data-fit-width-mm`` is the widest it may be,
  at the file's own size.
- Properties may stand as attributes, in a ``style`` attribute, or in a style sheet on classes; what
  places an element stands as attributes.
- Solid inks only: gradients, opacity, masks, clips, filters, dashes, markers and pictures are
  refused, as is lettering spaced, raised, stroked or decorated.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path as FilePath

import numpy as np
from lxml import etree
from shapely.geometry import Polygon

from livery.artwork.document import (
    MAX_DEPTH,
    SVG,
    XLINK_HREF,
    attributes_of,
    line_of,
    open_svg,
    place_of,
)
from livery.artwork.frame import LARGEST_MM, frame_of, refuse_untrue_lengths, stretches
from livery.artwork.model import Artwork, Drawn, Lettering
from livery.artwork.pathdata import MAX_COMMANDS
from livery.artwork.shapes import SHAPES, closed_for_fill, is_closed, shape_path
from livery.artwork.strokes import TOLERANCE_MM, widen_stroke
from livery.artwork.styles import Style, refuse_placing, refuse_untold, resolve_style
from livery.artwork.tangles import MAX_MEETINGS, count_meetings
from livery.artwork.values import (
    parse_length,
    parse_numbers,
    parse_style,
    parse_style_sheet,
    parse_transform,
)
from livery.errors import ArtworkError, Fault
from livery.geometry import Affine, Path

MAX_DRAWN = 10_000
"""Most elements visited, counting each ``use`` (workshop choice)."""
_COARSE_MM = 0.05  # fineness of the count of crossings (workshop choice)
MAX_LETTERS = 200
"""Longest line of lettering (workshop choice)."""

_SILENT = frozenset({"defs", "symbol", "title", "desc", "metadata", "style"})
_GROUPS = frozenset({"g", "a"})


class _OverloadError(ArtworkError):
    """The drawing is too large to go on with."""


def read_artwork(path: FilePath) -> Artwork:
    """Read an artwork file.

    Args:
        path: an SVG file that keeps to the module's conventions.

    Returns:
        Its shapes, lettering and cut line, in mm as drawn.

    Raises:
        ArtworkError: the file cannot be read as artwork; every fault found, in file order.
    """
    reader = Reader(path, open_svg(path))
    reader.run()
    return reader.artwork()


class Reader:
    """Walks one file in painter's order, gathering what it draws and every fault."""

    def __init__(self, path: FilePath, root: etree._Element) -> None:
        self.path, self.root = path, root
        self.items: list[Drawn | Lettering] = []
        self.outlines: list[tuple[etree._Element, Path]] = []
        self.faults: list[Fault] = []
        self._classes: list[tuple[str, dict[str, str]]] = []
        self._used: list[etree._Element] = []
        self._frame = Affine()
        self._true = set[etree._Element]()
        self._commands = self._drawn = self._meetings = 0
        named = [element for element in root.iter(f"{SVG}*") if element.get("id")]
        self._ids = {element.get("id"): element for element in named}
        self._times = Counter(element.get("id") for element in named)

    def fault(self, element: etree._Element, found: str, mend: str) -> Fault:
        """A fault at an element of the file."""
        return Fault(str(self.path), place_of(element), line_of(element), found, mend)

    def run(self) -> None:
        """Walk the whole file.

        Raises:
            ArtworkError: the root's own size or style cannot be read, or it is nested too deeply.
        """
        try:
            self._frame = frame_of(self.root)
            self._read_sheets()
            style = resolve_style(self._says(self.root), Style())
        except ValueError as error:
            found, _, mend = str(error).partition(". ")
            raise ArtworkError(self.fault(self.root, found, mend or "Mend the value")) from None
        try:
            self._children(self.root, self._frame, style, 1)
        except _OverloadError as error:
            self.faults += error.faults
        except RecursionError:
            fault = self.fault(self.root, "nested too deeply", "Flatten it")
            raise ArtworkError(fault) from None

    def artwork(self) -> Artwork:
        """What the walk found.

        Raises:
            ArtworkError: every fault it found.
        """
        told = self.faults and any(e.get("data-part") for e in self.root.iter(f"{SVG}*"))
        if not told and len(self.outlines) != 1:
            self.faults.append(self._outline_count())
        if self.faults:
            raise ArtworkError(*self.faults[:20])
        if not self.items:
            mend = 'Give each drawn element data-ink="the ink\'s key"'
            raise ArtworkError(self.fault(self.root, "nothing in it prints", mend))
        return Artwork(self.path, tuple(self.items), self.outlines[0][1])

    def _read_sheets(self) -> None:
        for sheet in self.root.iter(f"{SVG}style"):
            self._classes += parse_style_sheet(sheet.text or "")
        for _, properties in self._classes:
            refuse_placing(properties)

    def _says(self, element: etree._Element) -> dict[str, str]:
        """An element's attributes, under the properties of its classes in the sheet's order."""
        says = attributes_of(element)
        names = says.get("class", "").split()
        for name, properties in self._classes if names else ():
            if name in names:
                says |= properties
        return says

    def _insist_on_true(self, element: etree._Element, says: dict[str, str]) -> None:
        if element in self._true:
            return
        self._true.add(element)  # once, however often it is used
        refuse_untrue_lengths(says | parse_style(says.get("style", "")), self._frame)

    def _outline_count(self) -> Fault:
        if self.outlines:
            found = f"{len(self.outlines)} elements carry data-part='outline'"
            return self.fault(self.outlines[1][0], found, "Keep one cut line")
        mend = "Mark the closed shape of the cut line with data-part='outline'"
        return self.fault(self.root, "there is no cut line", mend)

    def _children(self, element: etree._Element, to_mm: Affine, style: Style, depth: int) -> None:
        for child in element:
            if isinstance(child.tag, str) and child.tag.startswith(SVG):
                self._visit(child, to_mm, style, depth + 1)

    def _visit(self, element: etree._Element, to_mm: Affine, style: Style, depth: int) -> None:
        self._drawn += 1
        if self._drawn > MAX_DRAWN or depth > MAX_DEPTH:
            found = f"use elements draw more than {MAX_DRAWN} elements or deeper than {MAX_DEPTH}"
            raise _OverloadError(self.fault(element, found, "Draw it with fewer, flatter copies"))
        try:
            self._draw(element, to_mm, style, depth)
        except _OverloadError:
            raise
        except ArtworkError as error:
            self.faults += error.faults
        except ValueError as error:
            found, _, mend = str(error).partition(". ")
            self.faults.append(self.fault(element, found, mend or "Mend the value"))

    def _draw(self, element: etree._Element, to_mm: Affine, style: Style, depth: int) -> None:
        name = etree.QName(element).localname
        if name in _SILENT:
            return
        says = self._says(element)
        style = resolve_style(says, style)
        if style.gone:
            return
        self._insist_on_true(element, says)
        to_mm = to_mm @ parse_transform(element.get("transform", ""))
        if name not in SHAPES and element.get("data-part") is not None:
            raise ValueError(f"data-part stands on a {name}. Put it on the closed shape itself")
        if name in _GROUPS:
            self._children(element, to_mm, style, depth)
        elif name == "use":
            self._use(element, to_mm, style, depth)
        elif name in SHAPES:
            self._shape(element, name, to_mm, style)
        elif name == "text":
            self._text(element, to_mm, style)
        else:
            mend = f"Draw with {', '.join(sorted(SHAPES))}, g, use or text"
            self.faults.append(self.fault(element, f"{name} elements are not read", mend))

    def _use(self, element: etree._Element, to_mm: Affine, style: Style, depth: int) -> None:
        href = element.get("href") or element.get(XLINK_HREF) or ""
        target = self._ids.get(href.removeprefix("#"))
        if target is None:
            raise ValueError(f"use refers to {href[:40]!r}. Give an element of this file that id")
        if self._times[target.get("id")] > 1:
            raise ValueError(
                f"use refers to {href[:40]!r}, which several have. Give each its own id"
            )
        if target in self._used:
            raise ValueError(f"use of {href[:40]!r} draws itself. Draw a copy of what it holds")
        x, y = (parse_length(element.get(axis, "0")) for axis in "xy")
        to_mm = to_mm @ Affine.translation(x, y)
        is_symbol = target.tag == f"{SVG}symbol"
        if is_symbol and target.get("viewBox"):
            raise ValueError("use of a symbol with a viewBox. Use a g in defs instead")
        style = resolve_style(self._says(target), style) if is_symbol else style
        self._used.append(target)
        if is_symbol:
            self._children(target, to_mm, style, depth)
        else:
            self._visit(target, to_mm, style, depth + 1)
        self._used.pop()

    def _shape(self, element: etree._Element, name: str, to_mm: Affine, style: Style) -> None:
        path = shape_path(name, attributes_of(element), style.rule)
        self._count(element, path)
        if element.get("data-part") is not None:
            self._part(element, path, to_mm)
        elif not style.hidden:
            if style.stroke_first:
                self._stroke(element, path, to_mm, style)
            self._fill(element, name, path, to_mm, style)
            if not style.stroke_first:
                self._stroke(element, path, to_mm, style)

    def _count(self, element: etree._Element, path: Path) -> None:
        self._commands += len(path.verbs)
        if self._commands > MAX_COMMANDS:
            found = f"more than {MAX_COMMANDS} path commands"
            raise _OverloadError(self.fault(element, found, "Simplify the paths"))

    def _part(self, element: etree._Element, path: Path, to_mm: Affine) -> None:
        part = element.get("data-part")
        if part != "outline":
            raise ValueError(f"data-part={part!r} is unknown. The one part is 'outline'")
        if element.get("data-ink") is not None:
            raise ValueError("the cut line carries an ink. Draw its ground as its own element")
        if not path.verbs or not is_closed(path):
            raise ValueError("the cut line is not closed. Close it with Z")
        placed = self._placed(element, closed_for_fill(path), to_mm)
        rings = placed.flattened(0.05)
        area = Polygon(rings[0]) if len(rings) == 1 and len(rings[0]) > 2 else Polygon()
        if not area.is_valid or area.area < 1.0:
            raise ValueError("the cut line does not go once round one area. Draw one closed line")
        self.outlines.append((element, placed))

    def _fill(
        self, element: etree._Element, name: str, path: Path, to_mm: Affine, style: Style
    ) -> None:
        if not style.filled or name == "line" or len(path.points) < 3:
            return
        placed = self._placed(element, closed_for_fill(path), to_mm)
        self._untangled(element, placed, 0.0, _COARSE_MM)
        self._add(element, style.ink, placed, None, closed=is_closed(path))

    def _stroke(self, element: etree._Element, path: Path, to_mm: Affine, style: Style) -> None:
        if not style.stroked or style.pen.width == 0:
            return
        self._placed(element, path, to_mm)
        large, small = stretches(to_mm)
        self._untangled(element, path, style.pen.width, _COARSE_MM / large)
        region = widen_stroke(path, style.pen, TOLERANCE_MM / large)
        placed = self._placed(element, region, to_mm)
        self._add(element, style.stroke_ink or style.ink, placed, style.pen.width * small)

    def _untangled(
        self, element: etree._Element, path: Path, reach: float, tolerance: float
    ) -> None:
        self._meetings += count_meetings(path, reach, tolerance, MAX_MEETINGS - self._meetings)
        if self._meetings > MAX_MEETINGS:
            found = f"paths cross or touch themselves more than {MAX_MEETINGS} times"
            raise _OverloadError(self.fault(element, found, "Unite them into simple shapes"))

    def _add(
        self,
        element: etree._Element,
        ink: str,
        path: Path,
        thinnest_mm: float | None,
        *,
        closed: bool = True,
    ) -> None:
        if not path.verbs:
            return
        if not ink:
            raise ValueError("no ink is named. Add data-ink with the key of an ink of the palette")
        place, line = place_of(element), line_of(element)
        self.items.append(Drawn(ink, path, thinnest_mm, place, line, closed))

    def _placed(self, element: etree._Element, path: Path, to_mm: Affine) -> Path:
        placed = path.transformed(to_mm)
        if not np.all(np.abs(placed.points) < LARGEST_MM):
            found = f"reaches farther than {LARGEST_MM:g} mm"
            raise ArtworkError(self.fault(element, found, "Move it onto the decal"))
        return placed

    def _text(self, element: etree._Element, to_mm: Affine, style: Style) -> None:
        if style.hidden:
            return
        words, span = _line_of_words(element)
        says = self._says(span)
        self._insist_on_true(span, says)
        style = resolve_style(says, style)
        refuse_untold(style)
        if not style.filled:
            return
        if not style.ink:
            raise ValueError("no ink is named. Add data-ink with the key of an ink of the palette")
        if len(words) > MAX_LETTERS:
            raise ValueError(f"text is longer than {MAX_LETTERS} characters. Shorten it")
        if not style.font_size:
            raise ValueError("font-size is 0. Give the size in user units")
        x, y = (parse_length(span.get(axis) or element.get(axis) or "0") for axis in "xy")
        upright = to_mm @ Affine.translation(x, y) @ Affine.scaling(1.0, -1.0)
        self.items.append(
            Lettering(
                field=element.get("data-field", ""),
                words=words,
                ink=style.ink,
                font=style.font,
                size=style.font_size,
                anchor=style.anchor,
                affine=upright,
                fit_mm=_fit(element.get("data-fit-width-mm")),
                upper=style.upper,
                place=place_of(element),
                line=line_of(element),
            )
        )


def _line_of_words(text: etree._Element) -> tuple[str, etree._Element]:
    """The words of a text element, and the element that holds them: itself or its one tspan."""
    spans = list(text)
    if not spans:
        return " ".join((text.text or "").split()), text
    span = spans[0]
    stray = (text.text or "").strip() or (span.tail or "").strip()
    if len(spans) > 1 or span.tag != f"{SVG}tspan" or len(span) or stray:
        raise ValueError("text holds other elements. Set each line as its own text element")
    return " ".join((span.text or "").split()), span


def _fit(text: str | None) -> float | None:
    if text is None:
        return None
    numbers = parse_numbers(text)
    if len(numbers) != 1 or numbers[0] <= 0:
        raise ValueError(f"data-fit-width-mm={text!r} is not a width. Give it in mm, such as 52")
    return numbers[0]
