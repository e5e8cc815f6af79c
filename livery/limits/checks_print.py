"""Checks on what prints: smallest lettering and thinnest line, at the size they come out."""

from __future__ import annotations

from livery.limits.model import Rule
from livery.limits.reading import Reading
from livery.limits.scene import Placed, Scene
from livery.limits.values import length


def text_height_at_least(scene: Scene, rule: Rule) -> list[Reading]:
    """The smallest capitals of a decal are at least ``height`` high as placed."""
    limit = length(rule, "height")
    return [
        Reading(scene.subject(one), "its smallest capitals are {} high", height, limit, "mm", False)
        for one in scene.governed(rule)
        if (height := smallest_text_mm(one)) is not None
    ]


def line_width_at_least(scene: Scene, rule: Rule) -> list[Reading]:
    """The thinnest line of a decal is at least ``width`` wide as placed."""
    limit = length(rule, "width")
    return [
        Reading(scene.subject(one), "its thinnest line is {} wide", width, limit, "mm", False)
        for one in scene.governed(rule)
        if (width := thinnest_line_mm(one)) is not None
    ]


def smallest_text_mm(placed: Placed) -> float | None:
    """Height of the smallest capitals as placed, or None without lettering."""
    heights = [r.text_height_mm for r in placed.decal.regions if r.text_height_mm is not None]
    return min(heights) * placed.scale if heights else None


def thinnest_line_mm(placed: Placed) -> float | None:
    """Width of the thinnest line as placed, or None without lines."""
    widths = [r.thinnest_mm for r in placed.decal.regions if r.thinnest_mm is not None]
    return min(widths) * placed.scale if widths else None
