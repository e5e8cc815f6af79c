"""Every check just inside its limit, exactly on it, and just outside."""

from collections.abc import Callable

import pytest

from livery.artwork.model import Decal
from livery.limits import CHECKS, Check, Finding
from livery.scheme.model import BladeDims

Find = Callable[..., list[Finding]]
Make = Callable[..., Decal]
Dims = Callable[..., BladeDims]

STEP = 1e-6  # mm


def _expect(findings: list[Finding], margin: float) -> None:
    (finding,) = findings
    assert finding.margin == pytest.approx(margin, abs=1e-8)
    assert finding.ok == (margin >= 0)


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
@pytest.mark.parametrize(
    ("check", "parameters", "y_at_limit", "outwards"),
    [
        ("confined-within", {"datum": "grip-bottom", "within": 228.6}, 218.6, 1),
        ("beyond-at-least", {"datum": "grip-bottom", "gap": 5.0}, 15.0, -1),
        ("beyond-at-least", {"datum": "shoulder", "gap": 0.0}, 50.0, -1),
        ("short-at-least", {"datum": "toe", "gap": 12.0}, 478.0, 1),
        ("clear-of-band", {"datum": "toe", "near": 100.0, "far": 300.0}, 190.0, 1),
        ("clear-of-band", {"datum": "toe", "near": 100.0, "far": 300.0}, 410.0, -1),
        ("inside-surface", {"gap": 3.0}, 13.0, -1),
        ("clear-of-zone", {"gap": 2.0, "zone": "scuff-sheet"}, 388.0, 1),
        ("clear-of-zone", {"gap": 0.0}, 390.0, 1),
    ],
)
def test_position_along(
    find: Find,
    decal: Make,
    over: float,
    check: str,
    parameters: dict[str, float | str],
    y_at_limit: float,
    outwards: int,
) -> None:
    _expect(find(check, parameters, (decal(), 0.0, y_at_limit + outwards * over)), -over)


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
def test_position_across(find: Find, decal: Make, over: float) -> None:
    _expect(find("inside-surface", {"gap": 3.0}, (decal(), 27.0 + over, 100.0)), -over)
    _expect(find("inside-surface", {"gap": 0.0}, (decal(), 30.0 + over, 100.0)), -over)


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
def test_gap(find: Find, decal: Make, over: float) -> None:
    pair = (decal(), 0.0, 100.0), (decal(), 0.0, 122.0 - over)
    _expect(find("gap-at-least", {"gap": 2.0}, *pair), -over)


def test_an_overlap_of_rounding_is_none(find: Find, decal: Make) -> None:
    pair = (decal(), 0.0, 100.0), (decal(), 0.0, 120.0 - 1e-12)
    (finding,) = find("gap-at-least", {"gap": 0.0}, *pair)
    assert finding.measured == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
def test_share_of_area(find: Find, decal: Make, over: float) -> None:
    tall = decal(100.0, 250.0 + over)
    _expect(find("share-of-area-at-most", {"share": 0.5}, (tall, 0.0, 250.0)), -over / 5.0)


def test_share_counts_overlaps_once_and_overhang_not_at_all(find: Find, decal: Make) -> None:
    twice = (decal(), 0.0, 100.0), (decal(), 0.0, 100.0), (decal(), 50.0, 300.0)
    (finding,) = find("share-of-area-at-most", {"share": 0.5}, *twice)
    assert finding.measured == pytest.approx(100.0 * (800.0 + 400.0) / 50_000.0)


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
@pytest.mark.parametrize(
    ("per", "areas"),
    [("decal", [800.0, 800.0, 800.0]), ("surface", [800.0, 1600.0]), ("item", [2400.0])],
)
def test_area(find: Find, decal: Make, over: float, per: str, areas: list[float]) -> None:
    decals = [(decal(), 0.0, 100.0), (decal(), 0.0, 200.0), (decal(), 0.0, 100.0, "back")]
    limit = max(areas) - over
    findings = find("area-at-most", {"area": limit, "per": per}, *decals)
    margins = [limit - area for area in areas]
    assert [f.margin for f in findings] == pytest.approx(margins, abs=1e-8)
    assert [f.ok for f in findings] == [margin >= 0 for margin in margins]
    assert find("area-at-most", {"area": limit, "per": per}) == []


@pytest.mark.parametrize("limit", [1, 2, 3])
@pytest.mark.parametrize(("per", "counts"), [("surface", [1, 2]), ("item", [3])])
def test_count(find: Find, decal: Make, limit: int, per: str, counts: list[int]) -> None:
    decals = [(decal(), 0.0, 100.0), (decal(), 0.0, 200.0), (decal(), 0.0, 100.0, "back")]
    findings = find("count-at-most", {"count": float(limit), "per": per}, *decals)
    assert [f.margin for f in findings] == [limit - count for count in counts]
    assert [f.ok for f in findings] == [count <= limit for count in counts]
    assert find("count-at-most", {"count": float(limit), "per": per}) == []


def test_surfaces_allowed(find: Find, decal: Make) -> None:
    rule = {"surfaces": ("face", "back"), "roles": ("identification",)}
    here = (decal(), 0.0, 100.0)
    assert find("surfaces-allowed", {}, here, **rule) == []
    (stray,) = find("surfaces-allowed", {}, here, surface="edge-left", **rule)
    assert not stray.ok
    (stray,) = find("surfaces-allowed", {}, here, surface="edge-left", surfaces=("face",))
    assert not stray.ok
    assert find("surfaces-allowed", {"kinds": "pad"}, here, surface="edge-left", **rule) == []


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
def test_thickness(find: Find, decal: Make, over: float) -> None:
    one = decal(thickness_mm=0.2 + over)
    _expect(find("thickness-at-most", {"thickness": 0.2}, (one, 0.0, 100.0)), -over)


def test_thickness_adds_what_overlaps(find: Find, decal: Make) -> None:
    film = decal(thickness_mm=0.105)
    apart = find("thickness-at-most", {"thickness": 0.2}, (film, 0.0, 100.0), (film, 0.0, 120.0))
    assert [f.measured for f in apart] == pytest.approx([0.105, 0.105])
    assert all(f.ok for f in apart)
    over = find("thickness-at-most", {"thickness": 0.2}, (film, 0.0, 100.0), (film, 9.0, 110.0))
    assert [f.measured for f in over] == pytest.approx([0.21, 0.21])
    assert not any(f.ok for f in over)


def test_a_pile_of_decals_is_measured_at_its_thickest(find: Find, decal: Make) -> None:
    film = decal(thickness_mm=0.01)
    pile = [(film, 0.3 * step, 100.0 + 0.1 * step) for step in range(14)]
    found = find("thickness-at-most", {"thickness": 0.2}, *pile, (film, 0.0, 190.0))
    assert [f.measured for f in found] == pytest.approx([0.14] * 14 + [0.01])


def test_between_two_printed_figures_holds_the_stricter(find: Find, decal: Make) -> None:
    parameters: dict[str, float | str] = {"thickness": 0.2, "thickness_loose": 0.2032}
    (between,) = find("thickness-at-most", parameters, (decal(thickness_mm=0.202), 0.0, 100.0))
    assert not between.ok
    assert "between the two printed figures" in between.text
    (above,) = find("thickness-at-most", parameters, (decal(thickness_mm=0.204), 0.0, 100.0))
    assert "between" not in above.text


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
def test_text_and_line_as_placed(find: Find, decal: Make, over: float) -> None:
    half = {"scale": 0.5}
    words = decal(text_height_mm=2.5 - 2 * over)
    _expect(find("text-height-at-least", {"height": 1.25}, (words, 0, 100), **half), -over)
    lined = decal(thinnest_mm=0.5 - 2 * over)
    _expect(find("line-width-at-least", {"width": 0.25}, (lined, 0, 100), **half), -over)
    assert find("text-height-at-least", {"height": 1.25}, (decal(), 0, 100)) == []


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
def test_dimension(find: Find, dims: Dims, over: float) -> None:
    rule: dict[str, float | str] = {"dimension": "width", "at_most": 107.95}
    _expect(find("dimension-at-most", rule, dims=dims(width=107.95 + over)), -over)
    assert find("dimension-at-most", rule) == []


@pytest.mark.parametrize("over", [-STEP, 0.0, STEP])
def test_handle_share(find: Find, dims: Dims, over: float) -> None:
    rule: dict[str, float | str] = {
        "part": "exposed-handle",
        "whole": "overall-length",
        "share": 0.52,
        "except_sizes": "size-5, size-6",
    }
    long = dims(overall_length=100.0, exposed_handle=52.0 + over)
    _expect(find("dimension-share-at-most", rule, dims=long), -over)
    assert find("dimension-share-at-most", rule, dims=long, size="size-6") == []


def test_by_eye_is_left_to_people(find: Find, decal: Make) -> None:
    assert find("by-eye", {}, (decal(), 0, 100)) == []
    assert [c for c, spec in CHECKS.items() if spec.decide is None] == [Check.BY_EYE]


def test_every_check_is_registered() -> None:
    assert set(CHECKS) == set(Check)


def test_a_surface_without_the_datum_is_not_governed(find: Find, decal: Make) -> None:
    assert find("confined-within", {"datum": "wrist", "within": 1.0}, (decal(), 0, 100)) == []


def test_text_gives_both_units_and_the_margin(find: Find, decal: Make) -> None:
    rule: dict[str, float | str] = {"datum": "grip-bottom", "within": 228.6}
    (finding,) = find("confined-within", rule, (decal(), 0.0, 223.6))
    assert not finding.ok
    assert "233.60 mm (9.197 in)" in finding.text
    assert "228.60 mm (9.000 in)" in finding.text
    assert "5.00 mm (0.197 in) too much" in finding.text
    assert finding.source == "Book, 1 (read)"
    assert finding.subject == "Sedge, short-handle, right-handed, face: badge-0"


@pytest.mark.parametrize(
    ("check", "parameters", "at", "words"),
    [
        (
            "beyond-at-least",
            {"datum": "shoulder", "gap": 0.0},
            (0, 45),
            "starts 5.00 mm (0.197 in) before the shoulder line",
        ),
        (
            "short-at-least",
            {"datum": "toe", "gap": 12.0},
            (0, 493),
            "runs 3.00 mm (0.118 in) past the toe",
        ),
        (
            "clear-of-band",
            {"datum": "toe", "near": 100.0, "far": 300.0},
            (0, 195),
            "reaches 5.00 mm (0.197 in) into the band",
        ),
        (
            "inside-surface",
            {"gap": 3.0},
            (32, 100),
            "hangs 2.00 mm (0.079 in) over the edge of the face",
        ),
        (
            "clear-of-zone",
            {"gap": 2.0},
            (0, 395),
            "reaches 5.00 mm (0.197 in) into the scuff sheet",
        ),
    ],
)
def test_a_value_below_nought_is_said_in_words(
    find: Find,
    decal: Make,
    check: str,
    parameters: dict[str, float | str],
    at: tuple[float, float],
    words: str,
) -> None:
    (finding,) = find(check, parameters, (decal(), *at))
    assert finding.measured < 0.0
    assert words in finding.text
    assert "-" not in finding.text.replace("scuff-sheet", "")


def test_overlaps_without_corners_inside_are_still_overlaps(find: Find, decal: Make) -> None:
    cross = (decal(60.0, 10.0), 0.0, 100.0), (decal(10.0, 60.0), 0.0, 100.0)
    (finding,) = find("gap-at-least", {"gap": 0.0}, *cross)
    assert finding.measured == pytest.approx(-5.0, abs=0.01)
    assert "the decals overlap by 5.00 mm" in finding.text
    around = (decal(60.0, 60.0), 0.0, 100.0), (decal(10.0, 10.0), 0.0, 100.0)
    (finding,) = find("gap-at-least", {"gap": 0.0}, *around)
    assert finding.measured < -20.0
