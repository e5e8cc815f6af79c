"""The 24-patch rendition chart as a target: published values, no markers."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

from livery.capture.model import Patch, Target

RENDITION_KEY = "rendition-24"


@cache
def rendition_24() -> Target:
    """The chart, from its packaged values.

    Its frame reaches one gap beyond the patches on each side. Its corners, in order, are those
    by the dark-skin, bluish-green, black and white patches.

    Source:
        [source: rendition-24]
    """
    place = resources.files("livery.data") / "targets" / "rendition-24.toml"
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
            (entry["lab"][0], entry["lab"][1], entry["lab"][2]),
            True,
        )
        for index, entry in enumerate(data["patches"])
    )
    rows = len(patches) // columns
    return Target(RENDITION_KEY, columns * pitch + gap, rows * pitch + gap, (), patches)
