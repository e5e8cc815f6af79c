"""Rule books stack: every rule is shown, and the strictest is named."""

from collections.abc import Callable
from dataclasses import replace

from shapely.geometry import box

from livery.artwork.model import Decal
from livery.geometry import Affine
from livery.kit.model import Datum, KitItem, Surface
from livery.limits import Rule, RuleBook, Scene, Severity, check_scene, set_in_place
from livery.scheme.model import Hand, ItemKind

RULE = Rule(
    "area", "Area", "area-at-most", {"area": 900.0}, (), (), Severity.LIMIT, "S", "", "read"
)


def test_all_books_are_shown_and_the_strictest_named(decal: Callable[..., Decal]) -> None:
    outline = box(-50.0, 0.0, 50.0, 500.0)
    face = Surface("face", "Face", outline, 50_000.0, (Datum("grip-bottom", 0.0),))
    item = KitItem("sedge", "Sedge", ItemKind.BAT, "harrow", Hand.RIGHT, "", (face,))
    placed = set_in_place("badge", decal(), "face", Affine.translation(0.0, 100.0), 1.0)
    books = [
        RuleBook(key, key, (replace(RULE, parameters={"area": area}),))
        for key, area in (("laws", 900.0), ("cup", 700.0), ("shop", 700.0))
    ]
    laws, cup, shop = check_scene(Scene(item, (placed,)), books)
    assert (laws.ok, cup.ok, shop.ok) == (True, False, False)
    assert laws.text.endswith("“Area” (cup) is stricter")
    assert cup.text.endswith("the strictest of 3")
    assert shop.text.endswith("as strict as “Area” (cup)")
