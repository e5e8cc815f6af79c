"""Which way each letter of a line runs, and the order in which its stretches are seen."""

from __future__ import annotations

import unicodedata

_ENDING = ",;:.·–—“”"  # before a space, what ends a name set into a line (workshop choice)
_TURNING = frozenset(("R", "AL", "AN", "RLE", "RLO", "RLI"))

Stretch = tuple[str, str, int]


def turned(stretches: list[Stretch], lowest: int) -> list[Stretch]:
    """The same stretches, each run of those at or above a level the other way round."""
    ordered: list[Stretch] = []
    run: list[Stretch] = []
    for one in stretches:
        if one[2] >= lowest:
            run.append(one)
        else:
            ordered += [*reversed(run), one]
            run = []
    return [*ordered, *reversed(run)]


def levels_of(text: str) -> tuple[int, ...]:
    """Each character's embedding level: odd runs from right to left.

    A line runs from left to right unless no letter in it does; a name in Urdu at its head does
    not turn the line that tells of it, nor what stands after a comma.

    Source: [uax-9], through the python-bidi library.
    """
    from bidi import algorithm  # type: ignore[import-untyped]

    kinds = [unicodedata.bidirectional(character) for character in text]
    if not any(kind in _TURNING for kind in kinds):
        return (0,) * len(text)
    base = 0 if "L" in kinds else 1
    storage = {**algorithm.get_empty_storage(), "base_level": base, "base_dir": "LR"[base]}
    algorithm.get_embedding_levels(text, storage)
    for index, character in enumerate(storage["chars"]):
        character["index"] = index
        if base == 0 and character["ch"] in _ENDING and text[index + 1 : index + 2] == " ":
            character["type"] = "L"
    for step in (
        algorithm.explicit_embed_and_overrides,
        algorithm.resolve_weak_types,
        algorithm.resolve_neutral_types,
        algorithm.resolve_implicit_levels,
    ):
        step(storage, False)
    known = {character["index"]: character["level"] for character in storage["chars"]}
    levels: list[int] = []
    for index in range(len(text)):  # joiners and marks that steer stay with what is before them
        levels.append(known.get(index, levels[-1] if levels else base))
    return tuple(levels)
