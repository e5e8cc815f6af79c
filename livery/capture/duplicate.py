"""Whether a photograph is one already had: the same file, or a copy of the same picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.capture.photograph import Photograph, reduce_picture

_SIDE = 16  # squares a side whose steps in light are noted [source: workshop-choice]
_SEARCH_PX = 400  # longest side at which they are averaged [source: workshop-choice]


@dataclass(frozen=True, slots=True)
class Known:
    """A photograph already had.

    Attributes:
        fingerprint: as ``fingerprint_of`` gives it; "" when only the file is known.
    """

    name: str
    sha256: str
    fingerprint: str = ""


def fingerprint_of(photograph: Photograph) -> str:
    """Where the picture gets lighter from square to square, across and down, hexadecimal.

    Copies at other sizes, qualities and exposures have nearly the same; a photograph taken anew
    with the camera moved has not.

    Source:
        Differences of means as a mark of likeness [source: common-practice].
    """
    import cv2

    factor = max(1, max(photograph.size_px) // _SEARCH_PX)
    small = reduce_picture(np.ascontiguousarray(photograph.codes[..., 1]), factor)
    size = (_SIDE + 1, _SIDE + 1)
    squares = np.asarray(
        cv2.resize(small.astype(np.float32), size, interpolation=cv2.INTER_AREA), np.float64
    )
    across = np.diff(squares, axis=1)[:_SIDE] > 0.0
    down = np.diff(squares, axis=0)[:, :_SIDE] > 0.0
    return np.packbits(np.concatenate([across, down]).ravel()).tobytes().hex()


def nearest(photograph: Photograph, fingerprint: str, known: Sequence[Known]) -> tuple[float, str]:
    """The share of the fingerprint that differs from the likest known photograph, and its name.

    Returns:
        1 and "" when none is known.
    """
    found = [
        (0.0 if one.sha256 == photograph.sha256 else _share(fingerprint, one.fingerprint), one.name)
        for one in known
    ]
    return min(found, default=(1.0, ""), key=lambda pair: pair[0])


def _share(one: str, other: str) -> float:
    if len(one) != len(other):
        return 1.0
    return float(np.mean(_bits(one) != _bits(other)))


def _bits(text: str) -> NDArray[np.uint8]:
    return np.unpackbits(np.frombuffer(bytes.fromhex(text), np.uint8))
