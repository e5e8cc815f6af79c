import threading

import pytest

from livery.jobs.newest import Newest


def test_the_longest_unasked_make_room() -> None:
    kept: Newest[str] = Newest(2)
    made: list[str] = []

    def find(key: str) -> str:
        return kept.find(key, lambda: made.append(key) or key.upper())

    assert [find(key) for key in "abacab"] == list("ABACAB")
    assert made == ["a", "b", "c", "b"]


def test_those_who_ask_at_once_wait_for_one_and_a_refusal_is_not_kept() -> None:
    kept: Newest[int] = Newest(2)
    begun, go_on, made = threading.Event(), threading.Event(), []

    def slow() -> int:
        made.append(1)
        begun.set()
        go_on.wait(10)
        return 7

    found: list[int] = []
    crew = [threading.Thread(target=lambda: found.append(kept.find("x", slow))) for _ in range(4)]
    for one in crew:
        one.start()
    assert begun.wait(10)
    go_on.set()
    for one in crew:
        one.join()
    assert (found, made) == ([7] * 4, [1])
    with pytest.raises(ZeroDivisionError):
        kept.find("y", lambda: 1 // 0)
    assert kept.find("y", lambda: 2) == 2
