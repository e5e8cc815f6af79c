"""Stored captures of one bench, read back for what their targets showed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from livery.capture.bench_profile import BenchShot
from livery.errors import Fault, InputError

_MOST_BYTES = 20_000_000  # of a capture file [source: workshop-choice]
_SUFFIX = ".capture.json"
_MOST = 1000.0  # beyond any L*, a*, b*, light or place [source: workshop-choice]
_Number = Annotated[float, Field(ge=-_MOST, le=_MOST)]
_Triple = Annotated[list[_Number], Field(min_length=3, max_length=3)]
_Pair = Annotated[list[_Number], Field(min_length=2, max_length=2)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="ignore", strict=True, allow_inf_nan=False)


class _Patch(_Part):
    name: str
    lab: _Triple
    light: _Triple | None = None
    place: _Pair | None = None


class _Gate(_Part):
    ok: bool
    region: str = ""


class _Capture(_Part):
    source: str = ""
    absolute: bool = False
    gates: list[_Gate] = Field(default_factory=list)
    patches: list[_Patch] = Field(default_factory=list)


def read_bench(folder: Path) -> tuple[BenchShot, ...]:
    """What every good capture in a folder showed of its target, by the files' names.

    Passed over are photographs that failed a gate as a whole, targets that were never measured,
    and copies of a photograph already read.

    Args:
        folder: with the ``*.capture.json`` files of ``livery measure --out``.

    Returns:
        One of each photograph, the first by its file's name.

    Raises:
        InputError: no such folder, no capture in it, or a file that is none.
    """
    files = sorted(folder.glob(f"*{_SUFFIX}")) if folder.is_dir() else []
    if not files:
        found = f"there are no *{_SUFFIX} files in it" if folder.is_dir() else "is no folder"
        mend = "Give the folder that was named by --out when the bench's photographs were measured."
        raise InputError(Fault(str(folder), "", None, found, mend))
    shots: dict[str, BenchShot] = {}
    for file in files:
        table = _read(file)
        shot = _shot(table, file)
        good = table.absolute and all(gate.ok for gate in table.gates if not gate.region)
        if good and shot is not None:
            shots.setdefault(shot.source, shot)
    return tuple(shots.values())


def _read(file: Path) -> _Capture:
    """What a capture file says of its target.

    Raises:
        InputError: the file is no capture.
    """
    mend = "Measure its photograph again, or take the file out of the folder."
    try:
        with file.open("rb") as opened:
            data = opened.read(_MOST_BYTES + 1)
    except OSError as error:
        found = f"cannot be read ({error.strerror or error})"
        raise InputError(Fault(str(file), "", None, found, mend)) from error
    if len(data) > _MOST_BYTES:
        found = f"is larger than any capture, over {_MOST_BYTES // 1_000_000} MB"
        raise InputError(Fault(str(file), "", None, found, mend))
    try:
        return _Capture.model_validate(json.loads(data))
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        found = f"{first['input']!r:.60}: {first['msg'][0].lower()}{first['msg'][1:]}"
        raise InputError(Fault(str(file), place, None, found, mend)) from error
    except (ValueError, RecursionError) as error:
        raise InputError(Fault(str(file), "", None, "is no capture file", mend)) from error


def _shot(table: _Capture, file: Path) -> BenchShot | None:
    """What its patches showed; None where none was used, as of a target not seen."""
    used = [(p.name, p.light, p.place, p.lab) for p in table.patches if p.light and p.place]
    if not used:
        return None
    names, light, place, lab = zip(*used, strict=True)
    rgb, places, labs = (np.array(rows, dtype=np.float64) for rows in (light, place, lab))
    return BenchShot(table.source or file.name, names, rgb, places, labs)
