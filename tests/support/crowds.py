"""Decals that compete for a short slab, and every choice of rectangles' scales and moves."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import box

from livery.artwork.model import Decal
from livery.geometry import Affine, Path
from livery.kit.model import Datum, Surface
from livery.limits import Rule, RuleBook, Severity
from livery.placement.intent import Intent, Link, Part, Point
from livery.placement.seating import seat_decals

GAP_MM, WITHIN_MM, FROM_MM = 2.0, 82.0, 1.0
SLAB = box(-50.0, 0.0, 50.0, 500.0)


def state(key: str, decal: Decal, surface: Surface, at: Point) -> Intent:
    """A decal at nominal size with its centre at a point, not allowed to shrink or slide."""
    part = Part(key, decal, Affine())
    return Intent(key, (part,), surface, *at, scale=1.0, least_scale=1.0, slide_mm=0.0)


def crowd(seed: int, *, linked: bool) -> list[Intent]:
    """Three rectangles, the last maybe aligned below the first."""
    random = np.random.default_rng(seed)
    slab = Surface("face", "Face", SLAB, SLAB.area, (Datum("grip-bottom", 0.0),))
    made: list[Intent] = []
    for key, y in zip("abc", np.sort(random.uniform(10.0, 70.0, 3)), strict=True):
        width, height = random.uniform(20.0, 60.0), random.uniform(14.0, 34.0)
        path = Path.rectangle(-width / 2, -height / 2, width / 2, height / 2)
        decal = Decal(key, key, (), path, width, height, 0.1, "decoration", False)
        slide, least = float(random.choice([0.0, 4.0, 12.0])), float(random.uniform(0.2, 0.9))
        intent = state(key, decal, slab, (float(random.choice([0.0, 9.0])), float(y)))
        made.append(replace(intent, least_scale=least, slide_mm=slide))
    if linked:
        (part,) = made[2].parts
        part = replace(part, turn=Affine.translation(0.0, part.decal.height_mm / 2))
        link = Link("a", (0.0, made[0].parts[0].decal.height_mm / 2))
        made[2] = replace(made[2], parts=(part,), x_mm=0.0, y_mm=3.0, slide_mm=0.0, link=link)
    return made


def lobed_ring(lobes: int, radius: float, turn: float) -> Path:
    """A closed curve of lobes with hollows between them, of cubics."""
    angle = np.linspace(0.0, 2.0 * np.pi, 4 * lobes, endpoint=False)
    reach = radius * (0.75 + 0.25 * np.cos(lobes * angle))
    on = reach[:, None] * np.stack([np.cos(angle + turn), np.sin(angle + turn)], axis=1)
    lead = (np.roll(on, -1, axis=0) - np.roll(on, 1, axis=0)) / 6.0
    ends = np.roll(on, -1, axis=0)
    cubics = np.stack([on + lead, ends - np.roll(lead, -1, axis=0), ends], axis=1)
    return Path("M" + "C" * len(on) + "Z", np.concatenate([on[:1], cubics.reshape(-1, 2)]))


def lobed_pile(seed: int, count: int, *, curved: bool) -> list[Intent]:
    """Lobed decals that all overlap, of curves or of the corners on them."""
    random = np.random.default_rng(seed)
    slab = Surface("face", "Face", SLAB, SLAB.area, (Datum("grip-bottom", 0.0),))
    made: list[Intent] = []
    for number in range(count):
        ring = lobed_ring(
            int(random.integers(2, 7)), random.uniform(10.0, 20.0), random.uniform(0.0, 6.0)
        )
        outline = ring if curved else Path.polyline(ring.points[:-1])
        x0, y0, x1, y1 = outline.bounds()
        decal = Decal(f"d{number}", "D", (), outline, x1 - x0, y1 - y0, 0.1, "decoration", False)
        at = (float(random.uniform(-12.0, 12.0)), float(random.uniform(20.0, 60.0)))
        intent = state(decal.key, decal, slab, at)
        made.append(replace(intent, least_scale=0.3, slide_mm=float(random.uniform(0.0, 20.0))))
    return made


def crowd_book() -> RuleBook:
    """The limits of the slab: a near and a far end, and a gap."""
    limits: list[tuple[str, dict[str, float | str]]] = [
        ("confined-within", {"datum": "grip-bottom", "within": WITHIN_MM}),
        ("beyond-at-least", {"datum": "grip-bottom", "gap": FROM_MM}),
        ("gap-at-least", {"gap": GAP_MM}),
    ]
    rules = tuple(
        Rule(check, check, check, values, (), (), Severity.LIMIT, "drawn", "", "drawn")
        for check, values in limits
    )
    return RuleBook("drawn", "Drawn", rules)


def hold_against_grid(seed: int, *, linked: bool, shares: int, moves: int) -> str:
    """Seat a crowd, and assert that no choice of a grid is better than what was found.

    Returns:
        What became of it: ``whole``, ``shrunk`` or ``stuck``.
    """
    intents = crowd(seed, linked=linked)
    seats = seat_decals(intents, [crowd_book()])
    grid, boxes = _grid(intents, shares, moves)
    held = _held(boxes)
    if not all(seat.fits for seat in seats):
        assert not held.any(), seed
        return "stuck"
    found = [seat.fit.scale / seat.intent.scale for seat in seats]
    placed = np.array([[one.bounds for seat in seats for one in seat.placed]])
    assert _held(placed, slack=1e-6).all(), seed
    if held.any():
        assert min(found) >= grid[held].min(axis=1).max() - 1e-9, seed
        level = grid[held].min(axis=1) >= min(found) - 1e-9
        if level.any():
            assert found[0] >= grid[held][level][:, 0].max() - 1e-9, seed
    return "whole" if min(found) == 1.0 else "shrunk"


def _grid(
    intents: Sequence[Intent], shares: int, moves: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Shares (n, 3) and boxes (n, 3, 4) of every choice of three scales and moves."""
    axes = []
    for intent in intents:
        axes.append(np.linspace(intent.least_scale, 1.0, shares))
        along = np.linspace(-intent.slide_mm, intent.slide_mm, moves)
        axes.append(along if intent.slide_mm else np.zeros(1))
    flat = [values.ravel() for values in np.meshgrid(*axes, indexing="ij")]
    at: dict[str, tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]] = {}
    boxes = []
    for n, intent in enumerate(intents):
        scale, move = flat[2 * n], flat[2 * n + 1]
        x, y = intent.x_mm + 0.0 * scale, intent.y_mm + move
        if intent.link is not None:
            target_scale, target_x, target_y = at[intent.link.to]
            x = x + target_x + target_scale * intent.link.at[0]
            y = y + target_y + target_scale * intent.link.at[1]
        at[intent.key] = (scale, x, y)
        x0, y0, x1, y1 = intent.box
        boxes.append(np.stack([x + scale * x0, y + scale * y0, x + scale * x1, y + scale * y1], 1))
    return np.stack(flat[::2], axis=1), np.stack(boxes, axis=1)


def _held(boxes: NDArray[np.float64], slack: float = 0.0) -> NDArray[np.bool_]:
    held: NDArray[np.bool_] = (boxes[..., 1] >= FROM_MM - slack).all(axis=1)
    held &= (boxes[..., 3] <= WITHIN_MM + slack).all(axis=1)
    for i, j in combinations(range(boxes.shape[1]), 2):
        one, other = boxes[:, i], boxes[:, j]
        apart = np.maximum(one[:, :2] - other[:, 2:], other[:, :2] - one[:, 2:])
        held &= np.hypot(*np.maximum(apart, 0.0).T) >= GAP_MM - slack
    return held
