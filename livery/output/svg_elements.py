"""Elements of the drawing model as SVG elements, seen whole, by plate, or as a blank."""

from __future__ import annotations

import base64
import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from xml.etree import ElementTree

from livery.drawing import Element, Label, Paint, Picture, Shape, Stroke, Use
from livery.geometry import Affine, FillRule, Path
from livery.output.lettering import (
    Line,
    glyph_outline,
    label_frame,
    line_outline,
    set_line,
    without_controls,
)
from livery.output.paints import paint_words, screen_colour
from livery.output.plates import Contents, Separator, drawn, knocks_out_of
from livery.output.svg_paths import short_d

_DIGITS = 4  # of a mm: 0.1 µm [source: workshop-choice]
_SHARED_FROM = 160  # characters of path data [source: workshop-choice]
_NO_INK = "#ffffff"


@dataclass(frozen=True, slots=True)
class View:
    """How an element is looked at.

    Attributes:
        plate: draw only what prints on this plate; None draws all.
        blank_but: draw, in white, all that knocks out of this plate; None for paint.
        blends: whether overprinting shapes multiply one by one.
    """

    plate: str | None = None
    blank_but: str | None = None
    blends: bool = False


@dataclass(frozen=True, slots=True)
class _Character:
    """A character's outline at its place; pages have too many for svgwrite's own ``use``."""

    outline: str
    x: str

    def get_xml(self) -> ElementTree.Element:
        """For svgwrite."""
        return ElementTree.Element("use", {"x": self.x, "xlink:href": f"#{self.outline}"})


class Composer:
    """Builds the elements of one SVG document; each symbol is defined once a view.

    Attributes:
        definitions: symbols in the order they are needed.
    """

    def __init__(self, separator: Separator) -> None:
        import svgwrite  # type: ignore[import-untyped]

        self.separator = separator
        self.definitions: list[Any] = []
        self._make = svgwrite.Drawing(debug=False)
        self._symbols: dict[tuple[str, View], str] = {}
        self._glyphs: dict[tuple[str, str], str] = {}
        self._paths: dict[str, str] = {}
        self._ids: set[str] = set()

    def group(self, name: str) -> Any:
        """An empty group with an id made from a name."""
        return self._make.g(id=self._fresh_id(name))

    def compose(self, element: Element, view: View) -> Any:
        """One element under a view."""
        match element:
            case Shape():
                return self._shape(element, view)
            case Label():
                return self._label(element, view)
            case Picture():
                return self._picture(element, view)
            case Use():
                return self._use(element, view)

    def compose_plate(self, contents: Contents, plate: str) -> list[Any]:
        """What a plate prints, in painter's order.

        What knocks out of the plate is painted white: a plate's group multiplies, so white there
        is no ink.
        """
        knocked = self.separator.knockers(contents, plate)
        above = {index for indices in knocked.values() for index in indices}
        elements = []
        for index, part in enumerate(contents.parts):
            if index in above:
                elements.append(self.compose(part.element, View(blank_but=plate)))
            if plate in part.plates:
                elements.append(self.compose(part.element, View(plate=plate)))
        return elements

    def _shape(self, shape: Shape, view: View) -> Any:
        shape = drawn(shape)
        path = self._path(shape.path)
        path["fill"] = self._colour(shape.fill, view)
        if shape.stroke is not None:
            _set_stroke(path, shape.stroke, self._colour(shape.stroke.paint, view))
        if view.blank_but is not None:
            return path
        if shape.overprint and view.blends:
            path["style"] = "mix-blend-mode:multiply"
        paint = shape.fill or (shape.stroke.paint if shape.stroke else None)
        if paint is not None:
            _set_words(path, paint_words(paint, view.plate))
        if shape.overprint:
            path["data-overprint"] = "true"
        if shape.name:
            path["data-name"] = without_controls(shape.name)
        return path

    def _label(self, label: Label, view: View) -> Any:
        line = set_line(label)
        if line.places_mm is None:
            element = self._path(line_outline(line).transformed(label_frame(label)))
        else:
            element = self._characters(line, line.places_mm, label_frame(label))
        element["fill"] = self._colour(label.paint, view)
        if view.blank_but is None:
            words = without_controls(label.text)
            _set_words(
                element, paint_words(label.paint, view.plate) | {"role": "img", "aria-label": words}
            )
            element.set_desc(title=words)
        return element

    def _characters(self, line: Line, places_mm: tuple[float, ...], frame: Affine) -> Any:
        """A line set from characters that the document holds once each."""
        group = self._make.g(transform=_matrix(frame @ Affine.scaling(line.size_mm)))
        for character, x in zip(line.text, places_mm, strict=True):
            name = self._glyph(character, line.font)
            if name:
                group.add(_Character(name, number(x / line.size_mm)))
        return group

    def _glyph(self, character: str, font: str) -> str:
        """The id of a character's outline, defined when first asked for; "" where it is blank."""
        if (character, font) not in self._glyphs:
            data = _glyph_d(character, font)
            name = self._fresh_id(f"{font}-{ord(character):x}") if data else ""
            if name:
                self.definitions.append(self._make.path(d=data, id=name))
            self._glyphs[character, font] = name
        return self._glyphs[character, font]

    def _picture(self, picture: Picture, view: View) -> Any:
        x, y = number(picture.x_mm), number(picture.y_mm)
        size = (number(picture.width_mm), number(picture.height_mm))
        if view.blank_but is not None:
            return self._make.rect((x, y), size, fill=_NO_INK)
        flip = number(2 * picture.y_mm + picture.height_mm)
        data = "data:image/png;base64," + base64.b64encode(picture.png).decode("ascii")
        image = self._make.image(data, (x, y), size, preserveAspectRatio="none")
        image["transform"] = f"matrix(1 0 0 -1 0 {flip})"
        if picture.alt:
            image["role"], image["aria-label"] = "img", without_controls(picture.alt)
            image.set_desc(title=without_controls(picture.alt))
        return image

    def _use(self, use: Use, view: View) -> Any:
        element = self._make.use(f"#{self._symbol(use.symbol, view)}")
        element["transform"] = _matrix(use.affine)
        if view.blank_but is None:
            for key, value in use.attributes.items():
                element[f"data-{_slug(key)}"] = without_controls(value)
        return element

    def _symbol(self, key: str, view: View) -> str:
        """The id of a symbol under a view, defining it when first asked for."""
        if (key, view) in self._symbols:
            return self._symbols[key, view]
        contents = self.separator.symbols[key]
        suffix = "" if view.plate is None else f"-{view.plate or 'pictures'}"
        suffix += "" if view.blank_but is None else f"-knocks-{view.blank_but or 'pictures'}"
        name = self._fresh_id(key + suffix)
        symbol = self._make.symbol(id=name, overflow="visible")
        for element in self._symbol_elements(contents, view):
            symbol.add(element)
        self.definitions.append(symbol)
        self._symbols[key, view] = name
        return name

    def _symbol_elements(self, contents: Contents, view: View) -> list[Any]:
        if view.plate is not None:
            return self.compose_plate(contents, view.plate)
        parts = contents.parts
        if view.blank_but is not None:
            parts = tuple(p for p in parts if knocks_out_of(p, view.blank_but))
        return [self.compose(part.element, view) for part in parts]

    def _path(self, path: Path) -> Any:
        element = self._shared(short_d(path) or "M0 0")
        if path.rule is FillRule.EVENODD:
            element["fill-rule"] = "evenodd"
        return element

    def _shared(self, data: str) -> Any:
        """A path; a long one is stored once, however many plates show it or blank it."""
        if len(data) < _SHARED_FROM:
            return self._make.path(d=data)
        if data not in self._paths:
            name = self._paths[data] = f"d{len(self._paths) + 1}"
            self.definitions.append(self._make.path(d=data, id=name))
        return self._make.use(f"#{self._paths[data]}")

    def _colour(self, paint: Paint | None, view: View) -> str:
        if paint is None:
            return "none"
        return _NO_INK if view.blank_but is not None else screen_colour(paint, view.plate)

    def _fresh_id(self, name: str) -> str:
        base = _slug(name) or "item"
        identity, count = base, 1
        while identity in self._ids:
            count += 1
            identity = f"{base}-{count}"
        self._ids.add(identity)
        return identity


@lru_cache(maxsize=2048)
def _glyph_d(character: str, font: str) -> str:
    return glyph_outline(character, font).svg_d(_DIGITS)


@lru_cache(maxsize=1 << 14)
def number(value: float) -> str:
    """A number of mm as SVG writes it, to a tenth of a micrometre."""
    text = f"{value:.{_DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _set_stroke(path: Any, stroke: Stroke, colour: str) -> None:
    path["stroke"], path["stroke-width"] = colour, number(stroke.width_mm)
    if stroke.round:
        path["stroke-linecap"] = path["stroke-linejoin"] = "round"
    if any(stroke.dash_mm):
        path["stroke-dasharray"] = " ".join(number(dash) for dash in stroke.dash_mm)


def _set_words(element: Any, words: dict[str, str]) -> None:
    for key, value in words.items():
        element[key] = without_controls(value)


def _matrix(affine: Affine) -> str:
    turn = " ".join(f"{value:.9g}" for value in affine.coefficients[:4])
    return f"matrix({turn} {number(affine.e)} {number(affine.f)})"


@lru_cache(maxsize=4096)
def _slug(name: str) -> str:
    """A name as an XML id and attribute ending: letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii")
    slug = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")
    return slug if not slug or slug[0].isalpha() else f"n{slug}"
