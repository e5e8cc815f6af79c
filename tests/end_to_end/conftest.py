"""The command line, run as a person runs it."""

import io
import os
import signal
import subprocess
import sys
from contextlib import chdir, redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from command_line import Run

from livery.cli import main

TERMINAL = {"COLUMNS": "80", "NO_COLOR": "1"}


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Runs ``livery`` in an 80-column terminal; returns what it said.

    It runs in this process: the same words, exit codes and files, without the start. What an
    operating system adds (signals, limits, a full disk) is for ``spawn``.
    """

    def call(*words: object, folder: Path | None = None) -> subprocess.CompletedProcess[str]:
        said, complained = io.StringIO(), io.StringIO()
        before = signal.getsignal(signal.SIGTERM)
        with (
            chdir(folder or tmp_path),
            redirect_stdout(said),
            redirect_stderr(complained),
            pytest.MonkeyPatch.context() as patch,
        ):
            patch.setattr(sys, "argv", ["livery", *map(str, words)])
            for name, value in TERMINAL.items():
                patch.setenv(name, value)
            with pytest.raises(SystemExit) as end:
                main()
        signal.signal(signal.SIGTERM, before)
        code = end.value.code or 0
        assert isinstance(code, int)
        return subprocess.CompletedProcess(words, code, said.getvalue(), complained.getvalue())

    return call


@pytest.fixture
def spawn(tmp_path: Path) -> Run:
    """As ``run``, by the real command line in a process of its own."""

    def call(*words: object, folder: Path | None = None) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "livery", *map(str, words)],
            capture_output=True,
            text=True,
            check=False,
            cwd=folder or tmp_path,
            env={**os.environ, **TERMINAL},
            timeout=300,
        )

    return call
