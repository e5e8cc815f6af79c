"""The pages started and stopped: in words when they cannot, at once when they are told to."""

import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

from small_season import cut_down
from visitors import KEY, Tally, Visitor, copy_season, serving


def test_a_port_in_use_is_told_in_words_and_a_proof_being_drawn_holds_up_nothing(
    tmp_path: Path,
) -> None:
    season = cut_down(copy_season(tmp_path, 1))
    with serving(season) as (url, server):
        words = ("serve", str(season), "--port", url.rpartition(":")[2])
        done = subprocess.run(
            [sys.executable, "-m", "livery", *words], capture_output=True, text=True, check=False
        )
        assert done.returncode == 2
        assert "nobody can listen at 127.0.0.1 (Address already in use)" in done.stderr
        visitor = Visitor(url, Tally())
        visitor.enter("Bench 0", KEY)
        asked = threading.Thread(target=visitor.get, args=("/proof/Q-101", "proof"))
        asked.start()
        time.sleep(0.3)
        start = time.monotonic()
        server.terminate()
        server.wait(60)
        assert time.monotonic() - start < 15
        asked.join()
        visitor.close()


def test_ctrl_c_pressed_twice_ends_the_pages_in_peace(tmp_path: Path) -> None:
    season, said = cut_down(copy_season(tmp_path, 1)), tmp_path / "said.txt"
    telling = ("sh", "-c", f'exec "$@" 2> "{said}"', "sh")
    with serving(season, before=telling) as (_, server):
        for _ in range(2):
            server.send_signal(signal.SIGINT)
            time.sleep(0.05)
        assert server.wait(60) == 0
    assert "Traceback" not in said.read_text("utf-8")
