"""Throw bad files at every reader: each must give a value or a clear error, and soon.

    python tests/bench/fuzz_readers.py [READER ...] [--count N] [--seed S] [--guided] [--keep DIR]

Plain runs mutate small good files; the same seed gives the same files anywhere. With ``--guided``
they are chosen by the code they reach, which needs atheris (optional: ``pip install atheris``).
Each reader works in a process of its own that may work 5 s on a file and grow by 1 GB; one that
kills it is a fault like any other, and the run goes on with the next. All readers get a thousand
files each before any gets ten thousand, so that a run cut short has left none out. Faults are kept
in DIR, and the same DIR goes on where a run ended.
"""

import argparse
import contextlib
import json
import mmap
import os
import resource
import signal
import struct
import subprocess
import sys
import tempfile
import time
import traceback
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "support"))

MOST_S = 5
MOST_GROWTH = 1 << 30
_FIELDS = (
    "number", "values", "errors", "faults", "worst_ns", "worst", "rss_before", "rss_after", "ready",
)  # fmt: skip
_FIRST_ROUND = 1000
_LAYOUT = struct.Struct(f"{len(_FIELDS)}q")


class Tally:
    """Counts in a file that both processes map, so that they outlive a process that is killed."""

    def __init__(self, path: Path) -> None:
        if not path.exists():
            path.write_bytes(bytes(_LAYOUT.size))
        with path.open("r+b") as stream:
            self._map = mmap.mmap(stream.fileno(), _LAYOUT.size)

    def __getitem__(self, name: str) -> int:
        return _LAYOUT.unpack(self._map)[_FIELDS.index(name)]

    def __setitem__(self, name: str, value: int) -> None:
        struct.pack_into("q", self._map, 8 * _FIELDS.index(name), value)


class Child:
    """Reads one bad file after another, and notes what each came to."""

    def __init__(self, name: str, keep: Path) -> None:
        from readers import READERS, prepare, take

        self.reader, self.keep, self._take = READERS[name], keep, take
        self.tally = Tally(keep / "tally")
        self.folder = keep / "work"
        self.folder.mkdir(exist_ok=True)
        prepare(self.folder)
        for seed in self.reader.seeds:  # what is loaded once is no growth
            take(self.reader, self.folder, seed)
        if not self.tally["rss_before"]:
            self.tally["rss_before"] = _peak_rss()
        now = int(Path("/proc/self/statm").read_text().split()[0]) * mmap.PAGESIZE
        resource.setrlimit(resource.RLIMIT_AS, (now + MOST_GROWTH, resource.RLIM_INFINITY))
        self.tally["ready"] = 1

    def judge(self, data: bytes) -> None:
        """Read one file, within the time allowed."""
        signal.setitimer(signal.ITIMER_PROF, MOST_S)  # a busy machine is no fault of the reader's
        signal.setitimer(signal.ITIMER_REAL, 20 * MOST_S)
        start = time.process_time_ns()
        try:
            taken = self._take(self.reader, self.folder, data)
            self.tally["values" if taken else "errors"] += 1
        except Exception as error:
            self._note(_describe(error), data, traceback.format_exc())
        taken_ns = time.process_time_ns() - start
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)
        if taken_ns > self.tally["worst_ns"]:
            self.tally["worst_ns"], self.tally["worst"] = taken_ns, self.tally["number"]
            (self.keep / "slowest").write_bytes(data)
        self.tally["number"] += 1
        self.tally["rss_after"] = _peak_rss()

    def _note(self, what: str, data: bytes, trace: str) -> None:
        self.tally["faults"] += 1
        note_fault(self.keep, self.tally["number"], what, data, trace)

    def mutate(self, count: int, seed: int) -> None:
        """Read files until the count is reached."""
        from mutations import mutate

        while self.tally["number"] < count:
            self.judge(mutate(self.reader.seeds, seed, self.tally["number"]))

    def explore(self, count: int, seed: int) -> None:
        """Read files chosen by the code that earlier ones reached. Ends the process."""
        import atheris
        from mutations import change

        def vary(data: bytes, most: int, seed: int) -> bytes:
            """Half of the time by what readers stumble over, half by bytes."""
            if seed % 2:
                return change(data, self.reader.seeds, seed)[:most]
            varied: bytes = atheris.Mutate(data, most)
            return varied

        corpus = self.keep / "corpus"
        if not corpus.exists():
            corpus.mkdir()
            for number, good in enumerate(self.reader.seeds):
                (corpus / f"seed-{number}").write_bytes(good)
        left = max(0, count - self.tally["number"])
        most = max(20_000, *(2 * len(good) for good in self.reader.seeds))
        run = seed + self.tally["number"]
        options = [
            f"-runs={left}",
            f"-seed={run}",
            f"-max_len={most}",
            "-timeout=0",
            "-close_fd_mask=0",
        ]
        command = [sys.argv[0], *options, "-rss_limit_mb=0", str(corpus)]
        atheris.Setup(command, self.judge, custom_mutator=vary)
        atheris.Fuzz()


def note_fault(keep: Path, number: int, what: str, data: bytes, trace: str) -> None:
    """Keep the first file that shows a fault, and count those that show it again."""
    path = keep / "faults.json"
    known = json.loads(path.read_text()) if path.exists() else {}
    if what not in known:
        known[what] = {"number": number, "times": 0, "trace": trace}
        (keep / f"fault-{len(known)}").write_bytes(data)
    known[what]["times"] += 1
    path.write_text(json.dumps(known, indent=1))


def _describe(error: Exception) -> str:
    """A fault by its kind and the last place of livery's that it came through."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "/livery/" in frame.filename] or list(frames)
    where = f"{Path(ours[-1].filename).name}, {ours[-1].name}"
    words = f": {error}"[:100] if type(error).__name__ == "UnclearError" else ""
    return f"{type(error).__name__} in {where}{words}"


def _peak_rss() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def run_reader(name: str, count: int, options: argparse.Namespace) -> dict[str, object]:
    """Run one reader's process until it has read so many files, and again after each death."""
    keep = options.keep / name
    keep.mkdir(parents=True, exist_ok=True)
    tally = Tally(keep / "tally")
    command = [sys.executable, __file__, name, "--child", "--keep", str(keep)]
    command += ["--count", str(count), "--seed", str(options.seed)]
    command += ["--guided"] if options.guided else []
    one_thread = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "OPENCV_LOG_LEVEL": "OFF"}
    while tally["number"] < count:
        tally["ready"] = 0
        with (keep / "log").open("ab") as log:
            done = subprocess.run(command, stdout=log, stderr=log, env=os.environ | one_thread)
        if not tally["ready"]:
            note_fault(keep, tally["number"], f"it does not start; see {keep / 'log'}", b"", "")
            break
        if tally["number"] < count:
            _note_death(name, keep, tally, done.returncode)
    told = {field: tally[field] for field in _FIELDS}
    faults = keep / "faults.json"
    known = json.loads(faults.read_text()) if faults.exists() else {}
    return {"reader": name, **told, "known": known}


def _note_death(name: str, keep: Path, tally: Tally, code: int) -> None:
    from readers import READERS

    code_name = f"exit code {code}"
    with contextlib.suppress(ValueError):
        code_name = signal.Signals(-code).name
    late = code in (-signal.SIGALRM, -signal.SIGPROF)
    what = f"no end within {MOST_S} s" if late else f"death by {code_name}"
    data = (keep / "work" / READERS[name].file).read_bytes()
    note_fault(keep, tally["number"], what, data, "")
    tally["faults"] += 1
    tally["number"] += 1


def main() -> int:
    """Run the readers named, or all, and print a table; 1 where there are faults."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("readers", nargs="*")
    parser.add_argument("--count", type=int, default=1000, help="files for each reader")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--guided", action="store_true", help="choose files by the code they reach")
    parser.add_argument(
        "--keep", type=Path, help="folder for faults; counts there are gone on with"
    )
    parser.add_argument("--child", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.child:
        _be_child(options)
        return 0
    if options.keep is None:
        options.keep = Path(tempfile.mkdtemp(prefix="fuzz-readers-"))
    from readers import READERS

    print(
        f"{'reader':<11} {'files':>9} {'values':>8} {'errors':>8} {'worst':>8} {'grew':>7} faults"
    )
    for count in _rounds(options.count):
        rows = [_show(run_reader(name, count, options)) for name in options.readers or READERS]
    total = sum(row["number"] for row in rows)
    print(f"{'together':<11} {total:>9,} files; kept in {options.keep}")
    return 1 if any(row["known"] for row in rows) else 0


def _rounds(count: int) -> list[int]:
    """How many files every reader is to have had by the end of each round."""
    rounds = []
    while (most := _FIRST_ROUND * 10 ** len(rounds)) < count:
        rounds.append(most)
    return [*rounds, count]


def _be_child(options: argparse.Namespace) -> None:
    if options.guided:
        import atheris

        sys.modules.pop("tomllib", None)  # so that its own steps are seen as well
        with atheris.instrument_imports(include=["livery", "tomllib"]):
            child = Child(options.readers[0], options.keep)
        child.explore(options.count, options.seed)
    else:
        Child(options.readers[0], options.keep).mutate(options.count, options.seed)


def _show(row: dict[str, object]) -> dict[str, object]:
    grew = (row["rss_after"] - row["rss_before"]) / 1e6
    print(
        f"{row['reader']:<11} {row['number']:>9,} {row['values']:>8,} {row['errors']:>8,} "
        f"{row['worst_ns'] / 1e6:>5.0f} ms {grew:>4.0f} MB {len(row['known'])}",
        flush=True,
    )
    for what, one in row["known"].items():
        print(f"    {what} ({one['times']} times, first {one['number']})", flush=True)
    return row


if __name__ == "__main__":
    sys.exit(main())
