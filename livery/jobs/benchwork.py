"""A photograph at the bench: what was pointed at in it measured, judged, kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from livery.capture import measure_photograph, read_photograph
from livery.capture.model import Capture, Region, Target
from livery.capture.rails import is_rails
from livery.errors import Fault, InputError
from livery.jobs.photographs import compare_in_season, parse_corners
from livery.jobs.position import regions_of_item
from livery.jobs.recordkeeping import Kept, keep_measured
from livery.match import match_drawing
from livery.match.model import Comparison, Verdict, all_pass, name_items, tally_verdicts
from livery.output import render_svg
from livery.placement import Layout
from livery.records.canonical import sha256
from livery.records.history import Occasion
from livery.records.store import Store
from livery.scheme.model import ItemKind, Scheme

LEAST_SIDE_PX = 4.0  # of a region pointed at by hand; workshop choice
MOST_REGIONS = 60  # workshop choice


@dataclass(frozen=True, slots=True)
class Spot:
    """A rectangle pointed at in a photograph: what it shows, and where in px."""

    item: str
    ink: str
    x_px: float
    y_px: float
    w_px: float
    h_px: float


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """What a photograph says of the kit in it.

    Attributes:
        picture: the verdicts as SVG.
    """

    capture: Capture
    comparisons: tuple[Comparison, ...]
    picture: str

    @property
    def summary(self) -> str:
        """The verdict in a few words."""
        if not self.capture.photo_ok:
            return "Photograph it again: it is no evidence as it is."
        if not (self.comparisons or self.capture.refused_regions):
            return "Nothing was measured: mark at least one region."
        return {
            Verdict.FAIL: "It does not match.",
            Verdict.RESHOOT: "No verdict on part of it: photograph it again as advised below.",
            Verdict.PASS: "It matches.",
        }[self.verdict]

    @property
    def worst_first(self) -> tuple[Comparison, ...]:
        """What fails, then what is undecided, then what passes; each in its own order."""
        gravity = (Verdict.FAIL, Verdict.RESHOOT, Verdict.PASS)
        return tuple(sorted(self.comparisons, key=lambda one: gravity.index(one.verdict)))

    @property
    def verdict(self) -> Verdict:
        """Of the whole: a pass only where all that was pointed at was judged and passed."""
        counts = tally_verdicts(self.comparisons)
        if counts[Verdict.FAIL]:
            return Verdict.FAIL
        judged = self.capture.photo_ok and not self.capture.refused_regions
        passed = judged and all_pass(self.comparisons)
        return Verdict.PASS if passed else Verdict.RESHOOT


def named_layouts(layouts: Sequence[Layout], target: Target) -> tuple[Layout, ...]:
    """The items whose regions a photograph names by itself: bats, on a target of rails."""
    if not is_rails(target):
        return ()
    return tuple(layout for layout in layouts if layout.item.kind is ItemKind.BAT)


def judge_named(scheme: Scheme, layout: Layout, photo: Path, target: Target) -> Judged:
    """Find a bat's face between rails, measure every ink of its decals and compare it.

    Raises:
        PhotographError: it cannot be read.
        TargetError: the target is no rails, or the blade was not found; the text says why.
    """
    decoded = read_photograph(photo)
    regions, lie = regions_of_item(decoded, target, scheme, layout)
    return _judge(scheme, measure_photograph(decoded, lie, regions))


def judge_photograph(
    scheme: Scheme, photo: Path, target: Target, corners_text: str, spots: Sequence[Spot]
) -> Judged:
    """Measure what was pointed at and compare it.

    Raises:
        PhotographError, TargetError: what was given is wrong.
        InputError: a region is too small, or names what the season has not; or they are too many.
    """
    if len(spots) > MOST_REGIONS:
        found, mend = f"{len(spots)} regions", f"Mark at most {MOST_REGIONS} at a time"
        raise InputError(Fault("regions", "", None, found, mend))
    regions = [make_region(scheme, spot, number) for number, spot in enumerate(spots)]
    decoded = read_photograph(photo)
    return _judge(scheme, measure_photograph(decoded, target, regions, _corners(corners_text)))


def _judge(scheme: Scheme, capture: Capture) -> Judged:
    comparisons = compare_in_season(scheme, [capture])
    named = name_items(comparisons, scheme.item_titles)
    picture = render_svg(match_drawing(named, scheme.palette))
    return Judged(capture, comparisons, picture)


def keep_judged(store: Store, photo: Path, judged: Judged, occasion: Occasion) -> Kept:
    """Keep a judged photograph with its verdicts."""
    data = photo.read_bytes()
    name = f"{occasion.bat} {sha256(data)[:12]}"
    return keep_measured(store, (name, data), judged.capture, judged.comparisons, occasion)


def item_choices(scheme: Scheme, order_key: str) -> tuple[tuple[str, str], ...]:
    """(key, name) of the items an order holds, or of the whole season for an unknown order."""
    names = scheme.item_titles
    order = scheme.order(order_key)
    own = [key for key, _ in order.items] if order is not None else []
    return tuple((key, names[key]) for key in dict.fromkeys(own or names))


def make_region(scheme: Scheme, spot: Spot, number: int) -> Region:
    """A rectangle pointed at as a region to measure, named for people.

    Raises:
        InputError: it is too small, or names what the season has not.
    """
    place = f"region {number + 1}"
    if spot.ink not in scheme.palette.keys:
        known = ", ".join(sorted(scheme.palette.keys))
        fault = Fault(place, "ink", None, f"no ink {spot.ink[:40]!r}", f"Choose of {known}")
        raise InputError(fault)
    items = {key for key, _ in item_choices(scheme, "")}
    if spot.item not in items:
        known = ", ".join(sorted(items))
        fault = Fault(place, "item", None, f"no item {spot.item[:40]!r}", f"Choose of {known}")
        raise InputError(fault)
    numbers = np.array([spot.x_px, spot.y_px, spot.w_px, spot.h_px])
    if not np.isfinite(numbers).all() or min(spot.w_px, spot.h_px) < LEAST_SIDE_PX:
        mend = f"Make it at least {LEAST_SIDE_PX:g} px wide and high"
        raise InputError(Fault(place, "", None, "it is too small to measure", mend))
    x0, y0, x1, y1 = spot.x_px, spot.y_px, spot.x_px + spot.w_px, spot.y_px + spot.h_px
    ring = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    ink, item = scheme.palette.ink(spot.ink).name, scheme.item_titles[spot.item]
    return Region(f"{item}, {ink}, region {number + 1}", spot.ink, spot.item, None, ring)


def _corners(text: str) -> np.ndarray | None:
    return parse_corners(text) if text.strip() else None
