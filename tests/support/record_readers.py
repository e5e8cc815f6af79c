"""What livery itself kept, read back: anyone may have laid hands on it since."""

import gzip
import shutil
from functools import cache
from pathlib import Path

from record_seeds import BUILT, likenesses

from livery.jobs.making import read_record, record_text
from livery.jobs.revisions import papers_as_proof
from livery.proof import likenesses_from_bytes
from livery.proof.difference import find_differences
from livery.records.export import restore
from livery.records.history import (
    count_captures,
    read_captures,
    read_newest,
    read_outcomes,
    read_trend,
)
from livery.records.judgements import list_numbers, list_photographs, read_kept
from livery.records.papers import list_papers
from livery.records.people import list_people
from livery.records.store import Store
from livery.writing import StagedFolder, find_whole, write_whole


def read_backup(path: Path) -> object:
    """Restore a backup and look at everything in it."""
    folder = path.with_name("restored.records")
    shutil.rmtree(folder, ignore_errors=True)
    store = restore(path, folder)
    try:
        return _look_over(store)
    finally:
        store.close()


def read_database(path: Path) -> object:
    """Open a database, only to read it; of its evidence a likeness is there."""
    store = Store(path.parent, reading=True)
    store.evidence.keep(gzip.compress(likenesses()[0], 6, mtime=0))
    try:
        return _look_over(store)
    finally:
        store.close()


def _look_over(store: Store) -> object:
    shown = [papers_as_proof(store, one, "Wren") for one in list_papers(store)]
    numbers = list_numbers(store)
    kept = list(list_photographs(store, numbers)), read_kept(store, numbers)
    said = read_outcomes(store), read_newest(store), read_trend(store), count_captures(store, "o-1")
    return store.verify(), shown, kept, said, read_captures(store), list_people(store)


def read_head(path: Path) -> object:
    """Hold a ledger against where it is said to have ended."""
    store = empty_store(path.parent)
    shutil.copyfile(path, store.folder / path.name)
    return store.check_ledger()


@cache
def empty_store(folder: Path) -> Store:
    """Records of their own for what is only to be kept."""
    return Store(folder / "empty.records")


def read_likeness(path: Path) -> object:
    """See what changed since a revision looked like that; packed here, as a sum guards it."""
    looks = likenesses_from_bytes(gzip.compress(path.read_bytes(), 1))
    return find_differences(looks, ()), find_differences((), looks), find_differences(looks, looks)


def read_listing(path: Path) -> object:
    """Build anew in a folder that holds an earlier build and this list of it."""
    folder = path.parent / "built"
    for name in BUILT:
        write_whole(folder / name, name)
    shutil.copyfile(path, folder / path.name)
    found = find_whole(folder)
    with StagedFolder(folder) as staged:
        staged.find_standing()
        write_whole(staged.path / BUILT[0], BUILT[0])
    assert (folder / BUILT[0]).read_text("utf-8") == BUILT[0]
    return found


def read_build_record(path: Path) -> object:
    """What an earlier build noted; it is noted again where it can be understood."""
    record = read_record(path.parent)
    return record and record_text(record)
