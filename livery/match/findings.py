"""Everything one match says, together, as the report and the door show it."""

from __future__ import annotations

from dataclasses import dataclass

from livery.match.lights import LightComparison
from livery.match.model import Comparison, Remark
from livery.match.remedy import CommonAim, Remedy


@dataclass(frozen=True, slots=True)
class Evidence:
    """A file that was judged.

    Attributes:
        name: as the user named it.
        kind: ``capture``, ``reference`` or ``spectra``.
        digest: SHA-256 of the file, hexadecimal.
        photograph: SHA-256 of the photograph behind a capture, or "".
    """

    name: str
    kind: str
    digest: str
    photograph: str = ""


@dataclass(frozen=True, slots=True)
class Findings:
    """What was found.

    Attributes:
        notes: on the files: what was converted, left out or taken on somebody's word.
    """

    comparisons: tuple[Comparison, ...]
    remarks: tuple[Remark, ...] = ()
    lights: tuple[LightComparison, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    common_aims: tuple[CommonAim, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    notes: tuple[str, ...] = ()
