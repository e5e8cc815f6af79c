"""Image work in processes of their own: errors come back, and nobody outlives the pages."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from livery.capture import read_photograph
from livery.errors import OutputError, PhotographError
from livery.jobs.hands import Hands


@pytest.fixture(params=[False, True], ids=["at hand", "apart"])
def hands(request: pytest.FixtureRequest):
    made = Hands(2, apart=request.param)
    yield made
    made.close()


def test_work_is_done_and_a_refusal_comes_back_whole(hands: Hands) -> None:
    assert hands.do(sum, (1, 2, 3)) == 6
    with pytest.raises(PhotographError) as refused:
        hands.do(read_photograph, Path("nowhere.jpg"))
    assert refused.value.faults[0].file == "nowhere.jpg"


def test_work_apart_is_done_elsewhere_and_a_killed_process_is_followed_by_another() -> None:
    hands = Hands(1, apart=True)
    try:
        worker = hands.do(os.getpid)
        assert worker != os.getpid()
        with pytest.raises(OutputError, match="ended from outside"):
            hands.do(os.kill, worker, signal.SIGKILL)
        assert hands.do(sum, (1, 2)) == 3
    finally:
        hands.close()


PAGES = """
import os, time
from livery.jobs.hands import Hands
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
