from functools import partial
from operator import mul, truediv

import pytest

from livery.jobs.crew import do_all


@pytest.mark.parametrize("jobs", [1, 2])
def test_results_keep_their_order(jobs: int) -> None:
    seen: list[tuple[str, int, int]] = []
    tasks = [partial(mul, k, 2) for k in range(5)]
    results = do_all(tasks, jobs=jobs, stage="doubling", watch=lambda *told: seen.append(told))
    assert results == [0, 2, 4, 6, 8]
    assert seen[0] == ("doubling", 0, 5)
    assert seen[-1] == ("doubling", 5, 5)


@pytest.mark.parametrize("jobs", [1, 2])
def test_the_first_failure_is_raised(jobs: int) -> None:
    with pytest.raises(ZeroDivisionError):
        do_all([partial(truediv, 1, d) for d in (1, 0, 2)], jobs=jobs)


def test_nothing_to_do_is_done() -> None:
    assert do_all([], jobs=4) == []
