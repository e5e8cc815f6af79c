"""``livery serve`` at load for some minutes: memory over time, requests, errors, waits.

Run as ``python tests/bench/serve_soak.py MINUTES CLIENTS``; ``--captures 2000`` ends once so many
are kept, ``--postgresql`` keeps them on a server started for the purpose, and ``--pause 8`` has
everyone look for so many seconds at what they see before they go on, seven times a bat. Exit 1:
an answer was an error, a capture was lost or doubled, memory grew by more than a tenth after
warming up, or 95 % of the requests that neither measure a photograph nor draw a proof waited
300 ms or more.
"""

import argparse
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from bench_day import IMAGE_WORK, Day, photograph
from postgres import new_database, postgresql
from visitors import children_of, copy_season, cpu_seconds, resident_mib, serving

from livery.jobs.season_records import open_records
from livery.records.history import read_captures

MOST_GROWTH = 1.10  # of the pages' own memory once warm
WARM_AFTER_S = 180.0  # or a third of a shorter soak
MOST_WAIT_S = 0.3  # of 95 % of requests apart from image work


@dataclass
class Watched:
    """Memory of the pages' own process, MiB, by seconds since the start."""

    seen: list[tuple[float, float]] = field(default_factory=list)

    def growth(self) -> tuple[float, float]:
        """Memory when warm and at the end."""
        warm_s = min(WARM_AFTER_S, self.seen[-1][0] / 3)
        return max(mib for s, mib in self.seen if s <= warm_s), self.seen[-1][1]


def main(words: argparse.Namespace) -> int:
    """Soak; returns the exit code."""
    with tempfile.TemporaryDirectory(prefix="soak-") as name, _database(words) as url:
        folder = Path(name)
        season = copy_season(folder, words.clients, url)
        photo, target = photograph(season, folder, (1200, 960))
        flags = ("--database", url) if url else ()
        with serving(season, "--target", target, *flags) as (pages, server):
            day = Day(pages, photo.read_bytes(), words.clients, words.captures, words.pause)
            watched = _soak(day, server.pid, words.minutes)
        store = open_records(season, url)
        entered = [str(row["batch"]) for row in read_captures(store)]
        troubles = store.verify()
        store.close()
    tally, kept = day.tally, day.kept
    _tell(day)
    warm, end = watched.growth()
    within = tally.share(0.95, *IMAGE_WORK)
    print(f"{len(kept)} captures kept, {len(entered)} entered, {len(tally.errors)} errors")
    print(f"apart from image work, 95 % in {within * 1000:.0f} ms")
    print(f"memory of the pages: {warm:.0f} MiB when warm, {end:.0f} MiB at the end")
    for line in (*tally.errors[:5], *(trouble.text for trouble in troubles[:5])):
        print(f"WRONG  {line}")
    sound = sorted(entered) == sorted(kept) and not troubles and not tally.errors
    return 0 if sound and end <= MOST_GROWTH * warm and within < MOST_WAIT_S else 1


@contextmanager
def _database(words: argparse.Namespace) -> Iterator[str | None]:
    if not words.postgresql:
        yield None
        return
    with postgresql(durable=True) as server:
        yield new_database(server)


def _soak(day: Day, server: int, minutes: float) -> Watched:
    work = threading.Thread(target=day.work)
    start, used, own = time.monotonic(), cpu_seconds(server), time.process_time()
    work.start()
    watched = Watched()
    while work.is_alive() and time.monotonic() - start < minutes * 60:
        work.join(min(15.0, minutes * 6))
        spent = time.monotonic() - start
        watched.seen.append((spent, resident_mib(server)))
        crew = ", ".join(f"{resident_mib(child):.0f}" for child in children_of(server))
        told = f"{spent:6.0f} s   {len(day.kept):5} kept   pages {watched.seen[-1][1]:5.0f} MiB"
        print(f"{told}   crew {crew} MiB", flush=True)
    day.stop.set()
    work.join()
    count = sum(len(waits) for waits in day.tally.waits.values())
    spent, told = cpu_seconds(server) - used, time.monotonic() - start
    each, own = 1000 * spent / count, 1000 * (time.process_time() - own) / count
    print(f"{count} requests, {count / told:.0f} a second")
    print(f"processor time for each: {each:.1f} ms in the pages, {own:.1f} ms in the visitors")
    return watched


def _tell(day: Day) -> None:
    for kind, waits in sorted(day.tally.waits.items()):
        waits.sort()
        half, most = waits[len(waits) // 2], waits[int(len(waits) * 0.95)]
        apart = "   image work" if kind in IMAGE_WORK else ""
        print(
            f"{kind:<12} {len(waits):6}   "
            f"half in {half * 1000:5.0f} ms, 95 % in {most * 1000:5.0f}{apart}"
        )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("minutes", type=float)
    parser.add_argument("clients", type=int)
    parser.add_argument("--captures", type=int, default=1_000_000)
    parser.add_argument("--postgresql", action="store_true")
    parser.add_argument("--pause", type=float, default=0.0)
    sys.exit(main(parser.parse_args()))
