"""Image work in processes of their own: errors come back, and nobody outlives the pages."""

import os
import signal
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest

from livery.capture import read_photograph
from livery.crew.hands import Hands
from livery.errors import OutputError, PhotographError


@pytest.fixture(params=[False, True], ids=["at hand", "apart"])
def hands(request: pytest.FixtureRequest):
    with closing(Hands(2, apart=request.param)) as made:
        yield made


def test_work_is_done_and_a_refusal_comes_back_whole(hands: Hands) -> None:
    assert hands.do(sum, (1, 2, 3)) == 6
    with pytest.raises(PhotographError) as refused:
        hands.do(read_photograph, Path("nowhere.jpg"))
    assert refused.value.faults[0].file == "nowhere.jpg"


def test_work_apart_is_done_elsewhere_and_a_killed_process_is_followed_by_another() -> None:
    with closing(Hands(1, apart=True)) as hands:
        worker = hands.do(os.getpid)
        assert worker != os.getpid()
        with pytest.raises(OutputError, match="ended from outside"):
            hands.do(os.kill, worker, signal.SIGKILL)
        assert hands.do(sum, (1, 2)) == 3


def test_work_apart_gives_way_to_the_pages() -> None:
    with closing(Hands(1, apart=True)) as hands:
        assert hands.do(os.nice, 0) >= min(19, os.nice(0) + 10)


def test_a_line_that_is_too_long_is_refused_at_once() -> None:
    hands, held = Hands(1), threading.Event()
    crew = [threading.Thread(target=hands.do, args=(held.wait, 10)) for _ in range(25)]
    for one in crew:
        one.start()
    time.sleep(0.3)
    with pytest.raises(OutputError, match="Too many are waiting"):
        hands.do(sum, ())
    held.set()
    for one in crew:
        one.join()
    assert hands.do(sum, (1, 2)) == 3


PAGES = """
import os, time
from livery.crew.hands import Hands
if __name__ == "__main__":
    print(Hands(1, apart=True).do(os.getpid), flush=True)
    time.sleep(60)
"""


def test_the_crew_ends_when_the_pages_are_killed(tmp_path: Path) -> None:
    script = tmp_path / "pages.py"
    script.write_text(PAGES, "utf-8")
    pages = subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True)
    assert pages.stdout is not None
    worker = Path(f"/proc/{int(pages.stdout.readline())}")
    assert worker.exists()
    pages.kill()
    pages.communicate()
    for _ in range(200):
        if not worker.exists():
            return
        time.sleep(0.05)
    pytest.fail("the worker outlived the pages")


def test_hands_that_were_let_go_take_no_more_work() -> None:
    hands = Hands(1, apart=True)
    assert hands.do(sum, (1, 2)) == 3
    hands.close()
    with pytest.raises(OutputError, match="being stopped"):
        hands.do(sum, (1, 2))


def test_those_in_line_are_served_in_the_order_they_came() -> None:
    hands, held = Hands(1), threading.Event()
    done: list[int] = []
    crew = [threading.Thread(target=hands.do, args=(held.wait, 10))]
    crew += [threading.Thread(target=hands.do, args=(done.append, n)) for n in range(5)]
    for one in crew:
        one.start()
        time.sleep(0.02)
    held.set()
    for one in crew:
        one.join()
    assert done == [0, 1, 2, 3, 4]


def test_who_comes_again_at_once_lets_the_next_go_first() -> None:
    hands, done = Hands(1), list[str]()
    begun, held = threading.Event(), threading.Event()

    def ahead() -> None:
        hands.do(lambda: (begun.set(), held.wait(10)))
        for _ in range(20):
            hands.do(done.append, "ahead")

    one = threading.Thread(target=ahead)
    one.start()
    assert begun.wait(10)
    other = threading.Thread(target=hands.do, args=(done.append, "asked"))
    other.start()
    time.sleep(0.1)
    held.set()
    one.join()
    other.join()
    assert done[0] == "asked"


def test_urgent_work_gives_way_to_nobody_and_has_a_fresh_process_each_time() -> None:
    with closing(Hands(1, apart=True, urgent=True)) as hands:
        assert hands.do(os.nice, 0) == os.nice(0)
        assert hands.do(os.getpid) != hands.do(os.getpid)
