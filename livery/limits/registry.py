"""Every check by name: what decides it and which parameters it needs. The only such list."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from livery.limits import checks_along, checks_area, checks_item, checks_print
from livery.limits.model import Rule
from livery.limits.reading import Reading
from livery.limits.scene import Scene


class Check(StrEnum):
    """Names of checks, as rule books write them."""

    CONFINED_WITHIN = "confined-within"
    BEYOND_AT_LEAST = "beyond-at-least"
    SHORT_AT_LEAST = "short-at-least"
    CLEAR_OF_BAND = "clear-of-band"
    INSIDE_SURFACE = "inside-surface"
    CLEAR_OF_ZONE = "clear-of-zone"
    GAP_AT_LEAST = "gap-at-least"
    SHARE_OF_AREA_AT_MOST = "share-of-area-at-most"
    AREA_AT_MOST = "area-at-most"
    COUNT_AT_MOST = "count-at-most"
    SURFACES_ALLOWED = "surfaces-allowed"
    THICKNESS_AT_MOST = "thickness-at-most"
    TEXT_HEIGHT_AT_LEAST = "text-height-at-least"
    LINE_WIDTH_AT_LEAST = "line-width-at-least"
    DIMENSION_AT_MOST = "dimension-at-most"
    DIMENSION_SHARE_AT_MOST = "dimension-share-at-most"
    BY_EYE = "by-eye"


class Kind(StrEnum):
    """What a parameter holds."""

    LENGTH = "length"
    AREA = "area"
    SHARE = "share"
    COUNT = "count"
    DATUM = "datum"
    DIMENSION = "dimension"
    PER_DECAL = "decal, surface or item"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class CheckSpec:
    """How a check is decided.

    Attributes:
        decide: measures a scene against a rule; None where only people can decide.
        needs, may: parameters it must and may have, by kind.
    """

    decide: Callable[[Scene, Rule], list[Reading]] | None
    needs: Mapping[str, Kind] = field(default_factory=dict)
    may: Mapping[str, Kind] = field(default_factory=dict)


CHECKS: Mapping[Check, CheckSpec] = {
    Check.CONFINED_WITHIN: CheckSpec(
        checks_along.confined_within,
        {"datum": Kind.DATUM, "within": Kind.LENGTH},
        {"within_loose": Kind.LENGTH},
    ),
    Check.BEYOND_AT_LEAST: CheckSpec(
        checks_along.beyond_at_least, {"datum": Kind.DATUM, "gap": Kind.LENGTH}
    ),
    Check.SHORT_AT_LEAST: CheckSpec(
        checks_along.short_at_least, {"datum": Kind.DATUM, "gap": Kind.LENGTH}
    ),
    Check.CLEAR_OF_BAND: CheckSpec(
        checks_along.clear_of_band,
        {"datum": Kind.DATUM, "near": Kind.LENGTH, "far": Kind.LENGTH},
    ),
    Check.INSIDE_SURFACE: CheckSpec(checks_area.inside_surface, {"gap": Kind.LENGTH}),
    Check.CLEAR_OF_ZONE: CheckSpec(
        checks_area.clear_of_zone, {"gap": Kind.LENGTH}, {"zone": Kind.WORDS}
    ),
    Check.GAP_AT_LEAST: CheckSpec(checks_area.gap_at_least, {"gap": Kind.LENGTH}),
    Check.SHARE_OF_AREA_AT_MOST: CheckSpec(
        checks_area.share_of_area_at_most, {"share": Kind.SHARE}
    ),
    Check.AREA_AT_MOST: CheckSpec(
        checks_area.area_at_most, {"area": Kind.AREA}, {"per": Kind.PER_DECAL}
    ),
    Check.COUNT_AT_MOST: CheckSpec(
        checks_area.count_at_most, {"count": Kind.COUNT}, {"per": Kind.PER_DECAL}
    ),
    Check.SURFACES_ALLOWED: CheckSpec(checks_area.surfaces_allowed, {}, {"kinds": Kind.WORDS}),
    Check.THICKNESS_AT_MOST: CheckSpec(
        checks_area.thickness_at_most,
        {"thickness": Kind.LENGTH},
        {"thickness_loose": Kind.LENGTH},
    ),
    Check.TEXT_HEIGHT_AT_LEAST: CheckSpec(
        checks_print.text_height_at_least, {"height": Kind.LENGTH}
    ),
    Check.LINE_WIDTH_AT_LEAST: CheckSpec(checks_print.line_width_at_least, {"width": Kind.LENGTH}),
    Check.DIMENSION_AT_MOST: CheckSpec(
        checks_item.dimension_at_most,
        {"dimension": Kind.DIMENSION, "at_most": Kind.LENGTH},
        {"at_most_loose": Kind.LENGTH},
    ),
    Check.DIMENSION_SHARE_AT_MOST: CheckSpec(
        checks_item.dimension_share_at_most,
        {"part": Kind.DIMENSION, "whole": Kind.DIMENSION, "share": Kind.SHARE},
        {"except_sizes": Kind.WORDS},
    ),
    Check.BY_EYE: CheckSpec(None),
}
