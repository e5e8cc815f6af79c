"""A slab of a bat and plain decals, so that every limit has a closed form."""

from collections.abc import Callable

import pytest
from shapely.geometry import box

from livery.artwork.model import Decal, InkRegion
from livery.geometry import Affine, Path
from livery.kit.model import Datum, KitItem, Surface, Zone
from livery.limits import Finding, Rule, RuleBook, Scene, Severity, check_scene, set_in_place
from livery.scheme.model import BladeDims, Hand, ItemKind

DATUMS = (
    Datum("grip-bottom", 0.0),
    Datum("shoulder", 40.0),
    Datum("middle", 250.0),
    Datum("toe", 500.0),
)


@pytest.fixture
def decal() -> Callable[..., Decal]:
    """A rectangle, 40 by 20 mm unless told."""

    def make(width: float = 40.0, height: float = 20.0, **changes: object) -> Decal:
        outline = Path.rectangle(-width / 2, -height / 2, width / 2, height / 2)
        region = InkRegion(
            "tarn",
            outline,
            changes.pop("text_height_mm", None),  # type: ignore[arg-type]
            changes.pop("thinnest_mm", None),  # type: ignore[arg-type]
        )
        values: dict[str, object] = {
            "key": "badge",
            "name": "Badge",
            "regions": (region,),
            "outline": outline,
            "width_mm": width,
            "height_mm": height,
            "thickness_mm": 0.1,
            "role": "identification",
            "may_mirror": False,
            **changes,
        }
        return Decal(**values)  # type: ignore[arg-type]

    return make


@pytest.fixture
def dims() -> Callable[..., BladeDims]:
    """A bat's dimensions, with some changed."""

    def make(**changes: float) -> BladeDims:
        values = {
            "overall_length": 850.0,
            "blade_length": 560.0,
            "exposed_handle": 290.0,
            "grip_below_entry": 10.0,
            "shoulder_length": 50.0,
            "width": 107.0,
            "edge_thickness": 38.0,
            "spine_height": 60.0,
            "handle_width": 33.0,
            "spine_from_toe": 200.0,
            "toe_radius": 20.0,
            "toe_thickness": 20.0,
            "taper": 2.0,
            **changes,
        }
        return BladeDims(**values, source="drawn")

    return make


@pytest.fixture
def hold() -> Callable[..., list[Finding]]:
    """Findings of one rule on a slab 100 mm wide and 500 mm long, from decals at (x, y).

    A decal may name its own surface, after its place.
    """

    def look(
        rule: Rule,
        *decals: tuple[Decal, float, float] | tuple[Decal, float, float, str],
        surface: str = "face",
        scale: float = 1.0,
        dims: BladeDims | None = None,
        size: str = "short-handle",
    ) -> list[Finding]:
        outline = box(-50.0, 0.0, 50.0, 500.0)
        zones = (Zone("scuff-sheet", box(-50.0, 400.0, 50.0, 500.0), False),)
        laid = tuple(
            Surface(key, key.capitalize(), outline, 50_000.0, DATUMS, zones)
            for key in dict.fromkeys(("face", "back", "edge-left", surface))
        )
        item = KitItem("sedge", "Sedge", ItemKind.BAT, size, Hand.RIGHT, "", laid, dims)
        placed = tuple(
            set_in_place(
                f"{one.key}-{n}",
                one,
                own[0] if own else surface,
                Affine.translation(x, y) @ Affine.scaling(scale),
                scale,
            )
            for n, (one, x, y, *own) in enumerate(decals)
        )
        return list(check_scene(Scene(item, placed), (RuleBook("book", "Book", (rule,)),)))

    return look


@pytest.fixture
def find(hold: Callable[..., list[Finding]]) -> Callable[..., list[Finding]]:
    """What ``hold`` finds for a rule made of a check and its parameters."""

    def look(
        check: str,
        parameters: dict[str, float | str],
        *decals: tuple[Decal, float, float] | tuple[Decal, float, float, str],
        surfaces: tuple[str, ...] = (),
        roles: tuple[str, ...] = (),
        **where: object,
    ) -> list[Finding]:
        rule = Rule(
            "r", "A rule", check, parameters, surfaces, roles, Severity.LIMIT, "Book", "1", "read"
        )
        return hold(rule, *decals, **where)

    return look
