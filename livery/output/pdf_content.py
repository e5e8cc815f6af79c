"""Content streams: elements of the drawing model as PDF operators, in mm.

Source:
    graphics operators, 8 [source: iso-32000-1]
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from livery.drawing import (
    Element,
    Label,
    LabPaint,
    LayerKind,
    Page,
    Paint,
    Picture,
    Process,
    Registration,
    Shape,
    Spot,
    Stroke,
    Use,
)
from livery.geometry import Affine, FillRule, Path
from livery.output.lettering import (
    Line,
    label_frame,
    line_outline,
    must_outline,
    set_line,
    without_controls,
)
from livery.output.pdf_names import (
    ALL_SPACE,
    DARKEN,
    KNOCK_OUT,
    LAB_SPACE,
    OVERPRINT,
    form_name,
    layer_name,
    picture_name,
    space_name,
)
from livery.output.pdf_text import seen_stretches, text_operators, unseen_operators
from livery.output.plates import Box, drawn

_DIGITS = 4  # of a mm: 0.1 µm [source: workshop-choice]
_TURN_DIGITS = 9  # of a matrix's turn and scale: 0.1 µm over 100 m [source: workshop-choice]
_OPERATORS = {
    "M": "%.14g %.14g m",
    "L": "%.14g %.14g l",
    "C": "%.14g %.14g %.14g %.14g %.14g %.14g c",
    "Z": "h",
}
_OVER_ALL = (LayerKind.WHITE, LayerKind.VARNISH)
PACKED: Final = 4  # zlib level: twice as fast as its usual 6, 4 % larger [source: workshop-choice]


@dataclass(frozen=True, slots=True)
class Content:
    """A content stream, a page's or a form's, and what it refers to.

    Attributes:
        data: its operators, deflated.
        digest: SHA-256 of its operators.
        spots: one tint of each spot.
        layers: (name, kind) of each layer, in order of use.
        fonts: (key, its characters) of each font.
        pictures: encoded, each once.
        symbols: keys of the symbols it uses.
    """

    data: bytes
    digest: bytes
    spots: tuple[Spot, ...] = ()
    layers: tuple[tuple[str, LayerKind], ...] = ()
    fonts: tuple[tuple[str, str], ...] = ()
    pictures: tuple[bytes, ...] = ()
    symbols: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Form:
    """A symbol, written.

    Attributes:
        key: the symbol's.
        box: its bounds, mm.
    """

    key: str
    box: Box
    content: Content


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Some of a document's pages, written before the document is.

    Attributes:
        forms: each after those it uses.
        pages: without their layers, each with its content.
    """

    forms: tuple[Form, ...]
    pages: tuple[tuple[Page, Content], ...]


class Stream:
    """Writes one content stream.

    Args:
        symbols: keys of the symbols that draw something; others are left out.
    """

    def __init__(self, symbols: Collection[str]) -> None:
        self._drawing = symbols
        self._lines: list[str] = []
        self._spots: dict[str, Spot] = {}
        self._layers: dict[tuple[str, LayerKind], None] = {}
        self._fonts: dict[str, set[str]] = {}
        self._pictures: dict[bytes, None] = {}
        self._symbols: dict[str, None] = {}
        self._fill = self._stroke = self._line = self._state = ""

    def finish(self) -> Content:
        """What has been written."""
        data = "\n".join(self._lines).encode("ascii")
        fonts = ((font, "".join(sorted(self._fonts[font]))) for font in sorted(self._fonts))
        return Content(
            zlib.compress(data, PACKED),
            hashlib.sha256(data).digest(),
            tuple(self._spots.values()),
            tuple(self._layers),
            tuple(fonts),
            tuple(self._pictures),
            tuple(self._symbols),
        )

    def draw(self, elements: Iterable[Element]) -> None:
        """Paint elements in order."""
        for element in elements:
            match element:
                case Shape():
                    self._shape(drawn(element))
                case Label():
                    self._label(element)
                case Picture():
                    self._picture(element)
                case Use():
                    self._use(element)

    def draw_layer(self, name: str, kind: LayerKind, elements: Iterable[Element]) -> None:
        """Paint elements as optional content.

        White and varnish darken, which on plates is to overprint: a viewer that shows no overprint
        would else show them in place of the inks.

        Source: darken on spot colours, 11.7.4.2 [source: iso-32000-1].
        """
        self._layers[name, kind] = None
        darkens = kind in _OVER_ALL
        self._put(f"/OC {layer_name(name, kind)} BDC")
        if darkens:
            self._put(f"q {DARKEN} gs")
        self.draw(elements)
        if darkens:
            self._put("Q")
            self._fill = self._stroke = self._line = self._state = ""
        self._put("EMC")

    def scale(self, points_per_mm: float) -> None:
        """Turn the rest of the stream to mm."""
        self._put(f"{points_per_mm:.9f} 0 0 {points_per_mm:.9f} 0 0 cm")

    def _shape(self, shape: Shape) -> None:
        stroke = shape.stroke
        if (shape.fill is None and stroke is None) or not shape.path.verbs:
            return
        self._set_state(OVERPRINT if shape.overprint else KNOCK_OUT)
        if shape.fill is not None:
            self._set_fill(shape.fill)
        if stroke is not None:
            self._set_stroke(stroke)
        painted = "B" if shape.fill is not None and stroke else "S" if stroke else "f"
        odd = shape.fill is not None and shape.path.rule is FillRule.EVENODD
        self._put(path_operators(shape.path))
        self._put(f"{painted}{'*' if odd else ''}")

    def _label(self, label: Label) -> None:
        line = set_line(label)
        self._set_state(KNOCK_OUT)
        self._set_fill(label.paint)
        frame = label_frame(label)
        if must_outline(line):
            self._put(f"q {_matrix(frame)} cm")
            self._outlined(line, without_controls(label.text))
            self._put("Q")
            return
        if line.places_mm and line.places_mm[0]:
            frame = frame @ Affine.translation(line.places_mm[0], 0.0)
        self._note_font(line.font, line.text)
        self._put(f"BT {_matrix(frame)} Tm {text_operators(line)} ET")

    def _outlined(self, line: Line, words: str) -> None:
        """Outlines, over unseen words that can be searched for and copied.

        The words of a line that reads from right to left stand as seen, as readers turn them.
        """
        stretches, is_turned = seen_stretches(line)
        said = words.encode("utf-16-be").hex()
        marked = f"/Span <</ActualText <feff{said}>>> BDC"
        path = line_outline(line)
        lines = [f"{path_operators(path)}\nf"] if path.verbs else []
        if path.verbs:
            for font, part in stretches:
                self._note_font(font, part)
            lines.append(unseen_operators(line))
        self._put("\n".join(lines if is_turned else [marked, *lines, "EMC"]))

    def _note_font(self, font: str, text: str) -> None:
        self._fonts.setdefault(font, set()).update(text)

    def _picture(self, picture: Picture) -> None:
        self._pictures[picture.png] = None
        self._set_state(KNOCK_OUT)
        width, height = _number(picture.width_mm), _number(picture.height_mm)
        place = f"{width} 0 0 {height} {_number(picture.x_mm)} {_number(picture.y_mm)}"
        self._put(f"q {place} cm {picture_name(picture.png)} Do Q")

    def _use(self, use: Use) -> None:
        if use.symbol in self._drawing:
            self._symbols[use.symbol] = None
            self._put(f"q {_matrix(use.affine)} cm {form_name(use.symbol)} Do Q")

    def _set_state(self, state: str) -> None:
        if state != self._state:
            self._state = state
            self._put(f"{state} gs")

    def _set_fill(self, paint: Paint) -> None:
        operators = self._colour(paint, ("cs", "scn", "k"))
        if operators != self._fill:
            self._fill = operators
            self._put(operators)

    def _set_stroke(self, stroke: Stroke) -> None:
        operators = self._colour(stroke.paint, ("CS", "SCN", "K"))
        if operators != self._stroke:
            self._stroke = operators
            self._put(operators)
        ends = "1 J 1 j" if stroke.round else "0 J 0 j"
        dashes = " ".join(map(_number, stroke.dash_mm)) if any(stroke.dash_mm) else ""
        line = f"{_number(stroke.width_mm)} w {ends} [{dashes}] 0 d"
        if line != self._line:
            self._line = line
            self._put(line)

    def _colour(self, paint: Paint, names: tuple[str, str, str]) -> str:
        if isinstance(paint, Spot):
            self._spots.setdefault(paint.name, paint)
        return _colour_operators(paint, names)

    def _put(self, operators: str) -> None:
        self._lines.append(operators)


@lru_cache(maxsize=1024)
def _colour_operators(paint: Paint, names: tuple[str, str, str]) -> str:
    space, colour, process = names
    match paint:
        case Spot(name=name, tint=tint):
            return f"{space_name(name)} {space} {_number(tint)} {colour}"
        case Registration(tint=tint):
            return f"{ALL_SPACE} {space} {_number(tint)} {colour}"
        case LabPaint(lab=lab):
            return f"{LAB_SPACE} {space} {' '.join(map(_number, lab))} {colour}"
        case Process():
            amounts = (paint.c, paint.m, paint.y, paint.k)
            return f"{' '.join(map(_number, amounts))} {process}"


@lru_cache(maxsize=128)
def path_operators(path: Path) -> str:
    """A path's construction operators; curves stay cubics."""
    rounded = np.round(path.points, _DIGITS) + 0.0  # which takes the sign from a zero
    return _operators(path.verbs) % tuple(rounded.ravel().tolist())


@lru_cache(maxsize=128)
def _operators(verbs: str) -> str:
    """A path's operators, with a place for each number of less than 14 digits."""
    return "\n".join([_OPERATORS[verb] for verb in verbs])


@lru_cache(maxsize=1 << 12)
def _number(value: float, digits: int = _DIGITS) -> str:
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _matrix(affine: Affine) -> str:
    turn = _turn(affine.coefficients[:4])
    return f"{turn} {_number(affine.e)} {_number(affine.f)}"


@lru_cache(maxsize=1024)
def _turn(coefficients: tuple[float, ...]) -> str:
    return " ".join(_number(value, _TURN_DIGITS) for value in coefficients)
