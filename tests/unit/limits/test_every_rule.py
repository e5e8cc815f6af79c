"""Every rule of the packaged books just inside its limit, exactly on it, and just outside.

Limits are written here again, in mm, so that a slip in a book is seen. The slab is 100 mm wide
and 500 mm long, with its shoulder at 40 mm and a scuff sheet from 400 mm; a decal is 40 by 20 mm.
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from livery.artwork.model import Decal
from livery.limits import Check, Finding, Rule, load_books
from livery.scheme.model import BladeDims

Hold = Callable[..., list[Finding]]
Make = Callable[..., Decal]
Dims = Callable[..., BladeDims]

STEP = 1e-6  # mm
INCH_MM = 25.4

# Where the middle of a decal lies when its edge is on the limit, and which way is outwards.
ALONG = {
    "face-identification": ("face", 228.6 - 10.0, 1),
    "lower-handle": ("face", 10.0, -1),
    "toe": ("back", 500.0 - 12.0 - 10.0, 1),
    "grip": ("back", 5.0 + 10.0, -1),
    "barred-zones": ("face", 400.0 - 1.0 - 10.0, 1),
    "scuff-sheet": ("face", 400.0 - 2.0 - 10.0, 1),
    "shoulder": ("face", 40.0 + 10.0, -1),
    "hitting-zone": ("face", 500.0 - 305.0 - 10.0, 1),
}
ACROSS = {
    "face-edge": ("face", 50.0 - 3.0 - 20.0),
    "side-edge": ("edge-left", 50.0 - 1.0 - 20.0),
    "seam": ("cuff", 50.0 - 3.0 - 20.0),
}
DIMENSIONS = {
    "overall-length": ("overall_length", 965.2),
    "width": ("width", 107.95),
    "depth": ("spine_height", 67.0),
    "edge": ("edge_thickness", 39.624),
    "grip-reach": ("grip_below_entry", 69.85),
}
THICKNESSES = {"identification-thickness": ("back", 0.2), "stack": ("cuff", 0.3)}
SMALLEST = {"smallest-text": ("text_height_mm", 1.25), "thinnest-line": ("thinnest_mm", 0.25)}
ALONE = ("back-identification", "gap", "handle-share", "identification-surfaces")

# Of the invented competition: every area is 8 sq in, every count 2.
AREAS = {"bat-face-area": "face", "bat-back-area": "back", "glove-area": "cuff", "pad-area": "wing"}
COUNTS = {"glove-count": "cuff", "pad-count": "wing"}

RULES: dict[str, Rule] = {
    rule.key: rule for book in load_books(["laws", "workshop"], Path()) for rule in book.rules
}
steps = pytest.mark.parametrize("over", [-STEP, 0.0, STEP])


def each(keys: object) -> pytest.MarkDecorator:
    """One test a key."""
    return pytest.mark.parametrize("key", list(keys))  # type: ignore[call-overload]


def _expect(findings: list[Finding], key: str, margin: float) -> None:
    (finding,) = findings
    assert finding.rule == f"book/{key}"
    assert finding.margin == pytest.approx(margin, abs=1e-8)
    assert finding.ok == (margin >= 0)


@steps
@each(ALONG)
def test_along(hold: Hold, decal: Make, key: str, over: float) -> None:
    surface, y, outwards = ALONG[key]
    placed = (decal(), 0.0, y + outwards * over)
    _expect(hold(RULES[key], placed, surface=surface), key, -over)


@steps
@each(ACROSS)
def test_across(hold: Hold, decal: Make, key: str, over: float) -> None:
    surface, x = ACROSS[key]
    _expect(hold(RULES[key], (decal(), x + over, 250.0), surface=surface), key, -over)


@steps
@each(DIMENSIONS)
def test_dimensions(hold: Hold, dims: Dims, key: str, over: float) -> None:
    name, limit = DIMENSIONS[key]
    _expect(hold(RULES[key], dims=dims(**{name: limit + over})), key, -over)


@steps
@each(THICKNESSES)
def test_thickness(hold: Hold, decal: Make, key: str, over: float) -> None:
    surface, limit = THICKNESSES[key]
    placed = (decal(thickness_mm=limit + over), 0.0, 100.0)
    _expect(hold(RULES[key], placed, surface=surface), key, -over)


@steps
@each(SMALLEST)
def test_smallest(hold: Hold, decal: Make, key: str, over: float) -> None:
    name, limit = SMALLEST[key]
    _expect(hold(RULES[key], (decal(**{name: limit - over}), 0.0, 100.0)), key, -over)


@steps
def test_half_of_the_back(hold: Hold, decal: Make, over: float) -> None:
    key = "back-identification"  # margins are in per cent: 1 mm of this height is a fifth
    placed = (decal(100.0, 250.0 + over), 0.0, 250.0)
    _expect(hold(RULES[key], placed, surface="back"), key, -over / 5.0)


@steps
def test_gap(hold: Hold, decal: Make, over: float) -> None:
    pair = (decal(), 0.0, 100.0), (decal(), 0.0, 122.0 - over)
    _expect(hold(RULES["gap"], *pair), "gap", -over)


@steps
def test_handle_share(hold: Hold, dims: Dims, over: float) -> None:
    long = dims(overall_length=100.0, exposed_handle=52.0 + over)
    _expect(hold(RULES["handle-share"], dims=long), "handle-share", -over)
    for junior in range(1, 7):
        assert hold(RULES["handle-share"], dims=long, size=f"size-{junior}") == []


def test_surfaces(hold: Hold, decal: Make) -> None:
    rule, here = RULES["identification-surfaces"], (decal(), 0.0, 100.0)
    assert hold(rule, here, surface="face") == []
    assert hold(rule, here, surface="back") == []
    (stray,) = hold(rule, here, surface="edge-left")
    assert not stray.ok
    assert hold(rule, (decal(role="decoration"), 0.0, 100.0), surface="edge-left") == []


@pytest.fixture
def cup(invented_cup: Path) -> dict[str, Rule]:
    """The rules of the invented competition by key."""
    (book,) = load_books([invented_cup.name], invented_cup.parent)
    return {rule.key: rule for rule in book.rules}


@steps
@each(AREAS)
def test_areas_of_a_competition(
    hold: Hold, decal: Make, cup: dict[str, Rule], key: str, over: float
) -> None:
    width = 8.0 * INCH_MM**2 / 64.0
    placed = (decal(width, 64.0 + over), 0.0, 250.0)
    _expect(hold(cup[key], placed, surface=AREAS[key]), key, -over * width)


@each(COUNTS)
@pytest.mark.parametrize("count", [1, 2, 3])
def test_counts_of_a_competition(
    hold: Hold, decal: Make, cup: dict[str, Rule], key: str, count: int
) -> None:
    placed = [(decal(), 0.0, 50.0 + 30.0 * n) for n in range(count)]
    _expect(hold(cup[key], *placed, surface=COUNTS[key]), key, 2.0 - count)


def test_no_rule_is_left_out(cup: dict[str, Rule]) -> None:
    by_eye = {rule.key for rule in (*RULES.values(), *cup.values()) if rule.check == Check.BY_EYE}
    held = {*ALONG, *ACROSS, *DIMENSIONS, *THICKNESSES, *SMALLEST, *ALONE, *AREAS, *COUNTS}
    assert held | by_eye == {*RULES, *cup}
