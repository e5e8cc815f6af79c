"""The same bytes on another machine, as far as one machine can be another.

An older processor (the vector code of numpy, OpenBLAS and the C library for newer ones is off),
another folder, home, time zone, language and order of hashes. Processors differ in the last bit of
an array's sines and powers and of a product of matrices, and that bit decides how areas overlay
that nearly touch: so the season is the demonstration's, with traps, swells and turned decals.
"""

import os
import subprocess
import sys
from pathlib import Path

from numpy._core import _multiarray_umath as numpy_code

NEWER = " ".join(numpy_code.__cpu_dispatch__)
OLDER = {
    "NPY_DISABLE_CPU_FEATURES": NEWER,
    "OPENBLAS_CORETYPE": "PRESCOTT",
    "GLIBC_TUNABLES": "glibc.cpu.hwcaps=-AVX2,-AVX,-FMA,-FMA4,-AVX512F,-SSE4_2",
    "HOME": "/nonexistent",
    "TZ": "Pacific/Auckland",
    "LC_ALL": "C",
    "PYTHONHASHSEED": "12345",
}


def _build(season: Path, out: Path, more: dict[str, str]) -> dict[str, bytes]:
    """Every file a build leaves for people, by its path."""
    words = [sys.executable, "-m", "livery", "build", str(season), "-o", str(out), "--jobs", "1"]
    done = subprocess.run(
        words, capture_output=True, text=True, check=False, env={**os.environ, **more}
    )
    assert done.returncode == 0, done.stderr
    files = sorted(path for path in out.rglob("*") if path.is_file() and path.name[0] != ".")
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in files}


def test_an_older_processor_elsewhere_writes_the_same_bytes(
    lean_season: Path, tmp_path: Path
) -> None:
    here = _build(lean_season, tmp_path / "here", {})
    there = _build(lean_season, tmp_path / "elsewhere" / "there", OLDER)
    assert len(here) > 20
    assert [name for name in here if here[name] != there.get(name)] == []
    assert here.keys() == there.keys()
