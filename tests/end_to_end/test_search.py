"""A search for denser sheets, kept and used again, as a user runs it."""

import json

import pytest
from small_season import SmallSeason


@pytest.fixture
def season(tmp_path):
    return SmallSeason().write(tmp_path / "season")


def kept(out):
    return json.loads((out / "sheets" / "placements.json").read_text("utf-8"))


def sheets(out):
    return {f.name: f.read_bytes() for f in sorted((out / "sheets").iterdir()) if f.is_file()}


def test_a_search_is_kept_and_used_again_for_the_same_decals(run, season, tmp_path):
    out = tmp_path / "out"
    command = ("build", season, "-o", out, "--search", "1")
    assert run(*command).returncode == 0
    found = sheets(out)
    assert len(found) > 1

    # Placements that no search would give show that they are what is used, whatever else changes.
    content = kept(out)
    for item in content["sheets"][0]:
        item[2] += 2.5
    moved = json.dumps(content)
    (out / "sheets" / "placements.json").write_text(moved, "utf-8")
    SmallSeason(revision=2).write(season.parent)
    assert run(*command).returncode == 0
    again = sheets(out)
    assert kept(out) == content
    assert again != found
    assert run(*command).returncode == 0
    assert sheets(out) == again


def test_a_spoilt_file_of_placements_is_named_with_its_mend(run, season, tmp_path):
    file = tmp_path / "out" / "sheets" / "placements.json"
    file.parent.mkdir(parents=True)
    file.write_text('{"format": 3, "request": ', "utf-8")
    done = run("build", season, "-o", tmp_path / "out", "--search", "1")
    assert done.returncode == 2
    said = " ".join(done.stderr.split())
    assert "Traceback" not in said
    assert "sheets/placements.json: not a file of kept placements" in said
    assert "Delete it" in said
    assert file.read_text("utf-8") == '{"format": 3, "request": '
