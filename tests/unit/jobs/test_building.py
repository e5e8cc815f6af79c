"""Decals are nested while the first papers are drawn."""

import threading
from itertools import count

import pytest

from livery.crew import Watch
from livery.errors import SeasonError
from livery.jobs.building import _aside


def test_a_fault_of_the_nesting_is_told_as_it_is() -> None:
    def nest(watch: Watch) -> None:
        raise SeasonError("too large")

    with pytest.raises(SeasonError, match="too large"), _aside(nest, print) as nested:
        nested.result()


@pytest.mark.usefixtures("soon")
def test_what_goes_wrong_meanwhile_ends_the_nesting() -> None:
    begun = threading.Event()
    ended: list[str] = []

    def nest(watch: Watch) -> None:
        try:
            for number in count():
                watch("nesting", number, 0)
        finally:
            ended.append("nesting")

    with pytest.raises(KeyboardInterrupt), _aside(nest, lambda *told: begun.set()):
        assert begun.wait(10)
        raise KeyboardInterrupt
    assert ended == ["nesting"]
