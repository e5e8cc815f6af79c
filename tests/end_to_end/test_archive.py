"""The archive judged again from the command line."""

import json
import re
from pathlib import Path

from archive import captures, enter, write_files

from livery.jobs.photographs import compare_in_season
from livery.jobs.season_records import open_records
from livery.match import read_capture
from livery.scheme import load_season


def filled(season: Path, count: int = 12) -> Path:
    """A season's records with captures and their verdicts; the captures' folder."""
    scheme = load_season(season)
    folder = season.parent / "captures"
    store = open_records(season, make=True)
    for number, path in enumerate(write_files(folder, captures(scheme.palette, count))):
        verdicts = compare_in_season(scheme, [read_capture(path)])
        enter(store, number, path.read_text("utf-8"), verdicts)
    store.close()
    return folder


def test_records_are_judged_again_and_kept_when_asked(demo_season, run) -> None:
    filled(demo_season)
    still = run("match", demo_season, "--records")
    assert still.returncode == 0 and "No verdict changed." in still.stdout
    words = demo_season.read_text("utf-8")
    assert words.count("\n[tolerances] ") == 1
    words = words.replace("\n[tolerances] ", "\n[tolerances]\ndefault = 1.0 ")
    demo_season.write_text(words, "utf-8")
    once = run("match", demo_season, "--records", "--jobs", "1")
    assert once.returncode == 1
    assert "The records keep the verdicts as they were" in once.stdout
    assert re.search("(Tarn|Ember|Chalk): .* to (bat|glove)", once.stdout)
    assert max(map(len, once.stdout.splitlines())) <= 80
    told = run("match", demo_season, "--records", "--json")
    rows = [json.loads(line) for line in told.stdout.splitlines()]
    assert len(rows) == 12 and any(row["changes"] for row in rows)
    assert all(len(row["comparisons"]) == 9 for row in rows)
    kept = run("match", demo_season, "--records", "--keep")
    assert kept.returncode == 1 and "entered beside" in kept.stdout
    again = run("match", demo_season, "--records")
    assert again.returncode == 0 and "No verdict changed." in again.stdout


def test_each_file_of_a_folder_by_itself(demo_season, run) -> None:
    folder = filled(demo_season)
    (folder / "broken.capture.json").write_text("{", "utf-8")
    told = run("match", demo_season, folder, "--each", "--json", "--jobs", "1")
    rows = [json.loads(line) for line in told.stdout.splitlines()]
    assert told.returncode == 2 and len(rows) == 13
    assert [row["capture"] for row in rows if "trouble" in row] == [
        str(folder / "broken.capture.json")
    ]
    shown = run("match", demo_season, folder, "--each", "--jobs", "1")
    assert "1 capture could not be judged" in shown.stdout.replace("\n", " ")
    assert "broken.capture.json:1: column 2: not JSON" in shown.stderr
    one = rows[0]["comparisons"]
    alone = run("match", demo_season, folder / "00000.capture.json", "--json")
    verdicts = [(c["ink"], c["a"], c["b"], c["verdict"]) for c in one]
    single = json.loads(alone.stdout)["comparisons"]
    assert [(c["ink"], c["a"], c["b"], c["verdict"]) for c in single] == verdicts


def test_flags_that_do_not_go_together_are_refused(demo_season, run) -> None:
    for flags in (
        ["--records", "a.json"],
        ["--each"],
        [],
        ["a.json", "--keep"],
        ["a.json", "--each", "--bat", "x"],
        ["--records", "-o", "out"],
    ):
        done = run("match", demo_season, *flags)
        assert done.returncode == 2 and "Invalid value" in done.stderr, flags
        assert "Traceback" not in done.stderr
    none = run("match", demo_season, "--records")
    assert none.returncode == 2 and "there are no records yet" in none.stderr
