"""The real command line, run as a person runs it."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Runs ``livery`` in an 80-column terminal; returns what it said."""

    def call(*words: object, folder: Path | None = None) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "livery", *map(str, words)],
            capture_output=True,
            text=True,
            check=False,
            cwd=folder or tmp_path,
            env={**os.environ, "COLUMNS": "80", "NO_COLOR": "1"},
            timeout=300,
        )

    return call
