"""A photograph at the bench: taken in, looked at, judged, kept."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

import numpy as np

from livery.capture import Photograph, measure_photograph, read_photograph
from livery.capture.model import Capture, Region, Target
from livery.capture.preview import Preview, make_preview
from livery.capture.rails import is_rails
from livery.errors import Fault, InputError, PhotographError
from livery.jobs.hands import Hands
from livery.jobs.photographs import compare_in_season, parse_corners
from livery.jobs.position import regions_of_item
from livery.jobs.recordkeeping import PHOTOGRAPHS, Kept, keep_measured
from livery.match import match_drawing
from livery.match.model import Comparison, Verdict
from livery.output import render_svg
from livery.placement import Layout
from livery.records.canonical import sha256
from livery.records.evidence import EvidenceFolder, kind_of
from livery.records.history import Occasion
from livery.records.store import Store
from livery.scheme.model import ItemKind, Scheme
from livery.writing import write_whole

MOST_WAITING = 60  # photographs looked at and not kept; workshop choice
LEAST_SIDE_PX = 4.0  # of a region pointed at by hand; workshop choice
MOST_REGIONS = 60  # workshop choice
_REMEMBERED = 64  # what gates said, of photographs looked at last; workshop choice


@dataclass(frozen=True, slots=True)
class Waiting:
    """A photograph taken in and not yet kept.

    Attributes:
        digest: SHA-256 of its bytes.
        width_px, height_px: as EXIF turns it.
    """

    digest: str
    width_px: int
    height_px: int


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
        if not all(gate.ok for gate in self.capture.gates if not gate.region):
            return "Photograph it again: it is no evidence as it is."
        if not self.comparisons:
            return "Nothing was measured: mark at least one region."
        counts = {v: sum(c.verdict is v for c in self.comparisons) for v in Verdict}
        if counts[Verdict.FAIL]:
            return "It does not match."
        if counts[Verdict.RESHOOT]:
            return "No verdict on part of it: photograph it again as advised below."
        return "It matches."


class Shelf:
    """Photographs taken in and not yet kept; the oldest make room for new ones.

    Args:
        folder: of the season's records.
        hands: who does the image work.
    """

    def __init__(self, folder: Path, hands: Hands) -> None:
        self._hands = hands
        self._files = EvidenceFolder(folder / "waiting")
        self._seen: dict[tuple[str, Target, str], Capture] = {}
        self._clearing = Lock()

    def take_in(self, data: bytes, name: str, target: Target) -> Waiting:
        """Take a photograph in, make its preview and judge it by its gates, decoding it once.

        Raises:
            PhotographError: its content is no photograph, whatever its name says.
        """
        if kind_of(data) not in PHOTOGRAPHS:
            fault = Fault(name[:80], "", None, "not a photograph", "Choose a JPEG, PNG or TIFF")
            raise PhotographError(fault)
        digest = self._files.keep(data)
        path = self._files.path_of(digest)
        try:
            preview, capture = self._hands.do(examine, path, target)
        except PhotographError:
            path.unlink(missing_ok=True)
            raise
        size = {"width": preview.width_px, "height": preview.height_px}
        write_whole(path.with_name(f"{digest}.jpg"), preview.jpeg)
        write_whole(path.with_name(f"{digest}.json"), json.dumps(size))
        self._remember((digest, target, ""), capture)
        self._make_room()
        return Waiting(digest, preview.width_px, preview.height_px)

    def find(self, digest: str) -> Waiting:
        """A photograph taken in earlier.

        Raises:
            InputError: there is none of that SHA-256.
        """
        path = self._files.path_of(digest)
        try:
            size = json.loads(path.with_name(f"{digest}.json").read_text("utf-8"))
        except OSError as error:
            fault = Fault("photograph", digest[:12], None, "it is gone", "Take it in again")
            raise InputError(fault) from error
        return Waiting(digest, int(size["width"]), int(size["height"]))

    def path_of(self, digest: str) -> Path:
        """Where a photograph waits."""
        return self._files.path_of(self.find(digest).digest)

    def preview(self, digest: str) -> bytes:
        """The small JPEG of a photograph."""
        return self.path_of(digest).with_name(f"{digest}.jpg").read_bytes()

    def look_at(self, digest: str, target: Target, corners_text: str = "") -> Capture:
        """What a photograph's gates say; at once where it was just taken in.

        Raises:
            PhotographError, TargetError: what was given is wrong.
        """
        path, key = self.path_of(digest), (digest, target, corners_text.strip())
        known = self._seen.get(key)
        if known is not None:
            return known
        return self._remember(key, self._hands.do(look_again, path, target, corners_text))

    def _remember(self, key: tuple[str, Target, str], capture: Capture) -> Capture:
        self._seen[key] = capture
        for old in list(self._seen)[:-_REMEMBERED]:
            self._seen.pop(old, None)
        return capture

    def _make_room(self) -> None:
        with self._clearing:
            photos = [p for p in self._files.root.glob("*/*") if len(p.name) == 64]
            photos.sort(key=_age_ns)
            for path in photos[MOST_WAITING:]:
                for end in ("", ".jpg", ".json"):
                    path.with_name(f"{path.name}{end}").unlink(missing_ok=True)


def _age_ns(path: Path) -> int:
    """By which the newest come first; a file just taken away by another comes last."""
    try:
        return -path.stat().st_mtime_ns
    except OSError:
        return 0


def examine(photo: Path, target: Target) -> tuple[Preview, Capture]:
    """A photograph's preview and what its gates say, decoding it once.

    Raises:
        PhotographError: it cannot be read.
    """
    photograph = read_photograph(photo)
    return make_preview(photograph), measure_photograph(photograph, target)


def look_again(photo: Path, target: Target, corners_text: str) -> Capture:
    """What a photograph's gates say, the target's corners pointed at or looked for.

    Raises:
        PhotographError, TargetError: what was given is wrong.
    """
    return measure_photograph(read_photograph(photo), target, (), _corners(corners_text))


def look_at_nothing(target: Target) -> None:
    """Look for a target in a blank picture, so that everything it takes is loaded."""
    blank = np.full((64, 64, 3), 128, dtype=np.uint8)
    measure_photograph(Photograph("", blank, None, ""), target)


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
        InputError: a region is too small, or names what the season has not.
    """
    regions = [_region(scheme, spot, number) for number, spot in enumerate(spots[:MOST_REGIONS])]
    decoded = read_photograph(photo)
    return _judge(scheme, measure_photograph(decoded, target, regions, _corners(corners_text)))


def _judge(scheme: Scheme, capture: Capture) -> Judged:
    comparisons = compare_in_season(scheme, [capture])
    picture = render_svg(match_drawing(comparisons, scheme.palette))
    return Judged(capture, comparisons, picture)


def keep_judged(store: Store, photo: Path, judged: Judged, occasion: Occasion) -> Kept:
    """Keep a judged photograph with its verdicts."""
    data = photo.read_bytes()
    name = f"{occasion.bat} {sha256(data)[:12]}"
    return keep_measured(store, (name, data), judged.capture, judged.comparisons, occasion)


def item_choices(scheme: Scheme, order_key: str) -> tuple[tuple[str, str], ...]:
    """(key, name) of the items an order holds, or of the whole season for an unknown order."""
    names = {bat.key: bat.name for bat in scheme.bats}
    names |= {soft.key: soft.name for soft in scheme.soft_kit}
    own = [key for order in scheme.orders if order.key == order_key for key, _ in order.items]
    return tuple((key, names[key]) for key in dict.fromkeys(own or names))


def _region(scheme: Scheme, spot: Spot, number: int) -> Region:
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
    return Region(f"{spot.item} {spot.ink} {number + 1}", spot.ink, spot.item, None, ring)


def _corners(text: str) -> np.ndarray | None:
    return parse_corners(text) if text.strip() else None
