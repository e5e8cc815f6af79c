"""Seasons of any number of decals, and what building one takes, children included."""

import csv
import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import psutil
from folders import copy_demo

PER_BAT = 9  # decals on one bat of the demo season
SIZES = ("short-handle", "harrow", "size-5")
FIRST = ("Ada", "Bram", "Cato", "Dell", "Edda", "Finn", "Greer", "Hale", "Isla", "Jory")
LAST = ("Alder", "Birch", "Cedar", "Dogwood", "Elder", "Furze", "Gorse", "Hazel", "Ivy", "Juniper")
ENDS = ("", "son", "by", "ley", "ford", "wick", "ham", "ton", "dale", "mere", "more", "stead")


@dataclass(frozen=True, slots=True)
class Taken:
    """What a build took.

    Attributes:
        wall_s: by the clock.
        cpu_s: of it and its workers.
        peak_mb: greatest memory of it and its workers at one moment, shared pages once.
        resident_mb: the same with shared pages once for each process that has them.
        decals: on all sheets.
    """

    wall_s: float
    cpu_s: float
    peak_mb: float
    resident_mb: float
    decals: int


def write_season(folder: Path, decals: int) -> Path:
    """The demo's kit and artwork with as many invented orders as bear so many decals."""
    season = copy_demo(folder)
    text = season.read_text("utf-8")
    kit = text[: text.index("[[orders]]")]
    orders = (_order(number) for number in range(max(1, round(decals / PER_BAT))))
    season.write_text(kit + "\n".join(orders), "utf-8")
    return season


def _order(number: int) -> str:
    first, rest = FIRST[number % 10], number // 10
    player = f"{first} {LAST[rest % 10]}{ENDS[rest // 10 % 12]}"
    hand = "left" if number % 5 == 0 else "right"
    return f"""
[[orders]]
key = "N-{number:05d}"
player = "{player}"
hand = "{hand}"
weight = "2 lb {number % 12} oz"
number = "{number % 100}"
items = [{{ item = "sedge", size = "{SIZES[number % 3]}" }}]
"""


def build(season: Path, out: Path, *flags: str) -> Taken:
    """Run ``livery build`` and watch what it takes."""
    words = [sys.executable, "-m", "livery", "build", str(season), "-o", str(out), "--json", *flags]
    before, began = os.times(), time.monotonic()
    child = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    peak, resident = 0.0, 0.0
    while child.poll() is None:
        once, each = _memory_mb(child.pid)
        peak, resident = max(peak, once), max(resident, each)
        time.sleep(0.25)
    after = os.times()
    assert child.returncode in (0, 1)
    cpu = after.children_user + after.children_system - before.children_user
    wall = time.monotonic() - began
    return Taken(wall, cpu - before.children_system, peak, resident, count_decals(out))


def _memory_mb(pid: int) -> tuple[float, float]:
    """Of a process and those it began: proportional and resident sizes, each summed up."""
    once = each = 0
    try:
        head = psutil.Process(pid)
        for process in (head, *head.children(recursive=True)):
            memory = process.memory_full_info()
            once, each = once + memory.pss, each + memory.rss
    except psutil.Error:
        pass  # one has just ended
    return once / 1e6, each / 1e6


def count_decals(out: Path) -> int:
    """Lines of the pick list, by their copies."""
    with (out / "orders" / "picks.csv").open(encoding="utf-8", newline="") as picks:
        return sum(int(row["copies"]) for row in csv.DictReader(picks))
