"""A tapered slab and plain decals, so that the best fit has a closed form."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from crowds import state
from shapely.geometry import Polygon, box

from livery.artwork.model import Decal, InkRegion
from livery.geometry import Path
from livery.kit.model import Datum, Surface, Zone
from livery.limits import Rule, RuleBook, Severity
from livery.placement.intent import Intent

SLAB = box(-50.0, 0.0, 50.0, 500.0)


@pytest.fixture
def decal() -> Callable[..., Decal]:
    """A polygon's decal, about the middle of its box; 40 by 20 mm unless told."""

    def make(points: object = None, **changes: object) -> Decal:
        corners = [(-20, -10), (20, -10), (20, 10), (-20, 10)] if points is None else points
        ring = np.asarray(corners, dtype=float)
        ring = ring - (ring.min(axis=0) + ring.max(axis=0)) / 2.0
        width, height = ring.max(axis=0) - ring.min(axis=0)
        outline = Path.polyline(ring)
        region = InkRegion("tarn", outline, changes.pop("text_height_mm", None))  # type: ignore[arg-type]
        values: dict[str, object] = {
            "key": "badge",
            "name": "Badge",
            "regions": (region,),
            "outline": outline,
            "width_mm": float(width),
            "height_mm": float(height),
            "thickness_mm": 0.1,
            "role": "identification",
            "may_mirror": False,
            **changes,
        }
        return Decal(**values)  # type: ignore[arg-type]

    return make


@pytest.fixture
def surface() -> Callable[..., Surface]:
    """A surface with the datums of a bat."""

    def make(outline: Polygon = SLAB, zones: tuple[Zone, ...] = ()) -> Surface:
        far = outline.bounds[3]
        named = (("grip-bottom", 0.0), ("shoulder", 40.0), ("middle", far / 2), ("toe", far))
        datums = tuple(Datum(*pair) for pair in named)
        return Surface("face", "Face", outline, outline.area, datums, zones)

    return make


@pytest.fixture
def intent() -> Callable[..., Intent]:
    """A decal wanted at (0, y) at full size, that may shrink to half and slide 5 mm."""

    def make(decal: Decal, surface: Surface, y_mm: float, **changes: object) -> Intent:
        key, x_mm = str(changes.pop("key", "badge")), float(str(changes.pop("x_mm", 0.0)))
        made = state(key, decal, surface, (x_mm, y_mm))
        return replace(made, **{"least_scale": 0.5, "slide_mm": 5.0, **changes})  # type: ignore[arg-type]

    return make


@pytest.fixture
def book() -> Callable[..., RuleBook]:
    """A book of limits: (check, parameters) pairs."""

    def make(*rules: tuple[str, dict[str, float | str]]) -> RuleBook:
        made = tuple(
            Rule(check, check, check, values, (), (), Severity.LIMIT, "Book", "", "read")
            for check, values in rules
        )
        return RuleBook("book", "Book", made)

    return make
