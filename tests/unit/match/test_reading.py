"""Capture files: read in full, or refused by place."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from livery.errors import TargetError
from livery.match import read_capture

EYE = [[0.04, 0, 0], [0, 0.04, 0], [0, 0, 0.04]]


def plain() -> dict[str, Any]:
    return {
        "samples": [{"name": "bat-ember", "lab": [56, 56.5, 50], "cov": EYE, "pixels": 900}],
        "gates": [{"gate": "focus", "ok": True, "value": 1, "limit": 0.5, "advice": ""}],
        "characterisation": {"method": "3x3", "loo_mean": 1.2, "loo_max": 3},
        "scale_px_per_mm": 8.5,
    }


def write(path: Path, data: Any) -> Path:
    target = path / "c.json"
    target.write_text(json.dumps(data), "utf-8")
    return target


def test_the_plain_contract_is_enough(tmp_path: Path) -> None:
    path = write(tmp_path, plain())
    capture = read_capture(path)
    (sample,) = capture.samples
    assert sample.lab.tolist() == [56.0, 56.5, 50.0]
    assert not sample.shared_cov.any()
    assert sample.source == str(path)
    assert capture.absolute
    assert capture.scale_px_per_mm == 8.5
    assert capture.characterisation is not None


def test_further_fields_are_used(tmp_path: Path) -> None:
    data = plain() | {"absolute": False, "source": "abc", "novelty": 1}
    shared = (np.array(EYE) / 2).tolist()
    data["samples"][0] |= {"item": "bat", "ink": "ember", "shared_cov": shared}
    data["gates"][0] |= {"region": "bat-ember", "value": None}
    capture = read_capture(write(tmp_path, data))
    assert not capture.absolute
    assert capture.samples[0].source == "abc"
    assert capture.samples[0].shared_cov[0, 0] == pytest.approx(0.02)
    assert capture.gates[0].region == "bat-ember"


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"samples": None}, "samples"),
        ({"samples": [{"name": "a"}]}, "samples[0].lab"),
        ({"samples": [plain()["samples"][0] | {"lab": [1, 2]}]}, "samples[0].lab"),
        ({"samples": [plain()["samples"][0] | {"lab": [900, 2, 3]}]}, "samples[0].lab"),
        ({"samples": [plain()["samples"][0] | {"lab": ["1", 2, 3]}]}, "samples[0].lab[0]"),
        ({"samples": [plain()["samples"][0] | {"cov": [[1, 0], [0, 1]]}]}, "samples[0].cov[0]"),
        ({"samples": [plain()["samples"][0] | {"cov": [[-1, 0, 0], [0, 1, 0], [0, 0, 1]]}]},
         "samples[0].cov"),
        ({"samples": [plain()["samples"][0] | {"cov": [[1, 5, 0], [0, 1, 0], [0, 0, 1]]}]},
         "samples[0].cov"),
        ({"samples": [plain()["samples"][0] | {"cov": [[1e9, 0, 0], [0, 1, 0], [0, 0, 1]]}]},
         "samples[0].cov"),
        ({"samples": [plain()["samples"][0] | {"cov": [[1, 2, 0], [2, 1, 0], [0, 0, 1]]}]},
         "samples[0].cov"),
        ({"samples": [plain()["samples"][0] | {"pixels": -1}]}, "samples[0].pixels"),
        ({"gates": [{"gate": "focus"}]}, "gates[0].ok"),
        ({"absolute": "yes"}, "absolute"),
    ],
)  # fmt: skip
def test_faults_have_their_place(tmp_path: Path, change: dict[str, Any], place: str) -> None:
    with pytest.raises(TargetError) as caught:
        read_capture(write(tmp_path, plain() | change))
    assert place in [fault.place for fault in caught.value.faults]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b"\xff\xfe{}",
        b'{"samples": [{"name": "a", "lab": [NaN, 0, 0]}]}',
        b'{"samples": [], "samples": []}',
        b"[" * 200_000,
        b'{"scale_px_per_mm": 1e999, "samples": []}',
        b'{"samples": [{"pixels": ' + b"9" * 6000 + b"}]}",
    ],
)
def test_what_is_no_capture_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "c.json"
    path.write_bytes(content)
    with pytest.raises(TargetError) as caught:
        read_capture(path)
    assert all(fault.file == str(path) and fault.mend for fault in caught.value.faults)


@pytest.mark.parametrize("name", ["none.json", "."])
def test_no_file_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(TargetError):
        read_capture(tmp_path / name)


def test_materials_and_the_cameras_misfit_to_them_are_read_back(tmp_path: Path) -> None:
    misfit = [[0.2, 0.0, 0.0], [0.0, 0.2, 0.0], [0.0, 0.0, 0.2]]
    whole = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
    sample = {"name": "glove ember", "lab": [56, 56, 50], "cov": whole, "pixels": 90}
    told = {**sample, "shared_cov": whole, "misfit_cov": misfit, "material": "soft leather"}
    bare = {**sample, "name": "pad ember", "misfit_cov": misfit}
    path = tmp_path / "a.json"
    path.write_text(json.dumps({"samples": [told, bare], "gates": []}), "utf-8")
    first, second = read_capture(path).samples
    assert first.material == "soft leather"
    assert first.misfit_cov is not None
    assert first.misfit_cov.tolist() == misfit
    assert second.misfit_cov is None  # nothing of it is said to be shared, so all counts already
