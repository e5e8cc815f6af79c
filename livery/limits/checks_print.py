"""Checks on what prints: smallest lettering and thinnest line, at the size they come out."""

from __future__ import annotations

from livery.limits.model import Rule
from livery.limits.reading import Reading
from livery.limits.scene import Placed, Scene
from livery.limits.values import number


def text_height_at_least(scene: Scene, rule: Rule) -> list[Reading]:
    """The smallest capitals of a decal are at least ``height`` high as placed."""
    limit = number(rule, "height")
    return [
        Reading(scene.subject(one), "its smallest capitals are {} high", height, limit, "mm", False)
        for one in scene.governed(rule)
        if (height := _as_placed(one, one.decal.smallest_text_mm)) is not None
    ]


def line_width_at_least(scene: Scene, rule: Rule) -> list[Reading]:
    """The thinnest line of a decal is at least ``width`` wide as placed."""
    limit = number(rule, "width")
    return [
        Reading(scene.subject(one), "its thinnest line is {} wide", width, limit, "mm", False)
        for one in scene.governed(rule)
        if (width := _as_placed(one, one.decal.thinnest_line_mm)) is not None
    ]


def _as_placed(placed: Placed, nominal_mm: float | None) -> float | None:
    return None if nominal_mm is None else nominal_mm * placed.scale
