"""Killed at random moments while signing, importing and building: no promise is broken."""

import subprocess
import sys
from pathlib import Path

WORKER = Path(__file__).parents[1] / "support" / "killed.py"


def test_fifty_kills_lose_nothing_and_leave_no_half_file(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, str(WORKER), str(tmp_path), "50", "7"],
        capture_output=True,
        text=True,
        check=False,
        timeout=280,
    )
    assert (done.returncode, done.stdout) == (0, ""), done.stdout + done.stderr
    promises = int(done.stderr.split()[-2])
    assert promises >= 50, "the workers were killed before they had begun"
