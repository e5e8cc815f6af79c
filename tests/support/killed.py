"""Work that is killed: sign, take evidence in and build, over and over, until the end comes.

Run as ``python killed.py FOLDER ROUNDS SEED``; prints what was found amiss, or nothing. A fresh
process forks each worker, so that none inherits threads.
"""

import hashlib
import os
import random
import signal
import sys
import time
from pathlib import Path

from signers import ACCOUNT, MAKER

from livery.drawing import BLACK, Drawing, Label, Layer, LayerKind, Page
from livery.output import render_pdf, write_pdf
from livery.records.history import Occasion, read_captures, save_capture
from livery.records.ledger import Act, Deed
from livery.records.people import begin, unlock_key
from livery.records.store import Store
from livery.writing import StagedFolder, write_whole

GATES = [{"gate": "focus", "ok": True}]


def drawing(number: int) -> Drawing:
    """A page that differs with its number."""
    words = tuple(Label(f"{number} {line}", 10, 280 - line, 8, BLACK) for line in range(200))
    return Drawing("sheet", (Page(210, 297, (Layer("page", LayerKind.INFORMATION, words),)),))


def work(folder: Path, told: int, first: int) -> None:
    """Never ends; says on ``told`` what it was told is safe."""
    store = Store(folder / "records")
    key = unlock_key(store, *ACCOUNT)
    for number in range(first, first + 100_000):
        photo = b"\xff\xd8\xff" + hashlib.sha256(str(number).encode()).digest() * 4000
        sample = {"name": str(number), "item": "bat", "ink": "tarn", "lab": [50, 0, 0]}
        capture = {"samples": [sample], "gates": GATES}
        occasion = Occasion(f"bat {number}", "one", "", "2027-01-20")
        save_capture(store, photo, "x.jpg", capture, (), occasion)
        os.write(told, f"capture bat {number}\n".encode())
        content = hashlib.sha256(f"proof {number}".encode()).hexdigest()
        store.enter(Deed(Act.OFFER, f"Q-{number}", 1, content, MAKER, "2027-01-20"), key)
        os.write(told, f"entry {content}\n".encode())
        write_pdf(drawing(number % 5), folder / "out" / "sheet.pdf")
        with StagedFolder(folder / "set") as staged:
            for name in ("a.txt", "b.txt", "c.txt"):
                write_whole(staged.path / name, f"{number} " * 5000)


def amiss(folder: Path, told: str, whole: set[str]) -> list[str]:
    """What does not stand after a kill."""
    store = Store(folder / "records")
    found = [trouble.text for trouble in store.verify()]
    captures = [row["bat"] for row in read_captures(store)]
    contents = {entry.content for entry in store.entries()}
    store.close()
    if len(captures) != len(set(captures)):
        found.append("a capture is there twice")
    for line in told.splitlines():
        kind, _, what = line.partition(" ")
        if what not in (captures if kind == "capture" else contents):
            found.append(f"lost: {line}")
    sheet = folder / "out" / "sheet.pdf"
    if sheet.exists() and hashlib.sha256(sheet.read_bytes()).hexdigest() not in whole:
        found.append("half a sheet")
    for path in (folder / "set").glob("*.txt"):
        words = path.read_text("utf-8").split(" ")
        if len(words) != 5001 or len(set(words[:-1])) != 1:
            found.append(f"half a file: {path.name}")
    return found


def left_over(folder: Path) -> list[str]:
    """Temporaries still there once another run has opened the records and written outputs."""
    Store(folder / "records").close()
    write_pdf(drawing(0), folder / "out" / "sheet.pdf")
    with StagedFolder(folder / "set") as staged:
        write_whole(staged.path / "a.txt", "a")
    return [f"left over: {path}" for path in folder.rglob(".*.livery")]


def _wait_for_more(log: Path, than: int) -> None:
    for _ in range(2000):
        if log.stat().st_size > than:
            return
        time.sleep(0.01)


def main(folder: Path, rounds: int, seed: int) -> None:
    """Kill ``rounds`` workers at random moments and look at what each left."""
    store = Store(folder / "records")
    begin(store, *ACCOUNT, "2027-01-20")
    store.close()
    whole = {hashlib.sha256(render_pdf(drawing(n))).hexdigest() for n in range(5)}
    moments, log = random.Random(seed), folder / "told.log"
    promised = 0
    for turn in range(rounds):
        told = os.open(log, os.O_CREAT | os.O_WRONLY | os.O_APPEND)
        child = os.fork()
        if child == 0:
            work(folder, told, turn * 100_000)
        os.close(told)
        _wait_for_more(log, promised)
        promised = log.stat().st_size
        time.sleep(moments.random() * 0.4)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        for line in amiss(folder, log.read_text("utf-8"), whole):
            print(f"after kill {turn}: {line}")
    for line in left_over(folder):
        print(line)
    print(f"{len(log.read_text('utf-8').splitlines())} promises", file=sys.stderr)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
