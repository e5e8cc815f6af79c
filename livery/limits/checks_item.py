"""Checks on a bat's own dimensions."""

from __future__ import annotations

from livery.limits.model import Rule
from livery.limits.reading import Reading
from livery.limits.scene import Scene
from livery.limits.values import number, optional_number, word, words
from livery.scheme.model import BladeDims


def dimension_at_most(scene: Scene, rule: Rule) -> list[Reading]:
    """A bat's ``dimension`` is at most ``at_most``."""
    if scene.item.dims is None:
        return []
    name = word(rule, "dimension")
    return [
        Reading(
            scene.name,
            f"the {DIMENSIONS[name]} is {{}}",
            dimension_mm(scene.item.dims, name),
            number(rule, "at_most"),
            "mm",
            at_most=True,
            loose=optional_number(rule, "at_most_loose"),
        )
    ]


def dimension_share_at_most(scene: Scene, rule: Rule) -> list[Reading]:
    """A bat's ``part`` is at most ``share`` of its ``whole``, but for ``except_sizes``."""
    dims = scene.item.dims
    if dims is None or scene.item.size in words(rule, "except_sizes"):
        return []
    part, whole = word(rule, "part"), word(rule, "whole")
    share = 100.0 * dimension_mm(dims, part) / dimension_mm(dims, whole)
    what = f"the {DIMENSIONS[part]}'s share of the {DIMENSIONS[whole]} is {{}}"
    limit = 100.0 * number(rule, "share")
    return [Reading(scene.name, what, share, limit, "%", at_most=True)]


DIMENSIONS = {
    "overall-length": "overall length",
    "blade-length": "length of the blade",
    "exposed-handle": "handle",
    "grip-below-entry": "grip below the handle's entry",
    "width": "width of the blade",
    "edge-thickness": "thickness of the edge",
    "spine-height": "depth of the blade",
}
"""Dimensions that a rule may name, and how people say them."""


def dimension_mm(dims: BladeDims, name: str) -> float:
    """A dimension by the name that rules use."""
    return float(getattr(dims, name.replace("-", "_")))
