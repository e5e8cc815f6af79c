"""One table of the benchmarks: ``python tests/bench/table.py [pytest's options]``.

Runs them all, or those chosen with ``-k``, and prints the machine, the versions, and for each its
median, what it is held against, how many times the peer's time it takes, the bar, and the spread
(between the quartiles, of the median).
"""

import json
import os
import platform
import subprocess
import sys
import tempfile
from importlib import metadata
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
LIBRARIES = ("numpy", "shapely", "opencv-python-headless", "reportlab", "pikepdf", "spyrrow")
WIDTHS = (32, 9, 19, 6, 5, 6)
HEAD = ("benchmark", "median", "against", "ratio", "bar", "spread")


def main(options: list[str]) -> int:
    """Run, print, and pass on how the run ended."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.json"
        words = [sys.executable, "-m", "pytest", str(HERE), "--benchmark-only", "-n0", "-q"]
        words += [f"--benchmark-json={report}", "--benchmark-columns=median", *options]
        done = subprocess.run(words, stdout=sys.stderr, check=False)
        found = json.loads(report.read_text("utf-8")) if report.is_file() else {"benchmarks": []}
    print("\n".join(table(found)))
    return done.returncode


def table(report: dict[str, Any]) -> list[str]:
    """The table's lines, none over 80 columns."""
    cpu = report.get("machine_info", {}).get("cpu", {})
    machine = cpu.get("brand_raw") or platform.processor() or platform.machine()
    lines = [f"{machine}, {os.cpu_count()} cores, {platform.system()}"[:80]]
    versions = [f"Python {platform.python_version()}"]
    versions += [f"{name} {metadata.version(name)}" for name in LIBRARIES]
    lines += _wrapped(versions)
    lines += ["", _row(HEAD), _row(tuple("-" * width for width in WIDTHS))]
    lines += [_row(_cells(one, report["benchmarks"])) for one in report["benchmarks"]]
    return lines


def _cells(one: dict[str, Any], every: list[dict[str, Any]]) -> tuple[str, ...]:
    stats, told = one["stats"], one["extra_info"]
    name = one["name"].removeprefix("test_").replace("_", " ")
    ratio = _ratio(one, every)
    bar = f"{told['bar']:g}" if "bar" in told else ""
    spread = f"{100 * stats['iqr'] / stats['median']:.0f} %" if stats["rounds"] > 1 else "once"
    shown = f"{ratio:.2f}" if ratio is not None else ""
    return (name, _time(stats["median"]), str(told.get("peer", "")), shown, bar, spread)


def _ratio(one: dict[str, Any], every: list[dict[str, Any]]) -> float | None:
    """How many times the peer's time: as told, or by another benchmark of that name."""
    told, median = one["extra_info"], one["stats"]["median"]
    if "ratio" in told:
        return float(told["ratio"])
    if "peer_s" in told:
        return float(median / told["peer_s"])
    peers = [other for other in every if other["name"] == told.get("peer_test")]
    return float(median / peers[0]["stats"]["median"]) if peers else None


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"


def _row(cells: tuple[str, ...]) -> str:
    name, *numbers = (cell[:width] for cell, width in zip(cells, WIDTHS, strict=True))
    rest = zip(numbers, WIDTHS[1:], strict=True)
    aligned = [f"{n:<{w}}" if w == WIDTHS[2] else f"{n:>{w}}" for n, w in rest]
    return " ".join([f"{name:<{WIDTHS[0]}}", *aligned]).rstrip()


def _wrapped(words: list[str]) -> list[str]:
    lines = [""]
    for word in words:
        longer = f"{lines[-1]}, {word}" if lines[-1] else word
        if len(longer) <= 80:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
