"""An archive judged again, as values: what is judged, by what, what came of it, and how many."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from livery.match.model import Comparison, Titles, Verdict
from livery.match.rulings import Ruling
from livery.match.tolerance import Names
from livery.scheme.model import Palette, Tolerances


@dataclass(frozen=True, slots=True)
class Held:
    """A capture to judge.

    Attributes:
        name: its number in the records, or its file.
        text: its JSON; "" where it cannot be read.
        bat, date: as entered with it; empty for a file.
        rulings: that stand on it; None for a file.
        trouble: why it cannot be read.
    """

    name: str
    text: str
    bat: str = ""
    date: str = ""
    rulings: tuple[Ruling, ...] | None = None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Change:
    """A pair whose verdict is another than it was; None where there was or is none."""

    before: Ruling | None
    after: Ruling | None

    @property
    def words(self) -> tuple[str, str]:
        """The two verdicts; ``none`` for none."""
        before, after = (
            "none" if one is None else str(one.verdict) for one in (self.before, self.after)
        )
        return before, after


@dataclass(frozen=True, slots=True)
class Rejudged:
    """One capture as it is judged now.

    Attributes:
        changes: verdicts that differ from those that stood.
        comparisons: everything ``compare`` says, where it was asked for and something changed.
        trouble: why it cannot be judged; it then has no rulings.
    """

    name: str
    bat: str
    date: str
    rulings: tuple[Ruling, ...] = ()
    changes: tuple[Change, ...] = ()
    comparisons: tuple[Comparison, ...] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Terms:
    """What captures are judged by.

    Attributes:
        names: what items answer to.
        titles: what reasons call them.
        in_full: comparisons of what changed are wanted.
    """

    palette: Palette
    tolerances: Tolerances
    names: Names
    titles: Titles
    in_full: bool = False


@dataclass(slots=True)
class Summary:
    """Counts over an archive, kept as it is gone through.

    Attributes:
        silent: captures of which nothing was judged.
    """

    captures: int = 0
    silent: int = 0
    changed_captures: int = 0
    verdicts: Counter[str] = field(default_factory=Counter)
    changes: Counter[tuple[str, str]] = field(default_factory=Counter)
    troubles: int = 0

    def add(self, one: Rejudged) -> None:
        """Count one capture."""
        self.captures += 1
        self.troubles += bool(one.trouble)
        self.silent += not (one.rulings or one.trouble)
        self.changed_captures += bool(one.changes)
        self.verdicts.update(str(ruling.verdict) for ruling in one.rulings)
        self.changes.update(change.words for change in one.changes)

    @property
    def all_pass(self) -> bool:
        """Whether something was judged of every capture, and all of it passes."""
        judged = self.captures > 0 and not (self.silent or self.troubles)
        return judged and set(self.verdicts) == {Verdict.PASS}
