"""Whether a photograph is one already had: the same file, or a copy of the same picture."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from livery.capture.photograph import Photograph
from livery.colour import Floats

# Every figure: [source: workshop-choice]
_SIDE = 16  # squares a side whose lightness is noted, a hexadecimal digit each
_REACH = 2.5  # standard deviations that the digits 0 to 15 span to either side
_AVERAGED_PX = 800  # longest side of what is averaged, about
_FINGERPRINT = re.compile(f"[0-9a-f]{{1,{_SIDE * _SIDE}}}")


@dataclass(frozen=True, slots=True)
class Known:
    """A photograph already had.

    Attributes:
        name: what people call it.
        sha256: of its file, hexadecimal.
        fingerprint: as ``fingerprint_of`` gives it; "" when only the file is known.
    """

    name: str
    sha256: str
    fingerprint: str = ""


def fingerprint_of(photograph: Photograph) -> str:
    """How light each square of the picture is against the rest, hexadecimal.

    Copies at other sizes, qualities and exposures have nearly the same; a photograph taken anew
    with the camera moved has not.

    Source:
        Means of squares as a mark of likeness [source: common-practice].
    """
    import cv2

    step = max(1, max(photograph.size_px) // _AVERAGED_PX)
    thinned = photograph.codes[::step, ::step, 1].astype(np.float32)
    means = cv2.resize(thinned, (_SIDE, _SIDE), interpolation=cv2.INTER_AREA)
    light = np.asarray(means, np.float64)
    away = (light - light.mean()) / max(float(light.std()), 1e-6)
    digits = np.round((np.clip(away / _REACH, -1.0, 1.0) + 1.0) * 7.5).astype(int)
    return "".join(f"{digit:x}" for digit in digits.ravel())


def nearest(photograph: Photograph, fingerprint: str, known: Sequence[Known]) -> tuple[float, str]:
    """How far the likest known photograph is from this one, 0 to 1, and its name.

    Args:
        photograph: this one.
        fingerprint: its own.
        known: at least one.
    """
    unlike = unlikeness(fingerprint, [one.fingerprint for one in known])
    unlike[[one.sha256 == photograph.sha256 for one in known]] = 0.0
    likest = int(np.argmin(unlike))
    return float(unlike[likest]), known[likest].name


def unlikeness(fingerprint: str, others: Sequence[str]) -> Floats:
    """How far pictures are from one by their fingerprints.

    Args:
        fingerprint: of the one.
        others: fingerprints of the n others.

    Returns:
        Mean difference of digits over the largest there is, 0 to 1, shape (n,), in their order; 1
        where either is no fingerprint or they are not as long.
    """
    found = np.ones(len(others))
    at = [i for i, one in enumerate(others) if len(one) == len(fingerprint) and is_fingerprint(one)]
    if at and is_fingerprint(fingerprint):
        own = _digits(fingerprint)
        rows = _digits("".join(others[i] for i in at)).reshape(len(at), len(own))
        found[at] = np.abs(rows - own).mean(axis=1) / 15.0
    return found


def is_fingerprint(text: str) -> bool:
    """Whether a text, from a file that anyone may have written, can be a fingerprint."""
    return _FINGERPRINT.fullmatch(text) is not None


def _digits(text: str) -> Floats:
    """The value of each hexadecimal digit, by its ASCII code, shape (n,)."""
    codes = np.frombuffer(text.encode("ascii"), np.uint8)
    return (codes & 15) + 9.0 * (codes >> 6)
