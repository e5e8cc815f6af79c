"""A batch of sheets by the real command line."""

import json
from pathlib import Path

import numpy as np
import pytest
from lab_table import lab_table
from palette_file import load_palette

SEASON = Path(__file__).parents[2] / "artwork_demo" / "season.toml"


@pytest.fixture
def batch(tmp_path):
    """Writes measurements of sheets that are as they should be, or 4 too light; their names."""

    def make(count=10, bad=()):
        generator = np.random.default_rng(6)
        palette = load_palette(SEASON.parent / "../palettes/reedlight.toml")
        names = []
        for sheet in range(1, count + 1):
            rows = ['"Stock" 95 0 -2']
            for ink in palette.inks:
                lab = np.array(ink.lab) + generator.normal(0, 0.1, 3) + (4 * (sheet in bad), 0, 0)
                rows.append(f'"{ink.name} 100 %" ' + " ".join(f"{v:.2f}" for v in lab))
            name = f"sheet-{sheet:02}.txt"
            (tmp_path / name).write_text(lab_table(rows))
            names.append(name)
        return names

    return make


def test_a_good_batch_is_accepted_and_reported(run, batch, tmp_path):
    said = run("print-check", SEASON, *batch(), "-o", "out")
    assert said.returncode == 0, said.stdout + said.stderr
    assert said.stdout.startswith("ACCEPT")
    assert max(len(line) for line in said.stdout.splitlines()) <= 80
    made = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"print-check.svg", "print-check.pdf", "print-check.png", "print-check.json"} <= made


def test_a_bad_sheet_is_rejected_by_name(run, batch):
    said = run("print-check", SEASON, *batch(bad=(7,)), "--json")
    assert said.returncode == 1
    data = json.loads(said.stdout)
    assert data["outcome"] == "reject"
    assert "Sheet sheet-07" in data["reasons"][0]
    assert [one["sheet"] for one in data["sheets"] if one["outcome"] != "accept"] == ["sheet-07"]


def test_the_approved_sheet_may_be_the_aim(run, batch):
    names = batch(count=2, bad=(1, 2))
    assert run("print-check", SEASON, names[1]).returncode == 1
    said = run("print-check", SEASON, names[1], "--approved", names[0])
    assert said.returncode == 0, said.stdout


def test_files_that_say_nothing_are_refused(run, tmp_path):
    (tmp_path / "a.txt").write_text(lab_table(['"Cyan" 50 0 0']))
    said = run("print-check", SEASON, "a.txt")
    assert said.returncode == 2
    assert "no sample is named as a patch" in said.stderr
    said = run("print-check", SEASON, "absent.txt")
    assert said.returncode == 2
    assert "Traceback" not in said.stderr


@pytest.mark.parametrize("name", ["aims.txt", "aims.cxf"])
def test_the_season_s_own_aims_are_no_measurement(run, batch, name):
    assert run("aims", SEASON, "-o", name).returncode == 0
    for files in ([name], [*batch(count=2), name]):
        said = run("print-check", SEASON, *files)
        assert said.returncode == 2, said.stdout
        assert name in said.stderr and "the season's own aims" in said.stderr
        assert "ACCEPT" not in said.stdout


def test_photographs_of_sheets_are_sheets_too(run, tmp_path):
    palette = load_palette(SEASON.parent / "../palettes/reedlight.toml")
    cov = (np.eye(3) * 0.02).tolist()
    samples = [
        {"name": f"{ink.name} 100 %", "ink": ink.key, "lab": list(ink.lab), "cov": cov, "pixels": 9}
        for ink in palette.inks
    ]
    (tmp_path / "one.capture.json").write_text(json.dumps({"samples": samples}))
    said = run("print-check", SEASON, "one.capture.json")
    assert said.returncode == 0, said.stdout + said.stderr
    gate = {"gate": "glare", "ok": False, "value": 1, "limit": 0, "advice": "Move the lamp"}
    (tmp_path / "two.json").write_text(json.dumps({"samples": samples, "gates": [gate]}))
    said = run("print-check", SEASON, "two.json", "--json")
    assert said.returncode == 1
    data = json.loads(said.stdout)
    assert (data["outcome"], data["reasons"]) == ("measure again", ["glare: Move the lamp"])
