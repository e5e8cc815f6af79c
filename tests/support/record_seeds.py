"""Small good files of what livery itself keeps: records, backups, lists of what a build made."""

import gzip
import hashlib
import json
import sqlite3
import tempfile
from functools import cache
from pathlib import Path

import numpy as np
import picture_seeds as pictures
import reader_seeds as seeds

from livery.geometry import FillRule
from livery.geometry import Path as Outline
from livery.jobs.index import Figure
from livery.jobs.making import Kept, Record, record_text
from livery.proof import likenesses_to_bytes
from livery.proof.likeness import Likeness, Piece
from livery.records.export import back_up
from livery.records.history import Occasion, save_capture
from livery.records.keys import SecretKey
from livery.records.ledger import Act, Deed
from livery.records.papers import keep_papers
from livery.records.store import Store

_CONTENT = "ab" * 32


def listings() -> tuple[bytes, ...]:
    """What a build lists beside its results, of two files that stand in ``built``."""
    digests = {name: hashlib.sha256(name.encode()).hexdigest() for name in BUILT}
    return (json.dumps(digests, indent=1).encode(),)


BUILT = ("index.html", "sheets/sheets.pdf")
"""Files of an earlier build; each holds its own name."""


def build_records() -> tuple[bytes, ...]:
    """What a build notes of its inputs and tasks."""
    digest = hashlib.sha256(b"index.html").hexdigest()
    figure = Figure("index.html", "sheets/sheets.pdf", "A caption", "An alternative")
    kept = Kept((("index.html", digest),), (figure,), "{}")
    record = Record("asked", (("season.toml", digest),), 1, {"index.html": digest}, {"key": kept})
    return (record_text(record).encode(),)


def likenesses() -> tuple[bytes, ...]:
    """How a face with one decal looked, unpacked."""
    corners = np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 90.0], [0.0, 90.0]])
    edge = Outline("MLLLZ", corners, FillRule.NONZERO)
    lab = (38.0, -22.0, -18.0)
    ground = Piece("face", "Face", edge, ((lab, edge),), True)
    decal = Piece("decal mark", "Mark", edge, ((lab, edge), ((62.0, 55.0, 60.0), edge)))
    look = Likeness("sedge face", "sedge", "Face", (ground, decal))
    return (gzip.decompress(likenesses_to_bytes([look])),)


def heads() -> tuple[bytes, ...]:
    """Where a ledger ended when last seen."""
    return (json.dumps({"number": 2, "hash": _CONTENT}).encode(),)


@cache
def _kept() -> tuple[bytes, bytes]:
    """A small season's records as a backup, and as their database."""
    key = SecretKey.from_pem(seeds.pems()[0])
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "season.records"
        store = Store(folder)
        for deed in (
            Deed(Act.TRUST, "Wren", 0, key.public.hex, "Wren", "2027-01-01", "maker"),
            Deed(Act.OFFER, "o-1", 1, _CONTENT, "Wren", "2027-01-02", "Wren"),
        ):
            store.enter(deed, key)
        facts = (("Face", "Mark 52 mm wide"),)
        proof = ("o-1", 1, _CONTENT)
        keep_papers(
            store,
            proof,
            b"%PDF-1.6",
            [b"\x1f\x8bpage"],
            facts,
            gzip.compress(likenesses()[0], 6, mtime=0),
        )
        capture = json.loads(seeds.captures()[0])
        occasion = Occasion("o-1", "bench", "batch", "2027-01-03")
        save_capture(store, pictures.jpegs()[0], "a.jpg", capture, (), occasion)
        back_up(store, Path(name) / "backup.tar")
        store.close()
        with sqlite3.connect(folder / "records.sqlite") as database:
            database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            database.execute("PRAGMA journal_mode=DELETE")
        database.close()
        backup = (Path(name) / "backup.tar").read_bytes()
        return backup, (folder / "records.sqlite").read_bytes()


def backups() -> tuple[bytes, ...]:
    """Records as ``livery records backup`` writes them."""
    return (_kept()[0],)


def databases() -> tuple[bytes, ...]:
    """The same as they lie in their folder."""
    return (_kept()[1],)
