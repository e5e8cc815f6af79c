"""Work shared out from the command line: refused plainly, stopped cleanly."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from command_line import Run


@pytest.mark.parametrize("command", ["build season.toml -o out", "demo -o out"])
def test_an_address_that_is_none_is_refused_before_any_work(
    command: str, run: Run, tmp_path: Path
) -> None:
    done = run(*command.split(), "--cluster", "http://127.0.0.1:8786")
    assert done.returncode == 2
    assert "is no scheduler's address. Give tcp://HOST:PORT" in " ".join(done.stderr.split())
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("end", "stop", "code"),
    [
        (os.killpg, signal.SIGINT, 130),  # as a terminal does: to all of them
        (os.kill, signal.SIGTERM, 143),  # as a service's keeper does
    ],
)
def test_what_is_stopped_ends_every_process_and_leaves_all_as_it_was(
    demo_season: Path,
    tmp_path: Path,
    end: Callable[[int, int], None],
    stop: signal.Signals,
    code: int,
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "mine.txt").write_text("mine")
    words = ["build", str(demo_season), "-o", str(out), "--jobs", "2", "--json"]
    child = subprocess.Popen(
        [sys.executable, "-m", "livery", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    while not list(out.glob(".staging-*/*/*")):  # until workers have sent their first files
        assert child.poll() is None, child.communicate()
        time.sleep(0.02)
    end(child.pid, stop)
    printed, said = child.communicate(timeout=60)  # ends when the last of them has let go of it
    assert child.returncode == code
    assert said.strip() == "livery: stopped; earlier outputs are untouched."
    assert printed == ""
    assert [path.name for path in out.rglob("*")] == ["mine.txt"]
    assert _is_gone(child.pid)


def _is_gone(group: int) -> bool:
    """Whether no process of a group is left, or is soon."""
    for _ in range(500):
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.02)
    return False
