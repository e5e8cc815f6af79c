"""Capture files, as ``livery measure --json`` writes them, become captures."""

from __future__ import annotations

import json
import math
import reprlib
from collections import Counter
from pathlib import Path
from typing import Annotated, Any, NoReturn

import numpy as np
from numpy.typing import NDArray
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import PydanticCustomError

from livery.capture.model import Capture, Characterisation, Gate, Sample
from livery.errors import Fault, TargetError
from livery.file_kinds import kind_of_file

LIMIT_BYTES = 64 * 1024 * 1024
"""Largest capture file read. Source: workshop-choice."""

_MOST_SD = 100.0  # workshop choice: a standard deviation above L*'s whole range means nothing


class _Part(BaseModel):
    model_config = ConfigDict(extra="ignore", strict=True, allow_inf_nan=False)


def _check_covariance(rows: list[list[float]]) -> list[list[float]]:
    (l_l, l_a, l_b), (a_l, a_a, a_b), (b_l, b_a, b_b) = rows
    for one, other in ((l_a, a_l), (l_b, b_l), (a_b, b_a)):
        if not math.isclose(one, other, rel_tol=1e-6, abs_tol=2e-8):
            raise PydanticCustomError("livery", "a covariance is symmetric; this is not")
    most = _MOST_SD**2
    if not _all_positive((most - l_l, most - a_a, most - b_b), (-l_a, -l_b, -a_b)):
        raise PydanticCustomError("livery", "the uncertainty is larger than any colour")
    hair = 1e-6 * max(l_l + a_a + b_b, 1e-6)
    if not _all_positive((l_l + hair, a_a + hair, b_b + hair), (l_a, l_b, a_b)):
        raise PydanticCustomError("livery", "a covariance has no negative variance; this has")
    return rows


def _all_positive(diagonal: tuple[float, float, float], beside: tuple[float, float, float]) -> bool:
    """Whether a symmetric matrix has positive eigenvalues only, by Sylvester's minors."""
    (xx, yy, zz), (xy, xz, yz) = diagonal, beside
    minor = xx * yy - xy * xy
    whole = zz * minor + xz * (xy * yz - xz * yy) - yz * (xx * yz - xy * xz)
    return xx > 0.0 and minor > 0.0 and whole > 0.0


_Row = Annotated[list[float], Field(min_length=3, max_length=3)]
_Covariance = Annotated[
    list[_Row], Field(min_length=3, max_length=3), AfterValidator(_check_covariance)
]


def _check_lab(lab: list[float]) -> list[float]:
    if not (-20 <= lab[0] <= 150 and max(abs(lab[1]), abs(lab[2])) <= 250):
        raise PydanticCustomError("livery", "this is no CIELAB colour of a surface")
    return lab


def _check_words(words: str) -> str:
    if not words.isprintable():
        raise PydanticCustomError("livery", "this holds characters that cannot be shown")
    return words


_Words = Annotated[str, AfterValidator(_check_words)]


class _Sample(_Part):
    name: _Words
    lab: Annotated[_Row, AfterValidator(_check_lab)]
    cov: _Covariance
    pixels: Annotated[int, Field(ge=0)]
    item: _Words = ""
    ink: _Words = ""
    shared_cov: _Covariance | None = None
    misfit_cov: _Covariance | None = None
    material: _Words = ""
    source: str | None = None


class _Gate(_Part):
    gate: _Words
    ok: bool
    value: float | None
    limit: float | None
    advice: _Words
    region: _Words = ""


class _Characterisation(_Part):
    method: str
    loo_mean: float
    loo_max: float


class _Capture(_Part):
    samples: list[_Sample]
    gates: list[_Gate] = Field(default_factory=list)
    characterisation: _Characterisation | None = None
    scale_px_per_mm: float | None = None
    homography_residual_mm: float | None = None
    photo: _Words | None = None
    target: _Words | None = None
    source: str | None = None
    absolute: bool = True


def read_capture(path: Path | str) -> Capture:
    """Read what one photograph said.

    Args:
        path: a JSON file of ``livery measure --json``; keys it does not know are passed over.

    Returns:
        The capture. Where the file does not say, samples share no error, the photograph is
        known by its name or by the file's, and the target's values were measured.

    Raises:
        TargetError: every fault of the file, by place.
    """
    shown = str(path)
    return parse_capture(read_text(Path(path), shown), shown)


def parse_capture(text: str, shown: str) -> Capture:
    """Read a capture's JSON text; see ``read_capture``.

    Args:
        text: what the file or the records hold.
        shown: what messages call it.

    Raises:
        TargetError: every fault, by place.
    """
    data = _parse(text, shown)
    try:
        table = _Capture.model_validate(data)
    except ValidationError as error:
        raise TargetError(*(_fault(shown, detail) for detail in error.errors())) from error
    photo = table.photo or shown
    source = table.source or photo
    character = table.characterisation
    return Capture(
        photo=photo,
        target=table.target or "",
        samples=tuple(_sample(row, source) for row in table.samples),
        gates=tuple(_gate(row) for row in table.gates),
        characterisation=Characterisation(**character.model_dump()) if character else None,
        scale_px_per_mm=table.scale_px_per_mm or math.nan,
        homography_residual_mm=table.homography_residual_mm or 0.0,
        absolute=table.absolute,
        source=table.source or "",
    )


def read_text(path: Path, shown: str) -> str:
    """A capture file's text.

    Raises:
        TargetError: it cannot be read.
    """
    try:
        if not path.exists():
            _refuse(shown, "there is no such file", "Check the path")
        if not path.is_file():
            _refuse(shown, "this is not a plain file", "Name a capture's JSON file")
        if path.stat().st_size > LIMIT_BYTES:
            _refuse(shown, "the file is too large", f"At most {LIMIT_BYTES:,} bytes are read")
        data = path.read_bytes()
        if kind := kind_of_file(data):
            _refuse(shown, f"this is {kind}", "Name a capture that livery measure wrote of it")
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        _refuse(shown, f"byte {error.start} is not UTF-8", "Save the file as UTF-8")
    except (OSError, ValueError) as error:
        if isinstance(error, TargetError):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        _refuse(shown, f"cannot be read ({reason})", "Check the path and rights")


def _parse(text: str, shown: str) -> Any:
    def constant(name: str) -> NoReturn:
        _refuse(shown, f"{name} is no number of JSON", "Measure the photograph again")

    if not text.strip():
        _refuse(shown, "the file is empty", "Measure the photograph again")
    try:
        return json.loads(text, parse_constant=constant, object_pairs_hook=_unique)
    except json.JSONDecodeError as error:
        place = f"column {error.colno}"
        fault = Fault(
            shown, place, error.lineno, f"not JSON: {error.msg}", "Correct it, or measure again"
        )
        raise TargetError(fault) from error
    except _DuplicateKeyError as error:
        _refuse(shown, f"the key {error.args[0]!r} stands twice in one object", "Remove one")
    except RecursionError:
        _refuse(shown, "it is nested too deeply", "Measure the photograph again")
    except ValueError as error:
        if isinstance(error, TargetError):
            raise
        _refuse(shown, f"a number cannot be read ({error})", "Measure the photograph again")


class _DuplicateKeyError(Exception):
    """A JSON object names a key twice."""


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        counts = Counter(name for name, _ in pairs)
        raise _DuplicateKeyError(next(name for name, count in counts.items() if count > 1))
    return found


def _fault(shown: str, detail: Any) -> Fault:
    place = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in detail["loc"])
    if detail["type"] == "missing":
        return Fault(shown, place.lstrip("."), None, "it is missing", "Measure again")
    if detail["type"] in ("model_type", "dict_type"):
        found = f"{reprlib.repr(detail['input'])} is no object of keys and values"
        return Fault(shown, place.lstrip("."), None, found, "Name what livery measure --json wrote")
    value = repr(detail["input"])
    value = value if len(value) <= 60 else f"{value[:57]}..."
    found = f"{value}: {detail['msg'][0].lower()}{detail['msg'][1:]}"
    return Fault(shown, place.lstrip("."), None, found, "Measure the photograph again")


def _refuse(shown: str, found: str, mend: str) -> NoReturn:
    raise TargetError(Fault(shown, "", None, found, mend))


def _sample(row: _Sample, source: str) -> Sample:
    shared = _matrix(row.shared_cov) if row.shared_cov else np.zeros((3, 3))
    misfit = _matrix(row.misfit_cov) if row.shared_cov and row.misfit_cov else None
    return Sample(
        name=row.name,
        item=row.item,
        ink=row.ink,
        lab=np.array(row.lab, dtype=np.float64),
        cov=_matrix(row.cov),
        shared_cov=shared,
        pixels=row.pixels,
        source=row.source or source,
        material=row.material,
        misfit_cov=misfit,
    )


def _gate(row: _Gate) -> Gate:
    value = math.nan if row.value is None else row.value
    limit = math.nan if row.limit is None else row.limit
    return Gate(row.gate, row.ok, value, limit, row.advice, row.region)


def _matrix(rows: list[list[float]]) -> NDArray[np.float64]:
    return np.array(rows, dtype=np.float64)
