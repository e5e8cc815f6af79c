"""Every item of a season's kit, built once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from livery.artwork import read_outline
from livery.errors import ArtworkError, InputError
from livery.kit import build_bat
from livery.kit.model import KitItem
from livery.kit.soft import build_gloves, build_pads
from livery.scheme.model import BatModel, Hand, ItemKind, Scheme, SoftKit


class Wardrobe:
    """Builds a season's kit on demand, each item once.

    Args:
        scheme: the season.
    """

    def __init__(self, scheme: Scheme) -> None:
        self._scheme = scheme
        self._bats = {bat.key: bat for bat in scheme.bats}
        self._soft = {soft.key: soft for soft in scheme.soft_kit}
        self._built: dict[tuple[str, str, Hand], tuple[KitItem, ...]] = {}

    def items(self, key: str, size: str, hand: Hand) -> tuple[KitItem, ...]:
        """A bat, or a pair of gloves or pads.

        Raises:
            InputError: no such size, or dimensions that make no blade.
            ArtworkError: a drawn outline that cannot be read, or is no blade of that size.
        """
        wanted = (key, size, hand)
        if wanted not in self._built:
            self._built[wanted] = self._build(*wanted)
        return self._built[wanted]

    def whole_range(self) -> Iterator[KitItem]:
        """Every model in every size for both hands, in the season's order."""
        for model in self._scheme.models:
            for size in model.sizes:
                for hand in (Hand.RIGHT, Hand.LEFT):
                    yield from self.items(model.key, size, hand)

    def master_of(self, item: KitItem) -> KitItem:
        """The right-hander's item in the size that placements are stated on.

        For a bat that is the season's master size, or the model's first where it lacks that; for
        gloves and pads, whose sizes are their own, the first size, the right one of the pair.
        """
        model = self._model(item.key)
        named = self._scheme.master_size
        stated_on_named = isinstance(model, BatModel) and named in model.sizes
        size = named if stated_on_named else model.sizes[0]
        return self.items(item.key, size, Hand.RIGHT)[-1]

    def _model(self, key: str) -> BatModel | SoftKit:
        return self._bats[key] if key in self._bats else self._soft[key]

    def _build(self, key: str, size: str, hand: Hand) -> tuple[KitItem, ...]:
        if key in self._bats:
            if hand is Hand.LEFT:
                return tuple(replace(i, hand=hand) for i in self.items(key, size, Hand.RIGHT))
            return (_build_bat(self._bats[key], size, hand),)
        soft = self._soft[key]
        build = build_gloves if soft.kind is ItemKind.GLOVE else build_pads
        return build(soft, size, hand)


def _build_bat(model: BatModel, size: str, hand: Hand) -> KitItem:
    drawn = dict(model.outlines).get(size)
    if drawn is None:
        return build_bat(model, size, hand)
    outline = read_outline(drawn)
    try:
        return build_bat(model, size, hand, outline)
    except InputError as error:
        place = f"{model.name}, {size}"
        faults = (replace(fault, file=str(drawn), place=place) for fault in error.faults)
        raise ArtworkError(*faults) from None
