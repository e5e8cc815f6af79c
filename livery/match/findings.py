"""Everything one match says, together, as the report and the door show it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from livery.match.lights import LightComparison
from livery.match.model import Comparison, Remark, Titles, Verdict, name_items
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

    def named(self, titles: Titles) -> Findings:
        """The same as people read it: items by name."""

        def name(key: str) -> str:
            return titles.get(key, key)

        return replace(
            self,
            comparisons=name_items(self.comparisons, titles),
            remarks=tuple(replace(one, item=name(one.item)) for one in self.remarks),
            lights=tuple(replace(one, a=name(one.a), b=name(one.b)) for one in self.lights),
            common_aims=tuple(
                replace(one, worst_item=name(one.worst_item)) for one in self.common_aims
            ),
        )

    @property
    def all_match(self) -> bool:
        """Whether everything that was seen was judged and passed, and something was."""
        return (
            bool(self.comparisons or self.lights)
            and all(one.verdict is Verdict.PASS for one in self.comparisons)
            and all(one.ok for one in self.lights)
            and not any(one.unjudged for one in self.remarks)
        )
