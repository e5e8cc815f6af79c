"""Matching by the real command line: verdicts, lights, remedies, report."""

import hashlib
import json
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from palette_file import load_palette

from livery.scheme.exchange import Conditions, MeasurementCondition, Reading, render_cgats
from livery.scheme.model import Spectrum

SEASON = Path(__file__).parents[2] / "artwork_demo" / "season.toml"


@pytest.fixture
def evidence(tmp_path):
    """A capture of bat and pad, the pad's ember off, and the spectra of both."""
    palette = load_palette(SEASON.parent / "../palettes/reedlight.toml")
    cov = (np.eye(3) * 0.02).tolist()
    samples, readings = [], []
    conditions = Conditions("D50", 2, MeasurementCondition.M1)
    for ink in palette.inks:
        for item in ("bat", "pad"):
            off = 6.0 * (item == "pad" and ink.key == "ember")
            samples.append(
                {
                    "name": f"{item}-{ink.key}",
                    "item": item,
                    "ink": ink.key,
                    "lab": [ink.lab[0] + off, *ink.lab[1:]],
                    "cov": cov,
                    "pixels": 900,
                }
            )
            wave = ink.spectrum.wavelengths_nm
            ripple = 1 + 0.2 * (item == "pad") * np.sin((wave - 380) / 25)
            spectrum = Spectrum(wave, ink.spectrum.reflectance * ripple)
            name = f"{item}-{ink.key}"
            readings.append(Reading(name, name, None, spectrum, conditions))
    capture = {"samples": samples, "photo": "kit.jpg", "source": "ab" * 32}
    (tmp_path / "kit.json").write_text(json.dumps(capture))
    (tmp_path / "spectra.txt").write_text(render_cgats(readings))
    waves = np.arange(380, 781, 5)
    lamp = "\n".join(f"{w} {1 + 4 * (w in (435, 545, 610))}" for w in waves)
    (tmp_path / "stand-lamp.txt").write_text(f"nm power\n{lamp}\n")
    return tmp_path


def test_a_match_leaves_its_report_its_evidence_and_its_data(run, evidence):
    said = run(
        "match",
        SEASON,
        "kit.json",
        "--spectra",
        "spectra.txt",
        "--light",
        "stand-lamp.txt",
        "-o",
        "out",
        "--json",
    )
    assert said.returncode == 1, said.stderr
    data = json.loads(said.stdout)
    assert {"ink", "a", "b", "de00", "u95", "tolerance", "verdict"} <= set(data["comparisons"][0])
    lights = data["lights"][0]["lights"]
    assert [one["light"] for one in lights][-1] == "stand-lamp"
    assert len(lights) == 10
    assert any(r["ink"] == "ember" and r["item"] == "bat" for r in data["remedies"])
    assert [one["ink"] for one in data["common_aims"]] == ["ember"]
    out = evidence / "out"
    with pikepdf.open(out / "match.pdf") as pdf:
        assert len(pdf.pages) == 2
    page = (out / "match.html").read_text("utf-8")
    for one in data["evidence"]:
        digest = one["digest"]
        (kept,) = (out / "evidence").glob(f"{digest}.*")
        assert hashlib.sha256(kept.read_bytes()).hexdigest() == digest
        assert f"evidence/{kept.name}" in page
    assert "ab" * 32 in page


@pytest.mark.parametrize("wrong", ["embr", ""])
def test_an_ink_mistyped_is_no_match(run, evidence, wrong):
    capture = json.loads((evidence / "kit.json").read_text())
    good = [one for one in capture["samples"] if one["item"] == "bat"]
    for ink in [one["ink"] for one in good if wrong == "" or one["ink"] == "ember"]:
        next(one for one in good if one["ink"] == ink)["ink"] = wrong or f"x{ink}x"
    (evidence / "kit.json").write_text(json.dumps({**capture, "samples": good}))
    said = run("match", SEASON, "kit.json")
    assert said.returncode == 1, said.stderr
    assert "Not judged, as the palette has no such ink" in said.stdout


def test_a_capture_without_samples_is_no_match(run, evidence):
    (evidence / "kit.json").write_text('{"samples": [], "photo": "kit.jpg"}')
    said = run("match", SEASON, "kit.json")
    assert said.returncode == 1, said.stderr
    assert "Nothing was judged" in said.stdout


def test_what_people_read_fits_their_screen(run, evidence):
    said = run("match", SEASON, "kit.json", "--spectra", "spectra.txt")
    assert said.returncode == 1
    assert max(len(line) for line in said.stdout.splitlines()) <= 80
    assert "apart" in said.stdout
    assert "New aim" in said.stdout


def test_spectra_without_the_seasons_inks_are_refused(run, evidence):
    text = (evidence / "spectra.txt").read_text()
    for name in ("tarn", "ember", "chalk", "reed", "pitch", "brass"):
        text = text.replace(f"-{name}", "-other")
    (evidence / "spectra.txt").write_text(text)
    said = run("match", SEASON, "kit.json", "--spectra", "spectra.txt")
    assert said.returncode == 2
    assert "names an ink of the season" in said.stderr


@pytest.mark.parametrize("text", ["", "400 1\n410 x\n", "400 1 2\n", "380 1\n780 1\n", "380 -1\n"])
def test_what_is_no_light_is_refused(run, evidence, text):
    (evidence / "lamp.txt").write_text(text)
    said = run("match", SEASON, "kit.json", "--light", "lamp.txt")
    assert said.returncode == 2
    assert "lamp.txt" in said.stderr
    assert "Traceback" not in said.stderr
