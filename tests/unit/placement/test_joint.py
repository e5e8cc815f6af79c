"""Decals that push one another, against brute force over every scale and move."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from livery.limits import Rule, RuleBook, Severity
from livery.placement.intent import Intent
from livery.placement.surface_fit import seat_decals

GAP_MM, WITHIN_MM, FROM_MM = 2.0, 82.0, 1.0
STEPS = (11, 9)  # shares by moves, of each decal


@pytest.fixture
def rules(book: Callable[..., RuleBook]) -> RuleBook:
    return book(
        ("confined-within", {"datum": "grip-bottom", "within": WITHIN_MM}),
        ("beyond-at-least", {"datum": "grip-bottom", "gap": FROM_MM}),
        ("gap-at-least", {"gap": GAP_MM}),
    )


@pytest.mark.parametrize("linked", [False, True])
@pytest.mark.parametrize("seed", range(14))
def test_no_grid_point_beats_the_joint_fit(
    make_crowd: Callable[..., list[Intent]], rules: RuleBook, seed: int, linked: bool
) -> None:
    intents = make_crowd(seed, linked=linked)
    seats = seat_decals(intents, [rules])
    shares, boxes = _grid(intents)
    held = _held(boxes)
    if not all(seat.fits for seat in seats):
        assert not held.any()
        return
    found = [seat.fit.scale / seat.intent.scale for seat in seats]
    placed = np.array([[one.bounds for seat in seats for one in seat.placed]])
    assert _held(placed, slack=1e-6).all()
    if held.any():
        common = [min(one, 1.0) for one in found]
        best = shares[held].min(axis=1).max()
        assert min(common) >= best - 1e-9
        level = shares[held].min(axis=1) >= min(common) - 1e-9
        if level.any():
            assert found[0] >= shares[held][level][:, 0].max() - 1e-9


def _grid(intents: Sequence[Intent]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Shares (n, 3) and boxes (n, 3, 4) of every choice of three scales and moves."""
    axes = []
    for intent in intents:
        axes.append(np.linspace(intent.least_scale, 1.0, STEPS[0]))
        moves = STEPS[1] if intent.slide_mm else 1
        axes.append(np.linspace(-intent.slide_mm, intent.slide_mm, moves) if moves > 1 else [0.0])
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
    held = (boxes[..., 1] >= FROM_MM - slack).all(axis=1)
    held &= (boxes[..., 3] <= WITHIN_MM + slack).all(axis=1)
    for i, j in combinations(range(boxes.shape[1]), 2):
        one, other = boxes[:, i], boxes[:, j]
        apart = np.maximum(one[:, :2] - other[:, 2:], other[:, :2] - one[:, 2:])
        held &= np.hypot(*np.maximum(apart, 0.0).T) >= GAP_MM - slack
    return held


def _spread(intents: list[Intent]) -> list[Intent]:
    """Far apart, so that areas add up."""
    return [replace(one, y_mm=100.0 * (n + 1)) for n, one in enumerate(intents)]


@pytest.mark.parametrize("per", ["surface", "item"])
def test_limits_on_area_are_solved_and_only_for_what_they_govern(
    make_crowd: Callable[..., list[Intent]], per: str
) -> None:
    a, b, c = _spread(make_crowd(3, linked=False))
    (part,) = c.parts
    c = replace(c, parts=(replace(part, decal=replace(part.decal, role="lettering")),))
    a, b = replace(a, least_scale=0.3), replace(b, least_scale=0.3)
    full = sum(one.parts[0].decal.width_mm * one.parts[0].decal.height_mm for one in (a, b))
    limit: dict[str, float | str] = {"area": 0.49 * full, "per": per}
    rule = Rule(
        "n", "n", "area-at-most", limit, (), ("decoration",), Severity.LIMIT, "b", "", "read"
    )
    seats = seat_decals([a, b, c], [RuleBook("book", "Book", (rule,))])
    assert [seat.fit.scale for seat in seats] == pytest.approx([0.7, 0.7, 1.0], abs=1e-9)


def test_one_that_may_not_shrink_leaves_its_share_to_others(
    make_crowd: Callable[..., list[Intent]], book: Callable[..., RuleBook]
) -> None:
    a, b, _ = _spread(make_crowd(3, linked=False))
    a, b = replace(a, least_scale=1.0), replace(b, least_scale=0.1)
    areas = [one.parts[0].decal.width_mm * one.parts[0].decal.height_mm for one in (a, b)]
    rules = book(("area-at-most", {"area": areas[0] + 0.25 * areas[1], "per": "item"}))
    first, second = seat_decals([a, b], [rules])
    assert (first.fit.scale, second.fit.scale) == (1.0, pytest.approx(0.5, abs=1e-9))
