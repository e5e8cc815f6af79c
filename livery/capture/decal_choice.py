"""Which of the things seen on a face is which decal, and how it was put on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely.geometry import MultiPoint, Polygon

from livery.artwork.model import Decal
from livery.capture.decal_raster import DecalRaster, raster_of
from livery.capture.decal_search import LOOKS, Look, Sighting, look_for, shrink
from livery.capture.rectified import Rectified
from livery.capture.registration import Registration, register
from livery.colour import Floats
from livery.geometry import Affine
from livery.scheme.model import Palette

# Every figure: [source: workshop-choice]
_LEAST_LIKENESS = 0.62  # of a decal that is there
_CLEARLY = 0.012  # more likeness than as drawn, before a decal counts as put on otherwise
_IN_THE_RUN = 0.15  # less likeness than the best, and still tried
_NEAR_MM = 6.0  # sightings so near each other are of one thing, put on in several ways
_FAR_MM = 400.0  # distance that costs a sighting all its likeness
_AGAIN_SHARE = 0.75  # of the decal's own likeness, for another one of it
_OVERLAP = 0.35  # shared area of two finds that are one decal


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """What was found of one placement.

    Attributes:
        raster: its artwork as pixels.
        look: how it was put on.
        likeness: correlation of picture and artwork, -1 to 1; 0 where nothing like it was seen.
        laid: where its artwork lies; None when it is missing.
        again: others of the same decal: their frames to the target's.
        note: in words, what else should be known; "" for nothing.
    """

    raster: DecalRaster
    look: Look
    likeness: float
    laid: Registration | None = None
    again: tuple[Affine, ...] = ()
    note: str = ""


@dataclass(slots=True, eq=False)
class _Hunt:
    """One decal while it is sought; ``nominal``: its frame to the target's, where it should be."""

    raster: DecalRaster
    nominal: Affine
    sightings: list[Sighting]
    best: Registration | None = None
    look: Look = LOOKS[0]
    likeness: float = 0.0
    again: list[Affine] = field(default_factory=list)
    note: str = ""


class Seeker:
    """Finds decals on one face.

    Args:
        picture: the face, rectified.
        blade: the face's frame to the target's.
        palette: the season's inks.
    """

    def __init__(self, picture: Rectified, blade: Affine, palette: Palette) -> None:
        self._picture = picture
        self._small = shrink(picture)
        self._blade = blade
        self._colours = {ink.key: ink.lab for ink in palette.inks}
        self._wood = _wood_of(picture, blade)
        self._seen: dict[tuple[object, ...], list[Sighting]] = {}

    def seek(self, decals: Sequence[Decal], expected: Sequence[Affine]) -> list[Found]:
        """Find each decal.

        Args:
            decals: of this face, one for each placement.
            expected: where each should be, its frame to the face's.

        Returns:
            What was found of each, in their order.
        """
        hunts = [self._hunt(one, at) for one, at in zip(decals, expected, strict=True)]
        for hunt in hunts:
            self._settle(hunt, [h for h in hunts if h is not hunt])
        for hunt in hunts:
            self._find_again(hunt, hunts)
        return [Found(h.raster, h.look, h.likeness, h.best, tuple(h.again), h.note) for h in hunts]

    def _hunt(self, decal: Decal, expected: Affine) -> _Hunt:
        nominal = self._blade @ expected
        size = math.sqrt(abs(nominal.determinant))
        raster = raster_of(decal, self._colours, self._picture.px_per_mm * size)
        linear = tuple(round(v, 6) for v in nominal.coefficients[:4])
        key = (decal.key, *linear)
        if key not in self._seen:
            self._seen[key] = look_for(self._small, raster, nominal, self._wood)
        return _Hunt(raster, nominal, list(self._seen[key]))

    def _settle(self, hunt: _Hunt, others: Sequence[_Hunt]) -> None:
        """Choose the sighting, try every way it may have been put on, keep the likeliest."""
        free = [s for s in hunt.sightings if not _taken(s.affine, hunt, others)]
        if not free:
            return
        top = max(free, key=lambda s: s.likeness - _away(s.affine, hunt.nominal) / _FAR_MM)
        tried: dict[Look, Registration] = {}
        for one in free:
            near = _away(one.affine, top.affine) < _NEAR_MM
            if near and one.look not in tried and one.likeness > top.likeness - _IN_THE_RUN:
                tried[one.look] = register(self._picture, hunt.raster, one.affine, self._wood)
        drawn = tried.get(LOOKS[0])
        look = max(tried, key=lambda k: (tried[k].likeness, -LOOKS.index(k)))
        if drawn is not None and tried[look].likeness < drawn.likeness + _CLEARLY:
            look = LOOKS[0]
        hunt.look, hunt.likeness = look, tried[look].likeness
        if hunt.likeness >= _LEAST_LIKENESS:
            hunt.best = tried[look]
        close = [k for k in tried if k != look and tried[k].likeness > hunt.likeness - _CLEARLY]
        if close and hunt.best is not None:
            hunt.note = f"put on {_spoken(close[0])} it would look almost the same: check by eye"

    def _find_again(self, hunt: _Hunt, hunts: Sequence[_Hunt]) -> None:
        """Others of the same decal that no placement accounts for."""
        if hunt.best is None:
            return
        for one in hunt.sightings:
            likely = one.likeness >= _AGAIN_SHARE * max(s.likeness for s in hunt.sightings)
            if not likely or any(_taken(one.affine, hunt, [h]) for h in hunts):
                continue
            if any(
                _overlap(hunt.raster, one.affine, hunt.raster, a) > _OVERLAP for a in hunt.again
            ):
                continue
            laid = register(self._picture, hunt.raster, one.affine, self._wood)
            if laid.likeness >= _AGAIN_SHARE * hunt.likeness:
                hunt.again.append(laid.affine)


def _wood_of(picture: Rectified, blade: Affine) -> Floats:
    """Lab of most of the face's middle: bare wood."""
    points = blade.apply(
        np.stack(np.meshgrid(np.arange(-40.0, 41.0, 4.0), np.arange(40.0, 400.0, 4.0)), -1)
    )
    px = np.rint(picture.to_px.apply(points)).astype(int).reshape(-1, 2)
    height, width = picture.lab.shape[:2]
    inside = (px >= 0).all(axis=1) & (px[:, 0] < width) & (px[:, 1] < height)
    middle = np.median(picture.lab[px[inside, 1], px[inside, 0]], axis=0)
    return np.asarray(middle, np.float64)


def _spoken(look: Look) -> str:
    """How a decal was put on, in words."""
    words = ["upside down"] * look.upside_down + ["mirrored"] * look.mirrored
    return " and ".join(words) or "as drawn"


def _away(one: Affine, other: Affine) -> float:
    """Mm between the origins of two frames."""
    return math.hypot(one.e - other.e, one.f - other.f)


def _taken(affine: Affine, hunt: _Hunt, others: Sequence[_Hunt]) -> bool:
    """Whether a find lies on a decal that was settled before."""
    return any(
        other.best is not None
        and _overlap(hunt.raster, affine, other.raster, other.best.affine) > _OVERLAP
        for other in others
    )


def _overlap(one: DecalRaster, at: Affine, other: DecalRaster, there: Affine) -> float:
    """Shared area over the smaller one's, of boxes round two decals."""
    a, b = _box(one, at), _box(other, there)
    return float(a.intersection(b).area) / max(min(a.area, b.area), 1e-9)


def _box(raster: DecalRaster, affine: Affine) -> Polygon:
    """Round a decal's cut, in the target's frame."""
    rows, columns = np.nonzero(raster.inside > 0.5)
    low, high = (columns.min(), rows.min()), (columns.max(), rows.max())
    corners = np.array([low, (high[0], low[1]), high, (low[0], high[1])], np.float64)
    hull = MultiPoint((affine @ raster.to_px.inverse()).apply(corners)).convex_hull
    return hull if isinstance(hull, Polygon) else Polygon()
