"""Path data written short: steps from point to point in whole micrometres.

Source:
    path data, 9.3 [source: svg-2]; a micrometre is far below what prints
    [source: workshop-choice]
"""

from __future__ import annotations

import numpy as np

from livery.geometry import Path

_PER_MM = 1000
_POINTS = {"M": 1, "L": 1, "C": 3, "Z": 0}


def short_d(path: Path) -> str:
    """A path as SVG path data with relative steps; rounding never adds up along the path."""
    points = np.rint(path.points * _PER_MM).astype(np.int64).tolist()
    written: list[str] = []
    at, start, last, first = (0, 0), (0, 0), "", 0
    for verb in path.verbs:
        if verb == "Z":
            written.append("z")
            at, last = start, "z"
            continue
        group = points[first : first + _POINTS[verb]]
        first += _POINTS[verb]
        origin = (0, 0) if verb == "M" else at
        letter = verb if verb == "M" else verb.lower()
        steps = [_number(p[axis] - origin[axis]) for p in group for axis in (0, 1)]
        written.append(_joined(steps, "" if letter == last != "M" else letter))
        at, last = (group[-1][0], group[-1][1]), letter
        start = at if verb == "M" else start
    return "".join(written)


def _joined(numbers: list[str], letter: str) -> str:
    """Numbers with the least between them; without a letter they follow others."""
    text = letter
    for number in numbers:
        apart = "" if number.startswith("-") or text == letter != "" else " "
        text += apart + number
    return text


def _number(thousandths: int) -> str:
    sign = "-" if thousandths < 0 else ""
    whole, part = divmod(abs(thousandths), _PER_MM)
    fraction = f".{part:03d}".rstrip("0") if part else ""
    return f"{sign}{whole or ''}{fraction}" if whole or part else "0"
