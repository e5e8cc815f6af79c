"""``livery serve`` at load for some minutes: memory over time, requests, errors, waits.

Run as ``python tests/bench/serve_soak.py MINUTES CLIENTS``. Exit 1: an answer was an error, a
capture was lost or doubled, or memory grew by more than a tenth after the first third.
"""

import sys
import tempfile
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from bench_day import IMAGE_WORK, photograph, work_a_day
from visitors import Tally, children_of, copy_season, cpu_seconds, resident_mib, serving

from livery.jobs.signing import open_records
from livery.records.history import read_captures

MOST_GROWTH = 1.10  # of the pages' own memory, from a third of the way on


def main(minutes: float, clients: int) -> int:
    """Soak; returns the exit code."""
    with tempfile.TemporaryDirectory(prefix="soak-") as name:
        folder = Path(name)
        season = copy_season(folder, clients)
        photo, target = photograph(season, folder, (1200, 960))
        with serving(season, "--target", target) as (url, server):
            seen, tally, kept = _soak(url, photo.read_bytes(), server.pid, minutes, clients)
        store = open_records(season)
        entered = [str(row["batch"]) for row in read_captures(store)]
        troubles = store.verify()
        store.close()
    _tell(tally)
    early = max(seen[: max(1, len(seen) // 3)])
    print(f"{len(kept)} captures kept, {len(entered)} entered, {len(tally.errors)} errors")
    print(f"memory of the pages: {early:.0f} MiB in the first third, {seen[-1]:.0f} MiB at the end")
    for line in (*tally.errors[:5], *(trouble.text for trouble in troubles[:5])):
        print(f"WRONG  {line}")
    sound = sorted(entered) == sorted(kept) and not troubles and not tally.errors
    return 0 if sound and seen[-1] <= MOST_GROWTH * early else 1


def _soak(
    url: str, photo: bytes, server: int, minutes: float, clients: int
) -> tuple[list[float], Tally, list[str]]:
    stop, done = threading.Event(), list[tuple[Tally, list[str]]]()
    day = threading.Thread(
        target=lambda: done.append(work_a_day(url, photo, clients, 1_000_000, stop))
    )
    start, used = time.monotonic(), cpu_seconds(server)
    day.start()
    seen = []
    while time.monotonic() - start < minutes * 60:
        time.sleep(min(15.0, minutes * 6))
        seen.append(resident_mib(server))
        crew = ", ".join(f"{resident_mib(child):.0f}" for child in children_of(server))
        spent = time.monotonic() - start
        print(f"{spent:6.0f} s   pages {seen[-1]:5.0f} MiB   crew {crew} MiB", flush=True)
    stop.set()
    day.join()
    tally, kept = done[0]
    count = sum(len(waits) for waits in tally.waits.values())
    each = 1000 * (cpu_seconds(server) - used) / count
    print(f"{count} requests, {each:.1f} ms of processor time in the pages for each")
    return seen, tally, kept


def _tell(tally: Tally) -> None:
    for kind, waits in sorted(tally.waits.items()):
        waits.sort()
        half, most = waits[len(waits) // 2], waits[int(len(waits) * 0.95)]
        print(
            f"{kind:<12} {len(waits):6}   half in {half * 1000:5.0f} ms, 95 % in {most * 1000:5.0f}"
        )
    within = tally.share(0.95, *IMAGE_WORK)
    print(f"apart from image work, 95 % in {within * 1000:.0f} ms")


if __name__ == "__main__":
    sys.exit(main(float(sys.argv[1]), int(sys.argv[2])))
