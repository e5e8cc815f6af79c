"""Walks a PDF's content streams and tells, for each painted thing, with what, where and how."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf

Matrix = tuple[float, float, float, float, float, float]
Instruction = tuple[str, tuple[object, ...]]
IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_FILLS = {"f", "F", "f*", "B", "B*", "b", "b*"}
_STROKES = {"S", "s", "B", "B*", "b", "b*"}
_DEVICE = {"g": "DeviceGray", "rg": "DeviceRGB", "k": "DeviceCMYK"}
_POINTS = {"m", "l", "c", "v", "y", "re", "h"}


@dataclass(frozen=True)
class Painted:
    """One painting operation.

    Attributes:
        what: ``fill``, ``stroke``, ``text`` or ``image``.
        space: ``DeviceCMYK``, ``Lab``..., or ``Separation`` for a spot.
        ink: a Separation's name, else "".
        layer: the innermost optional-content group's name, or "".
        step: (group, type) of its processing step, or None.
        ctm: from the stream's own space to default user space.
        steps: (operator, coordinates in the stream's own space) that made the path.
        forms: form XObjects it was painted through, outermost first.
    """

    page: int
    what: str
    space: str
    ink: str
    amounts: tuple[float, ...]
    overprint: bool
    layer: str
    step: tuple[str, str] | None
    ctm: Matrix
    steps: tuple[tuple[str, tuple[float, ...]], ...]
    forms: tuple[str, ...]
    line_width: float

    @property
    def path(self) -> list[tuple[str, np.ndarray]]:
        """(operator, points in default user space, shape (n, 2)) each; ``re`` is written out."""
        return [part for step in self.steps for part in _constructed(*step, self.ctm)]


@dataclass(frozen=True)
class _State:
    ctm: Matrix = IDENTITY
    fill: tuple[str, str] = ("DeviceGray", "")
    stroke: tuple[str, str] = ("DeviceGray", "")
    fill_amounts: tuple[float, ...] = (0.0,)
    stroke_amounts: tuple[float, ...] = (0.0,)
    fill_overprint: bool = False
    stroke_overprint: bool = False
    line_width: float = 1.0


@dataclass
class _Walk:
    page: int
    state: _State = field(default_factory=_State)
    saved: list[_State] = field(default_factory=list)
    marked: list[object] = field(default_factory=list)
    steps: list[tuple[str, tuple[float, ...]]] = field(default_factory=list)
    forms: tuple[str, ...] = ()
    parsed: dict[tuple[int, int], list[Instruction]] = field(default_factory=dict)


def walk(pdf: bytes | Path) -> list[Painted]:
    """Everything a PDF paints, page by page, in order, through its form XObjects."""
    source = io.BytesIO(pdf) if isinstance(pdf, bytes) else pdf
    parsed: dict[tuple[int, int], list[Instruction]] = {}
    with pikepdf.open(source) as document:
        return [
            painted
            for number, page in enumerate(document.pages)
            for painted in _stream(page.obj, page.obj.Resources, _Walk(number, parsed=parsed))
        ]


def _stream(holder: pikepdf.Object, resources: pikepdf.Object, at: _Walk) -> Iterator[Painted]:
    depth = len(at.saved)
    if holder.objgen not in at.parsed:
        at.parsed[holder.objgen] = _instructions(holder)
    for operator, operands in at.parsed[holder.objgen]:
        if operator in _POINTS:
            at.steps.append((operator, operands))
        elif operator == "Do":
            yield from _do(operands[0], resources, at)
        elif operator in ("BDC", "BMC"):
            at.marked.append(_group(operands, resources))
        elif operator == "EMC":
            at.marked.pop()
        else:
            yield from _operate(operator, operands, resources, at)
    assert len(at.saved) == depth, "q and Q do not balance"


def _instructions(holder: pikepdf.Object) -> list[Instruction]:
    """A stream's operators with numbers as floats, names as text and the rest as they are."""
    return [
        (str(operator), tuple(map(_plain, operands)))
        for operator, operands in (
            (one.operator, one.operands) for one in pikepdf.parse_content_stream(holder)
        )
    ]


def _plain(operand: object) -> object:
    if isinstance(operand, int | float | Decimal):
        return float(operand)
    return str(operand) if isinstance(operand, pikepdf.Name) else operand


def _do(name: str, resources: pikepdf.Object, at: _Walk) -> Iterator[Painted]:
    inner = resources.XObject[name]
    if inner.Subtype == "/Image":
        yield _paint("image", at, (str(inner.get("/ColorSpace", "/None"))[1:], ""), ())
        return
    matrix = tuple(float(v) for v in inner.get("/Matrix", IDENTITY))
    state = replace(at.state, ctm=_times(matrix, at.state.ctm))
    deeper = _Walk(at.page, state, [], list(at.marked), [], (*at.forms, name), at.parsed)
    yield from _stream(inner, inner.Resources, deeper)


def _operate(
    operator: str, operands: tuple[Any, ...], resources: pikepdf.Object, at: _Walk
) -> Iterator[Painted]:
    state = at.state
    if operator == "q":
        at.saved.append(state)
    elif operator == "Q":
        at.state = at.saved.pop()
    elif operator == "cm":
        at.state = replace(state, ctm=_times(operands, state.ctm))
    elif operator == "w":
        at.state = replace(state, line_width=operands[0])
    elif operator == "gs":
        at.state = _with_state(state, resources.ExtGState[operands[0]])
    elif operator in ("cs", "CS"):
        key = "fill" if operator == "cs" else "stroke"
        at.state = replace(state, **{key: _space(operands[0], resources)})
    elif operator in ("sc", "scn"):
        at.state = replace(state, fill_amounts=operands)
    elif operator in ("SC", "SCN"):
        at.state = replace(state, stroke_amounts=operands)
    elif operator.lower() in _DEVICE:
        key = "fill" if operator.islower() else "stroke"
        device = (_DEVICE[operator.lower()], "")
        at.state = replace(state, **{key: device, f"{key}_amounts": operands})
    elif operator in ("Tj", "TJ", "'", '"'):
        yield _paint("text", at, state.fill, state.fill_amounts)
    elif operator == "sh":
        yield _paint("shading", at, ("shading", ""), ())
    elif operator in _FILLS or operator in _STROKES or operator == "n":
        if operator in _FILLS:
            yield _paint("fill", at, state.fill, state.fill_amounts)
        if operator in _STROKES:
            yield _paint("stroke", at, state.stroke, state.stroke_amounts)
        at.steps = []


def _paint(what: str, at: _Walk, space: tuple[str, str], amounts: tuple[float, ...]) -> Painted:
    group = next((g for g in reversed(at.marked) if g is not None), None)
    layer, step = group if isinstance(group, tuple) else ("", None)
    over = at.state.stroke_overprint if what == "stroke" else at.state.fill_overprint
    steps = tuple(at.steps) if what in ("fill", "stroke") else ()
    scale = abs(at.state.ctm[0] * at.state.ctm[3] - at.state.ctm[1] * at.state.ctm[2]) ** 0.5
    width = at.state.line_width * scale
    ctm = at.state.ctm
    return Painted(at.page, what, *space, amounts, over, layer, step, ctm, steps, at.forms, width)


def _group(operands: tuple[Any, ...], resources: pikepdf.Object) -> object:
    """(name, step) of an optional-content group; None for other marked content."""
    if operands[0] != "/OC":
        return None
    group = resources.Properties[operands[1]]
    metadata = group.get("/GTS_Metadata")
    step = None
    if metadata is not None:
        keys = ("/GTS_ProcStepsGroup", "/GTS_ProcStepsType")
        step = tuple(str(metadata.get(key, "/"))[1:] for key in keys)
    return str(group.Name), step


def _space(name: str, resources: pikepdf.Object) -> tuple[str, str]:
    if name in ("/DeviceGray", "/DeviceRGB", "/DeviceCMYK", "/Pattern"):
        return name[1:], ""
    space = resources.ColorSpace[name]
    family = str(space[0])[1:]
    return family, str(space[1])[1:] if family == "Separation" else ""


def _with_state(state: _State, given: pikepdf.Object) -> _State:
    stroke = bool(given.get("/OP", state.stroke_overprint))
    fill = bool(given.get("/op", given.get("/OP", state.fill_overprint)))
    return replace(state, stroke_overprint=stroke, fill_overprint=fill)


def _constructed(
    operator: str, operands: tuple[float, ...], ctm: Matrix
) -> list[tuple[str, np.ndarray]]:
    numbers = np.array(operands, dtype=np.float64)
    if operator == "re":
        x, y, w, h = numbers
        corners = np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
        mapped = _map(corners, ctm)
        lines = [("l", mapped[i : i + 1]) for i in (1, 2, 3)]
        return [("m", mapped[:1]), *lines, ("h", np.empty((0, 2)))]
    return [(operator, _map(numbers.reshape(-1, 2), ctm))]


def _map(points: np.ndarray, m: Matrix) -> np.ndarray:
    return points @ np.array([[m[0], m[1]], [m[2], m[3]]]) + (m[4], m[5])


def _times(m: tuple[float, ...], n: Matrix) -> Matrix:
    """The matrix that applies ``m`` first, then ``n``."""
    return (
        m[0] * n[0] + m[1] * n[2],
        m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2],
        m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4],
        m[4] * n[1] + m[5] * n[3] + n[5],
    )
