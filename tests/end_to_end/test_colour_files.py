"""Measurements in and aims out, by the real command line."""

import json
from pathlib import Path

import pytest
from lab_table import lab_table
from palette_file import load_palette

from livery.capture import read_target
from livery.scheme.exchange import read_colours

SEASON = Path(__file__).parents[2] / "artwork_demo" / "season.toml"


@pytest.mark.parametrize("name", ["aims.txt", "aims.cxf"])
def test_aims_go_out_and_come_back_as_a_palette(run, tmp_path, name):
    said = run("aims", SEASON, "-o", name)
    assert said.returncode == 0, said.stderr
    said = run("palette", name, "-o", "again.toml", "--name", "Again", "--json")
    assert said.returncode == 0, said.stderr
    assert json.loads(said.stdout)["inks"] == 6
    first = load_palette(SEASON.parent / "../palettes/reedlight.toml")
    again = load_palette(tmp_path / "again.toml")
    assert again.name == "Again"
    for one, other in zip(first.inks, again.inks, strict=True):
        assert (one.key, one.name) == (other.key, other.name)
        assert one.spectrum.reflectance.tolist() == other.spectrum.reflectance.tolist()
        assert one.lab == pytest.approx(other.lab, abs=0.5)


@pytest.mark.parametrize(("characters", "code"), [(150, 0), (201, 2)])
def test_a_palette_of_samples_with_long_names_can_be_read_or_is_not_written(
    run, tmp_path, characters, code
):
    rows = (f'{n} "{n} {"tarn " * 99:.{characters - 2}}" 40 {n} 0' for n in (1, 2))
    (tmp_path / "m.txt").write_text(lab_table(rows, names=True))
    said = run("palette", "m.txt", "-o", "made.toml")
    assert said.returncode == code, said.stderr
    if code:
        assert "a name of 201 characters. Use at most 200" in said.stderr
    else:
        assert len(load_palette(tmp_path / "made.toml").inks) == 2
    assert (tmp_path / "made.toml").exists() == (code == 0)


@pytest.mark.parametrize(
    ("least", "most", "code", "told"),
    [
        (-0.0012, 0.9, 0, ""),  # an instrument's noise in the dark
        (0.2, 1.2, 0, ""),  # a fluorescent ink
        (1.1, 1.1, 2, "Sand: Lab (103.74"),
        (-0.09, -0.05, 2, "Sand: its spectrum is not right"),
        (-0.11, 0.9, 2, "a reflectance of -0.11 cannot be unit"),
    ],
)
def test_a_palette_of_spectra_at_the_edge_can_be_read_or_is_not_written(
    run, tmp_path, least, most, code, told
):
    waves = range(400, 701, 10)
    row = " ".join(f"{least + (most - least) * (nm - 400) / 300:.5f}" for nm in waves)
    names = " ".join(f"SPECTRAL_DEC{nm}" for nm in waves)
    head = f"CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME {names}\nEND_DATA_FORMAT\n"
    (tmp_path / "m.txt").write_text(f"{head}BEGIN_DATA\n1 Sand {row}\nEND_DATA\n")
    said = run("palette", "m.txt", "-o", "made.toml", "--measurement", "M1")
    assert said.returncode == code, said.stderr
    assert told in " ".join(said.stderr.split())
    if code:
        assert not (tmp_path / "made.toml").exists()
    else:
        assert load_palette(tmp_path / "made.toml").inks[0].spectrum.reflectance[0] == least


def test_measured_values_come_into_a_target(run, tmp_path):
    assert run("target", "-o", "target").returncode == 0
    target = read_target(tmp_path / "target" / "target.toml")
    rows = (
        f'{index} "{patch.name}" {patch.lab[0] + 0.25} {patch.lab[1]} {patch.lab[2]}'
        for index, patch in enumerate(target.patches)
    )
    (tmp_path / "read.txt").write_text(lab_table(rows, names=True, conditions=""))
    refused = run("target-values", "target/target.toml", "read.txt", "-o", "measured.toml")
    assert refused.returncode == 2
    assert "--illuminant D50" in refused.stderr
    assert not (tmp_path / "measured.toml").exists()
    stated = ["--illuminant", "D50", "--observer", "2", "--measurement", "M1"]
    said = run("target-values", "target/target.toml", "read.txt", "-o", "measured.toml", *stated)
    assert said.returncode == 0, said.stderr
    assert max(len(line) for line in said.stdout.splitlines()) <= 80
    measured = read_target(tmp_path / "measured.toml")
    assert all(patch.measured for patch in measured.patches)
    assert measured.patches[0].lab[0] == target.patches[0].lab[0] + 0.25


def test_strangers_and_doubles_are_named(run, tmp_path):
    assert run("target", "-o", "target").returncode == 0
    name = read_target(tmp_path / "target" / "target.toml").patches[0].name
    for rows, code, words in (
        ([f'"{name}" 50 0 0', "stranger 50 0 0"], 0, "no patch of the target: stranger"),
        ([f'"{name}" 50 0 0', f'"{name}" 51 0 0'], 2, "measured twice"),
        (["stranger 50 0 0"], 2, "no sample is a patch"),
    ):
        (tmp_path / "read.txt").write_text(lab_table(rows))
        said = run("target-values", "target/target.toml", "read.txt", "-o", "out.toml")
        assert said.returncode == code
        assert words in " ".join((said.stdout + said.stderr).split())


def test_values_read_in_a_wrong_order_are_doubted(run, tmp_path):
    assert run("target", "-o", "target").returncode == 0
    patches = read_target(tmp_path / "target" / "target.toml").patches
    for shift, doubted in ((0, False), (1, True)):
        rows = (
            f'"{patch.name}" {" ".join(map(str, patches[index - shift].lab))}'
            for index, patch in enumerate(patches)
        )
        (tmp_path / "read.txt").write_text(lab_table(rows))
        said = run("target-values", "target/target.toml", "read.txt", "-o", "out.toml")
        assert said.returncode == 0, said.stderr
        assert ("under its own name" in " ".join(said.stdout.split())) is doubted


def test_words_that_are_none_are_refused(run, tmp_path):
    (tmp_path / "x.txt").write_text("x")
    said = run(
        "palette",
        "x.txt",
        "-o",
        "p.toml",
        "--measurement",
        "M9",
        "--observer",
        "4",
        "--illuminant",
        "sun",
        "--reflectance",
        "tons",
    )
    assert said.returncode == 2
    for word in ("M9", "4", "sun", "tons"):
        assert word in said.stderr
    assert "Traceback" not in said.stderr


def test_what_we_write_is_ours_to_read(run, tmp_path):
    assert run("aims", SEASON, "-o", "aims.cxf").returncode == 0
    file = read_colours(tmp_path / "aims.cxf")
    assert len(file.readings) == 6
    assert not file.notes


@pytest.mark.parametrize("name", ["aims.docx", "aims"])
def test_aims_in_a_form_that_is_not_written_are_refused(run, tmp_path, name):
    (tmp_path / name).write_text("a letter")
    said = run("aims", SEASON, "-o", name)
    assert said.returncode == 2
    assert said.stderr.startswith(f"livery: {name}: ")
    assert ".txt" in said.stderr and ".cxf" in said.stderr
    assert (tmp_path / name).read_text() == "a letter"
