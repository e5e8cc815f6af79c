"""The 24-patch rendition chart as a target: published values, no markers."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

from livery.capture.model import Patch, Target
from livery.drawing import lab_colour

RENDITION_KEY = "rendition-24"
RENDITION_KEYS = (RENDITION_KEY, "rendition-24-older")
_SPREAD_SD = 0.5  # of one chart about the values published for all [source: rendition-spread]


@cache
def rendition_24(key: str = RENDITION_KEY) -> Target:
    """The chart, from its packaged values.

    Its maker changed its colours in November 2014: an older chart is nearly 1 ΔE00 off the newer
    one's values, so say which it is. Its frame reaches one gap beyond the patches on each side.
    Its corners, in order, are those by the dark-skin, bluish-green, black and white patches.

    Args:
        key: one of ``RENDITION_KEYS``: as made since then, or ``-older`` as made before.

    Source:
        [source: rendition-24] and [source: rendition-24-older]
    """
    place = resources.files("livery.data") / "targets" / f"{key}.toml"
    data = tomllib.loads(place.read_text("utf-8"))
    pitch, side, gap = data["pitch_mm"], data["patch_mm"], data["gap_mm"]
    columns = data["columns"]
    patches = tuple(
        Patch(
            entry["name"],
            gap + index % columns * pitch,
            gap + index // columns * pitch,
            side,
            side,
            lab_colour(entry["lab"]),
            True,
            _SPREAD_SD,
        )
        for index, entry in enumerate(data["patches"])
    )
    rows = len(patches) // columns
    return Target(key, columns * pitch + gap, rows * pitch + gap, (), patches)
