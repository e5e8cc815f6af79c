"""Path data written short: steps from point to point in whole micrometres.

Source:
    path data, 9.3 [source: svg-2]; a micrometre is far below what prints
    [source: workshop-choice]
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from livery.geometry import POINTS_PER_VERB, Path

_PER_MM = 1000


@lru_cache(maxsize=512)
def short_d(path: Path) -> str:
    """A path as SVG path data with relative steps; rounding never adds up along the path."""
    texts = [_number(step) for step in _steps(path)]
    apart = [text if text[0] == "-" else " " + text for text in texts]
    written: list[str] = []
    last, first = "", 0
    for verb in path.verbs:
        letter = verb if verb == "M" else verb.lower()
        following = first + 2 * POINTS_PER_VERB[verb]
        if letter == last and letter in "lc":
            written += apart[first:following]
        else:
            written.append(letter)
            written += texts[first : min(first + 1, following)]
            written += apart[first + 1 : following]
        last, first = letter, following
    return "".join(written)


def _steps(path: Path) -> list[int]:
    """Every point's step in µm from where its command begins; from the origin for a move."""
    points = np.rint(path.points * _PER_MM).astype(np.int64)
    known = np.vstack([points, np.zeros((1, 2), np.int64)])  # the last stands for the origin
    steps: list[int] = (points - known[path.origins()]).ravel().tolist()
    return steps


@lru_cache(maxsize=1 << 14)
def _number(thousandths: int) -> str:
    sign = "-" if thousandths < 0 else ""
    whole, part = divmod(abs(thousandths), _PER_MM)
    fraction = f".{part:03d}".rstrip("0") if part else ""
    return f"{sign}{whole or ''}{fraction}" if whole or part else "0"
