"""Decals are nested while the first papers are drawn."""

from itertools import count

import pytest

from livery.errors import SeasonError
from livery.jobs.building import _aside


def test_a_fault_of_the_nesting_is_told_as_it_is() -> None:
    def nest(watch: object) -> None:
        raise SeasonError("too large")

    with pytest.raises(SeasonError, match="too large"), _aside(nest, print) as nested:
        nested.result()


def test_what_goes_wrong_meanwhile_ends_the_nesting() -> None:
    told: list[int] = []

    def nest(watch) -> None:
        for number in count():
            watch("nesting", number, 0)

    with pytest.raises(KeyboardInterrupt), _aside(nest, lambda *words: told.append(words[1])):
        while not told:
            pass
        raise KeyboardInterrupt
    assert told
