"""``livery demo``: the whole job, run once, looked at from many sides."""

import hashlib
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from urllib.parse import unquote

import numpy as np
import pytest
from folders import files_of
from numpy._core import _multiarray_umath as numpy_code

from livery.colour import ciede2000

WITHIN = 11.345  # 99 % of a normal spread: chi-square of three dimensions


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's folder."""
    folder = tmp_path_factory.mktemp("demo") / "out"
    words = [sys.executable, "-m", "livery", "demo", "-o", str(folder)]
    done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=500)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Open" in done.stdout
    return folder


def test_every_link_of_the_page_leads_somewhere(demo: Path) -> None:
    page = (demo / "index.html").read_text("utf-8")
    links = {unquote(link) for link in re.findall(r'(?:href|src)="([^"#]+)"', page)}
    assert len(links) > 20
    assert not [link for link in links if not (demo / link).is_file()]
    assert "simulated" in page.lower()
    assert "Invented" in page


def test_the_list_of_files_is_what_is_there(demo: Path) -> None:
    listing = json.loads((demo / ".livery-files.json").read_text("utf-8"))
    for name, digest in listing.items():
        assert hashlib.sha256((demo / name).read_bytes()).hexdigest() == digest
    assert files_of(demo).keys() == {*listing, ".livery-files.json"}


@pytest.mark.parametrize("take", ["kit-together", "pad-of-another-batch"])
def test_what_was_measured_is_the_truth_within_what_was_claimed(demo: Path, take: str) -> None:
    capture = json.loads((demo / "photographs" / f"{take}.capture.json").read_text("utf-8"))
    truth = json.loads((demo / "photographs" / f"{take}.truth.json").read_text("utf-8"))
    true = {region["name"]: region["lab"] for region in truth["regions"]}
    assert truth["simulated"] is True
    assert len(capture["samples"]) >= 8
    for sample in capture["samples"]:
        seen, meant = np.array(sample["lab"]), np.array(true[sample["name"]])
        off = seen - meant
        assert off @ np.linalg.solve(sample["cov"], off) <= WITHIN, sample["name"]
        assert ciede2000(seen, meant) <= 0.7, sample["name"]


def _measured(demo: Path, more: dict[str, str]) -> str:
    """What ``measure`` says of the demo's first photograph, as JSON."""
    photo = demo / "photographs" / "kit-together.jpg"
    target, regions = demo / "target" / "target.toml", photo.with_suffix(".regions.toml")
    words = ["measure", str(photo), "--target", str(target), "--regions", str(regions), "--json"]
    done = subprocess.run(
        [sys.executable, "-m", "livery", *words],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, **more},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_demo_can_be_measured_again_from_its_own_files(demo: Path) -> None:
    said = _measured(demo, {})
    stored = demo / "photographs" / "kit-together.capture.json"
    again, first = json.loads(said)["samples"], json.loads(stored.read_text("utf-8"))["samples"]
    assert [one["name"] for one in again] == [one["name"] for one in first]
    labs = (np.array([one["lab"] for one in samples]) for samples in (first, again))
    assert ciede2000(*labs).max() < 0.05  # corners are written to 0.01 mm
    plainer = {"NPY_DISABLE_CPU_FEATURES": " ".join(numpy_code.__cpu_dispatch__)}
    assert _measured(demo, {**plainer, "OPENBLAS_CORETYPE": "HASWELL"}) == said


def test_a_wrong_batch_fails_and_a_dulled_photograph_is_no_evidence(demo: Path) -> None:
    texts = [
        (demo / "match" / take / "match.svg").read_text("utf-8")
        for take in ("pad-of-another-batch", "film-left-on")
    ]
    assert "fail" in texts[0].lower()
    assert "re-shoot" in texts[1].lower()
    assert not re.search(r'aria-label="[^"]*\bpass\b', texts[1])
