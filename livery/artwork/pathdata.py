"""SVG path data to exact paths: every command of the grammar, arcs as cubics.

Source: svg-2 (9.3 path data, B.2.4 arcs from end points to centre).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

import numpy as np

from livery.artwork.values import NUMBER, parse_numbers
from livery.geometry import FillRule, Path

Point = tuple[float, float]

MAX_COMMANDS = 50_000
"""Most path commands in an artwork, counting each ``use`` (workshop choice)."""

_COMMANDS = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])([^MmZzLlHhVvCcSsQqTtAa]*)")
_STRAY = re.compile(r"[^MmZzLlHhVvCcSsQqTtAaEe\d\s,.+-]", re.ASCII)
_GAP = r"[\s,]*+"
_ARC = re.compile(
    _GAP.join(["", *[f"({NUMBER})"] * 3, "([01])", "([01])", f"({NUMBER})", f"({NUMBER})", ""]),
    re.ASCII,
)
_ARITY = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_ARC_STEP = math.pi / 4  # an eighth of a circle a cubic: true to 4e-6 of the radius (svg-2)


def parse_path_data(d: str, rule: FillRule = FillRule.NONZERO) -> Path:
    """Read a ``d`` attribute.

    Args:
        d: path data as SVG 2 writes it.
        rule: the fill rule the path shall carry.

    Returns:
        The path in user units; quadratics are raised to cubics exactly.

    Raises:
        ValueError: anything but path data; the text quotes what was found.
    """
    if stray := _STRAY.search(d):
        found = d[stray.start() : stray.start() + 20].partition(" ")[0]
        raise ValueError(f"path data holds {found!r}, which is no command and no number")
    tracer = Tracer()
    lead = d[: match.start()] if (match := _COMMANDS.search(d)) else d
    if lead.strip():
        raise ValueError(f"path data starts with {lead.strip()[:20]!r}, not with M")
    for command in _COMMANDS.finditer(d):
        _trace(tracer, command[1], command[2])
    return tracer.path(rule)


def _trace(tracer: Tracer, letter: str, operands: str) -> None:
    verb, relative = letter.upper(), letter.islower()
    if not tracer.verbs and verb != "M":
        raise ValueError(f"path data starts with {letter}, not with M")
    for index, numbers in enumerate(_groups(verb, operands)):
        if len(tracer.verbs) > MAX_COMMANDS:
            raise ValueError(
                f"path data holds more than {MAX_COMMANDS} commands. Simplify the path"
            )
        step = "L" if verb == "M" and index else verb
        tracer.step(step, numbers, relative)


def _groups(verb: str, operands: str) -> Iterator[tuple[float, ...]]:
    """The operands of a command in sets of its arity; a lone Z has one empty set."""
    values = _arc_values(operands) if verb == "A" else parse_numbers(operands)
    arity = _ARITY[verb]
    if not arity:
        if values:
            raise ValueError(f"Z takes no numbers, found {operands.strip()[:20]!r}")
        yield ()
        return
    if not values or len(values) % arity:
        raise ValueError(f"{verb} takes {arity} numbers at a time, found {len(values)}")
    for start in range(0, len(values), arity):
        yield tuple(values[start : start + arity])


def _arc_values(operands: str) -> list[float]:
    """Arc operands; the two flags may stand without separators."""
    values: list[float] = []
    operands, position = operands.strip(), 0
    while position < len(operands):
        match = _ARC.match(operands, position)
        if match is None:
            raise ValueError(f"arc cannot be read at {operands[position : position + 30]!r}")
        values += parse_numbers(" ".join(match.groups()))
        position = match.end()
    return values


class Tracer:
    """Builds a path command by command, keeping what relative and smooth commands need."""

    def __init__(self) -> None:
        self.verbs: list[str] = []
        self.points: list[Point] = []
        self._start: Point = (0.0, 0.0)
        self._at: Point = (0.0, 0.0)
        self._cubic: Point | None = None
        self._quadratic: Point | None = None

    def path(self, rule: FillRule = FillRule.NONZERO) -> Path:
        """What was traced."""
        points = np.array(self.points, dtype=np.float64).reshape(-1, 2)
        return Path("".join(self.verbs), points, rule)

    def step(self, verb: str, n: tuple[float, ...], relative: bool = False) -> None:
        """One command with its numbers."""
        ox, oy = self._at if relative else (0.0, 0.0)
        if verb == "A":
            self.arc((n[0], n[1]), n[2], bool(n[3]), bool(n[4]), (n[5] + ox, n[6] + oy))
        elif verb == "H":
            self._line((n[0] + ox, self._at[1]))
        elif verb == "V":
            self._line((self._at[0], n[0] + oy))
        else:
            pairs = [(n[i] + ox, n[i + 1] + oy) for i in range(0, len(n), 2)]
            self._pairs(verb, pairs)

    def _pairs(self, verb: str, p: list[Point]) -> None:
        if verb == "M":
            self._move(p[0])
        elif verb == "L":
            self._line(p[0])
        elif verb == "C":
            self._curve(p[0], p[1], p[2])
        elif verb == "S":
            self._curve(_mirror(self._cubic, self._at), p[0], p[1])
        elif verb == "Q":
            self._quadratic_to(p[0], p[1])
        elif verb == "T":
            self._quadratic_to(_mirror(self._quadratic, self._at), p[0])
        else:
            self._close()

    def _move(self, to: Point) -> None:
        self._add("M", to)
        self._start = to

    def _line(self, to: Point) -> None:
        self._reopen()
        self._add("L", to)

    def _curve(self, first: Point, second: Point, to: Point) -> None:
        self._reopen()
        self._add("C", first, second, to)
        self._cubic = second

    def _quadratic_to(self, control: Point, to: Point) -> None:
        at = self._at
        first = ((at[0] + 2 * control[0]) / 3, (at[1] + 2 * control[1]) / 3)
        second = ((to[0] + 2 * control[0]) / 3, (to[1] + 2 * control[1]) / 3)
        self._curve(first, second, to)
        self._cubic, self._quadratic = None, control

    def _close(self) -> None:
        if self.verbs[-1] != "Z":
            self._add("Z")
            self._at = self._start

    def _reopen(self) -> None:
        """Drawing on after a close starts a new subpath where the last one started."""
        if self.verbs[-1] == "Z":
            self._add("M", self._start)

    def _add(self, verb: str, *points: Point) -> None:
        self.verbs.append(verb)
        self.points.extend(points)
        self._cubic = self._quadratic = None
        if points:
            self._at = points[-1]

    def arc(self, radii: Point, rotation_deg: float, large: bool, sweep: bool, to: Point) -> None:
        """An elliptical arc from the current point, as cubics of at most an eighth turn.

        Source: svg-2 (B.2.4, B.2.5: radii too small are grown, a zero radius is a line).
        """
        rx, ry = abs(radii[0]), abs(radii[1])
        if self._at == to:
            return
        if rx < 1e-9 or ry < 1e-9:
            self._line(to)
            return
        phi = math.radians(rotation_deg)
        centre, rx, ry, start, turn = _centre_form(self._at, to, rx, ry, phi, large, sweep)
        count = max(1, math.ceil(abs(turn) / _ARC_STEP - 1e-9))
        for index in range(count):
            first = start + turn * index / count
            last = start + turn * (index + 1) / count
            a, b, end = _eighth(centre, rx, ry, phi, first, last)
            self._curve(a, b, to if index == count - 1 else end)


def _mirror(control: Point | None, at: Point) -> Point:
    return at if control is None else (2 * at[0] - control[0], 2 * at[1] - control[1])


def _centre_form(
    p: Point, q: Point, rx: float, ry: float, phi: float, large: bool, sweep: bool
) -> tuple[Point, float, float, float, float]:
    """Centre, grown radii, start angle and turn (radians) of an arc given by its ends."""
    cos, sin = math.cos(phi), math.sin(phi)
    dx, dy = (p[0] - q[0]) / 2, (p[1] - q[1]) / 2
    x, y = cos * dx + sin * dy, -sin * dx + cos * dy
    grow = math.sqrt(max(1.0, (x / rx) ** 2 + (y / ry) ** 2))
    rx, ry = rx * grow, ry * grow
    below = (rx * y) ** 2 + (ry * x) ** 2
    root = math.sqrt(max(0.0, (rx * ry) ** 2 / below - 1.0)) * (-1 if large == sweep else 1)
    cx, cy = root * rx * y / ry, -root * ry * x / rx
    start = math.atan2((y - cy) / ry, (x - cx) / rx)
    turn = math.atan2((-y - cy) / ry, (-x - cx) / rx) - start
    if sweep and turn < 0:
        turn += 2 * math.pi
    elif not sweep and turn > 0:
        turn -= 2 * math.pi
    middle = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
    centre = (cos * cx - sin * cy + middle[0], sin * cx + cos * cy + middle[1])
    return centre, rx, ry, start, turn


def _eighth(
    centre: Point, rx: float, ry: float, phi: float, first: float, last: float
) -> tuple[Point, Point, Point]:
    k = 4 / 3 * math.tan((last - first) / 4)
    cos, sin = math.cos(phi), math.sin(phi)

    def place(u: float, v: float) -> Point:
        x, y = rx * u, ry * v
        return centre[0] + cos * x - sin * y, centre[1] + sin * x + cos * y

    c1, s1, c2, s2 = math.cos(first), math.sin(first), math.cos(last), math.sin(last)
    return place(c1 - k * s1, s1 + k * c1), place(c2 + k * s2, s2 - k * c2), place(c2, s2)
