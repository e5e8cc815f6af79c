"""OpenCV's dictionaries of markers: what they are called, and which squares a marker is made of."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

_PUNCTUATION = re.compile("[^A-Z0-9]")


def spell_dictionary(name: str) -> str | None:
    """A marker dictionary's name as OpenCV spells it, or None.

    Case, dashes and the prefix ``DICT_`` are free, and a ``tag36h11`` is an ``APRILTAG_36h11``.
    """
    plain = _PUNCTUATION.sub("", name.upper()).removeprefix("DICT").removeprefix("ARUCO")
    known = _names()
    return known.get(plain) or known.get("APRIL" + plain) or known.get("ARUCO" + plain)


def dictionary_names() -> list[str]:
    """All of OpenCV's names, sorted."""
    return sorted(set(_names().values()))


@cache
def _names() -> dict[str, str]:
    """OpenCV's names by their bare letters; of two spellings the later, ``36h11``, stays."""
    import cv2

    names = sorted(name for name in dir(cv2.aruco) if name.startswith("DICT_"))
    return {_PUNCTUATION.sub("", name.upper()).removeprefix("DICT"): name for name in names}


def find_dictionary(name: str) -> Any:
    """OpenCV's dictionary of a name as it spells it."""
    import cv2

    return cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, name))


def marker_count(name: str) -> int:
    """How many markers a dictionary has; their ids begin at 0."""
    return len(find_dictionary(name).bytesList)


def marker_modules(name: str, marker_id: int) -> NDArray[np.bool_]:
    """A marker's squares, true where black, its border included; shape (n, n), top row first.

    Args:
        name: of the dictionary, as OpenCV spells it.
        marker_id: index into it.
    """
    dictionary = find_dictionary(name)
    image = dictionary.generateImageMarker(marker_id, dictionary.markerSize + 2)
    return np.asarray(image) < 128
