"""An archive judged again: the same verdicts as one by one, and only what must flip flips."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from archive import captures, enter, read_comparisons, write_files

from livery.crew.cores import Cores
from livery.errors import TargetError
from livery.jobs.rejudged import Summary
from livery.jobs.rejudging import find_capture_files, judge_files, judge_records
from livery.match import compare, item_names, read_capture
from livery.records.history import read_captures, read_outcomes
from livery.records.store import Store
from livery.scheme import load_season
from livery.scheme.model import Scheme, Tolerances

COUNT = 24


@pytest.fixture(scope="module")
def scheme() -> Scheme:
    return load_season(Path(__file__).parents[3] / "artwork_demo" / "season.toml")


@pytest.fixture
def files(scheme: Scheme, tmp_path: Path) -> tuple[Path, ...]:
    return write_files(tmp_path / "captures", captures(scheme.palette, COUNT))


@pytest.fixture
def store(scheme: Scheme, files: tuple[Path, ...], tmp_path: Path) -> Iterator[Store]:
    opened = Store(tmp_path / "records")
    for number, path in enumerate(files):
        enter(opened, number, path.read_text("utf-8"), one_by_one(scheme, path))
    yield opened
    opened.close()


def one_by_one(scheme, path):
    tolerances, names = scheme.tolerances, item_names(scheme)
    return compare([read_capture(path)], scheme.palette, tolerances, names=names)


def told(comparisons):
    return [(c.ink, c.a, c.b, c.de00, c.tolerance, c.verdict) for c in comparisons]


def with_tolerance(scheme: Scheme, ink: str, tolerance: float) -> Scheme:
    """The season with another tolerance of one ink, between all things."""
    inks = tuple(
        replace(one, tolerance_de00=tolerance) if one.key == ink else one
        for one in scheme.palette.inks
    )
    tolerances = replace(scheme.tolerances, inks=((ink, tolerance),), pairs=(), finishes=())
    return replace(scheme, palette=replace(scheme.palette, inks=inks), tolerances=tolerances)


@pytest.mark.parametrize("crew", [None, Cores(2)])
def test_verdicts_are_those_of_one_by_one(scheme, files, crew) -> None:
    judged = list(judge_files(scheme, files, crew=crew))
    assert [one.name for one in judged] == [str(path) for path in files]
    assert [told(one.rulings) for one in judged] == [
        told(one_by_one(scheme, path)) for path in files
    ]
    verdicts = {ruling.verdict for one in judged for ruling in one.rulings}
    assert verdicts == {"pass", "fail", "re-shoot"}


@pytest.mark.parametrize("tolerance", [0.5, 1.2, 1.9, 2.6, 4.0])
def test_a_change_of_tolerance_flips_what_it_must(scheme, files, store, tolerance) -> None:
    ink = scheme.palette.inks[0].key
    changed = with_tolerance(scheme, ink, tolerance)
    judged = list(judge_records(changed, store))
    for one, path in zip(judged, files, strict=True):
        before = {c[:3]: c[5] for c in told(one_by_one(scheme, path))}
        after = told(one_by_one(changed, path))
        assert told(one.rulings) == after
        flips = {c[:3]: (before[c[:3]], c[5]) for c in after if c[5] != before[c[:3]]}
        assert flips == {c.after.pair: (c.before.verdict, c.after.verdict) for c in one.changes}
    assert any(one.changes for one in judged)


def test_with_nothing_changed_nothing_changes(scheme, store) -> None:
    assert not any(one.changes for one in judge_records(scheme, store))


def test_the_records_are_as_they_were_until_asked(scheme, store) -> None:
    before = read_comparisons(store), read_captures(store), read_outcomes(store)
    strict = with_tolerance(scheme, scheme.palette.inks[0].key, 0.8)
    list(judge_records(strict, store))
    assert (read_comparisons(store), read_captures(store), read_outcomes(store)) == before
    judged = list(judge_records(strict, store, keep_as_of="2027-03-01"))
    changed = [int(one.name) for one in judged if one.changes]
    rows = read_comparisons(store)
    assert rows[: len(before[0])] == before[0]
    assert {row["capture"] for row in rows[len(before[0]) :]} == set(changed)
    assert {row["judged"] for row in rows} == {"", "2027-03-01"}
    worst = {one.number: one.verdict for one in read_outcomes(store)}
    for one in judged:
        verdicts = {str(ruling.verdict) for ruling in one.rulings}
        good = read_captures(store)[int(one.name) - 1]["good"]
        expected = next((w for w in ("fail", "re-shoot") if w in verdicts), "pass")
        assert worst[int(one.name)] == (expected if good else "re-shoot")
    assert not any(one.changes for one in judge_records(strict, store))


def test_an_ink_that_the_palette_dropped_is_a_change(scheme, store) -> None:
    fewer = replace(scheme, palette=replace(scheme.palette, inks=scheme.palette.inks[1:]))
    gone = scheme.palette.inks[0].key
    one = next(iter(judge_records(fewer, store)))
    dropped = [change.before.pair for change in one.changes if change.after is None]
    assert dropped == [(gone, "aim", "bat"), (gone, "aim", "glove")]


def test_one_bat_alone(scheme, store) -> None:
    assert [one.bat for one in judge_records(scheme, store, "o-7")] == ["o-7"]
    assert list(judge_records(scheme, store, "nobody's")) == []


def test_a_bad_file_is_told_and_the_others_are_judged(scheme, files) -> None:
    files[3].write_text("{", "utf-8")
    files[4].unlink()
    aim = files[5].read_text("utf-8").replace('"item": "bat"', '"item": "aim"')
    files[5].write_text(aim, "utf-8")
    judged = list(judge_files(scheme, files))
    assert [n for n, one in enumerate(judged) if one.trouble] == [3, 4, 5]
    assert all(str(files[n]) in judged[n].trouble for n in (3, 4, 5))
    assert all(one.rulings for n, one in enumerate(judged) if n not in (3, 4, 5))


def test_an_archive_of_which_nothing_was_judged_is_no_match(scheme, files) -> None:
    passed = Summary()
    blank = files[0].with_name("blank.capture.json")
    blank.write_text('{"samples": []}', "utf-8")
    wide = replace(scheme, tolerances=Tolerances(default=99.0))
    inks = tuple(replace(ink, tolerance_de00=99.0) for ink in scheme.palette.inks)
    wide = replace(wide, palette=replace(scheme.palette, inks=inks))
    for one in judge_files(wide, files[:1]):
        passed.add(one)
    silent = Summary()
    for one in judge_files(wide, [files[0], blank]):
        silent.add(one)
    assert passed.all_pass
    assert (silent.silent, silent.all_pass) == (1, False)
    assert not Summary().all_pass


def test_folders_are_looked_through(files, tmp_path: Path) -> None:
    assert find_capture_files([files[0].parent]) == files
    assert find_capture_files([files[7], files[0].parent])[:2] == (files[7], files[0])
    with pytest.raises(TargetError, match="holds 0 captures"):
        find_capture_files([tmp_path])
