"""Content streams: elements of the drawing model as PDF operators, in mm.

Source:
    graphics operators, 8 [source: iso-32000-1]
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from livery.artwork.fonts import outline_text, seen_order
from livery.drawing import (
    Element,
    Label,
    LabPaint,
    LayerKind,
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
from livery.output.plates import drawn

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped]

_DIGITS = 4  # of a mm: 0.1 µm [source: workshop-choice]
_INVISIBLE = 3  # text rendering mode, 9.3.6 [source: iso-32000-1]
_OPERATORS = {"M": " m", "L": " l", "C": " c", "Z": "h"}
KNOCK_OUT, OVERPRINT = "/GSknock", "/GSover"


class Ledger:
    """Names the streams of one document give to inks, layers and pictures, in order of use."""

    def __init__(self) -> None:
        self.spots: dict[str, Spot] = {}
        self.layers: dict[tuple[str, LayerKind], str] = {}
        self.pictures: dict[bytes, str] = {}
        self._spaces: dict[str, str] = {}

    def space(self, paint: Spot) -> str:
        """The resource name of a spot's colour space."""
        self.spots.setdefault(paint.name, paint)
        return self._spaces.setdefault(paint.name, f"/CS{len(self._spaces)}")

    def layer(self, name: str, kind: LayerKind) -> str:
        """The property name of a layer; pages share layers of one name and kind."""
        return self.layers.setdefault((name, kind), f"/OC{len(self.layers)}")

    def picture(self, png: bytes) -> str:
        """The resource name of a picture; equal pictures share one."""
        return self.pictures.setdefault(png, f"/Im{len(self.pictures)}")


class Stream:
    """Writes one content stream (a page or a form) through reportlab.

    Args:
        canvas: reportlab's canvas, already on the page or in the form.
        ledger: the document's names.
        forms: reportlab's form name for each symbol that draws something.

    Attributes:
        pictures: the pictures' names this stream uses.
    """

    def __init__(self, canvas: Canvas, ledger: Ledger, forms: dict[str, str]) -> None:
        self._canvas, self._ledger, self._forms = canvas, ledger, forms
        self.pictures: dict[str, None] = {}
        self._fill = self._stroke = self._line = self._state = ""

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
        """Paint elements as optional content."""
        self._put(f"/OC {self._ledger.layer(name, kind)} BDC")
        self.draw(elements)
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
        self._put(f"{path_operators(shape.path)}\n{painted}{'*' if odd else ''}")

    def _label(self, label: Label) -> None:
        line = set_line(label)
        self._set_state(KNOCK_OUT)
        self._set_fill(label.paint)
        self._put(f"q {_matrix(label_frame(label))} cm")
        if must_outline(line):
            self._outlined(line, without_controls(label.text))
        else:
            self._text(line)
        self._put("Q")

    def _text(self, line: Line) -> None:
        text = self._canvas.beginText()
        text.setFont(_registered(line.font), line.size_mm)
        for words, x in _chunks(line):
            text.setTextOrigin(x, 0.0)
            text.textOut(words)
        self._canvas.drawText(text)

    def _outlined(self, line: Line, words: str) -> None:
        """Outlines, over unseen words that can be searched for and copied.

        The words of a line that reads from right to left stand as seen, as readers turn them.
        """
        stretches, scale, is_turned = _stretches(line)
        if not is_turned:
            said = words.encode("utf-16-be").hex()
            self._put(f"/Span <</ActualText <feff{said}>>> BDC")
        path = line_outline(line)
        if path.verbs:
            self._put(f"{path_operators(path)}\nf")
            text = self._canvas.beginText()
            text.setTextRenderMode(_INVISIBLE)
            text.setTextOrigin(line.start_mm, 0.0)
            text.setHorizScale(scale)
            for font, part in stretches:
                text.setFont(font, line.size_mm)
                text.textOut(part)
            self._canvas.drawText(text)
        if not is_turned:
            self._put("EMC")

    def _picture(self, picture: Picture) -> None:
        name = self._ledger.picture(picture.png)
        self.pictures[name] = None
        self._set_state(KNOCK_OUT)
        width, height = _number(picture.width_mm), _number(picture.height_mm)
        place = f"{width} 0 0 {height} {_number(picture.x_mm)} {_number(picture.y_mm)}"
        self._put(f"q {place} cm {name} Do Q")

    def _use(self, use: Use) -> None:
        if use.symbol in self._forms:
            self._put(f"q {_matrix(use.affine)} cm")
            self._canvas.doForm(self._forms[use.symbol])
            self._put("Q")

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
        space, colour, process = names
        match paint:
            case Spot(tint=tint):
                return f"{self._ledger.space(paint)} {space} {_number(tint)} {colour}"
            case Registration(tint=tint):
                return f"/CSall {space} {_number(tint)} {colour}"
            case LabPaint(lab=lab):
                return f"/CSlab {space} {' '.join(map(_number, lab))} {colour}"
            case Process():
                amounts = (paint.c, paint.m, paint.y, paint.k)
                return f"{' '.join(map(_number, amounts))} {process}"

    def _put(self, operators: str) -> None:
        self._canvas.addLiteral(operators)


@lru_cache(maxsize=512)
def path_operators(path: Path) -> str:
    """A path's construction operators; curves stay cubics."""
    numbers = [_number(value) for value in path.points.ravel().tolist()]
    lines, start = [], 0
    for verb in path.verbs:
        count = 2 if verb in "ML" else 6 if verb == "C" else 0
        lines.append(" ".join(numbers[start : start + count]) + _OPERATORS[verb])
        start += count
    return "\n".join(lines)


@lru_cache(maxsize=1 << 16)
def _number(value: float) -> str:
    text = f"{value:.{_DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _matrix(affine: Affine) -> str:
    turn = " ".join(f"{value:.9f}".rstrip("0").rstrip(".") for value in affine.coefficients[:4])
    return f"{turn} {_number(affine.e)} {_number(affine.f)}"


@lru_cache(maxsize=4096)
def _chunks(line: Line) -> tuple[tuple[str, float], ...]:
    """Runs of characters that stand where the font's own advances put them, each with its x."""
    from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped]

    font, places = _registered(line.font), line.places_mm or ()
    runs: list[tuple[str, float]] = []
    run, start, expected = "", 0.0, 0.0
    for character, x in zip(line.text, places, strict=True):
        if not run or abs(x - expected) > 1e-3 * line.size_mm:
            if run:
                runs.append((run, start))
            run, start = "", x
            expected = x
        run += character
        expected += pdfmetrics.stringWidth(character, font, line.size_mm)
    if run:
        runs.append((run, start))
    return tuple(runs)


@lru_cache(maxsize=1024)
def _stretches(line: Line) -> tuple[tuple[tuple[str, str], ...], float, bool]:
    """An outlined line as seen, in fonts that can be embedded.

    Returns:
        Stretches of one font each, the % that makes them as wide as the outlines, and whether
        some read from right to left.
    """
    from reportlab.pdfbase import pdfmetrics

    plain = "text-bold" if line.font == "display" else line.font
    seen = seen_order(line.text, plain)
    parts = tuple(
        (_registered(key), words[::-1] if level % 2 else words) for key, words, level in seen
    )
    wide = sum(pdfmetrics.stringWidth(words, font, line.size_mm) for font, words in parts)
    advance = outline_text(line.text, line.font, line.size_mm)[1]
    return parts, 100.0 * advance / wide if wide else 100.0, any(level % 2 for *_, level in seen)


@lru_cache(maxsize=8)
def _registered(font: str) -> str:
    """The name reportlab knows a packaged TrueType font by."""
    import io

    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont  # type: ignore[import-untyped]

    from livery.artwork.fonts import font_bytes

    name = f"livery-{font}"
    pdfmetrics.registerFont(TTFont(name, io.BytesIO(font_bytes(font))))
    return name


def default_font() -> str:
    """The font reportlab may name where a stream sets none; embedded only when used."""
    return _registered("text")
