"""Everything one match says, together, as the report and the door show it."""

from __future__ import annotations

from dataclasses import dataclass

from livery.match.lights import LightComparison
from livery.match.model import Comparison, Remark, Verdict
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

    @property
    def all_match(self) -> bool:
        """Whether everything that was seen was judged and passed, and something was."""
        return (
            bool(self.comparisons or self.lights)
            and all(one.verdict is Verdict.PASS for one in self.comparisons)
            and all(one.ok for one in self.lights)
            and not any(one.unjudged for one in self.remarks)
        )
