"""Every error a user can meet.

    LiveryError                 caught once, at the door (cli, web)
    ├── InputError              a file or value the user gave is wrong
    │   ├── SeasonError         a season or palette; carries every Fault at once
    │   ├── ArtworkError        an SVG or a font
    │   ├── PhotographError     an image that cannot be decoded or is no evidence
    │   ├── TargetError         a target.toml or regions.toml
    │   └── ExchangeError       a CGATS or CxF file
    ├── OutputError             a place that cannot be written
    ├── CrewError               work that cannot be done where it was sent
    └── ColourError             numbers outside the domain of a colour formula

A message says where, what was found, what is allowed, and what to do.
"""

from __future__ import annotations

from dataclasses import dataclass

MOST_TOLD = 60
"""Faults of one file that a message lists; the rest are counted. Source: workshop-choice."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a file.

    Attributes:
        file: path as the user gave it.
        place: key path (``bats[0].sizes``), element, or byte position; may be empty.
        line: 1-based line, or None where the format has no lines.
        found: what is wrong, quoting the value.
        mend: what would be right, as an instruction.
    """

    file: str
    place: str
    line: int | None
    found: str
    mend: str

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        place = f": {self.place}" if self.place else ""
        return visible(f"{where}{place}: {self.found}. {self.mend}", keep="")


def visible(text: str, keep: str = "\n\t") -> str:
    """A text with what would act on a terminal, or cannot be written, spelt out.

    Args:
        text: any text, from a file of anyone's.
        keep: control characters to leave.
    """
    if text.isprintable():
        return text
    return "".join(
        one if one.isprintable() or one in keep or one in _JOINERS else _spelt(one) for one in text
    )


_JOINERS = "\u200c\u200d\u00a0\u3000"  # joiners of several scripts, and blanks that do not act


def _spelt(one: str) -> str:
    return one.encode("unicode_escape").decode("ascii")


class LiveryError(Exception):
    """The root of every error livery raises on purpose."""

    def __str__(self) -> str:
        return visible(super().__str__())


class InputError(LiveryError, ValueError):
    """Something the user gave is wrong.

    Args:
        faults: every fault found, in file order; at least one.
    """

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        told = [str(fault) for fault in faults[:MOST_TOLD]]
        if len(faults) > MOST_TOLD:
            told.append(f"and {len(faults) - MOST_TOLD:,} more faults.")
        super().__init__("\n".join(told))

    def __reduce__(self) -> tuple[type[InputError], tuple[Fault, ...]]:
        return type(self), self.faults  # so that it survives the way between processes


class SeasonError(InputError):
    """A season, palette, profile or rule book says something impossible."""


class ArtworkError(InputError):
    """An artwork file or a font cannot be read as decal artwork."""


class PhotographError(InputError):
    """A photograph cannot be decoded, or cannot be evidence."""


class TargetError(InputError):
    """A target or regions file is wrong."""


class ExchangeError(InputError):
    """A colour-exchange file (CGATS text, CxF) is wrong."""


class OutputError(LiveryError, OSError):
    """A result could not be written; earlier results are untouched."""


class CrewError(LiveryError, RuntimeError):
    """Work sent to other processes or machines cannot be done there."""


class ColourError(LiveryError, ValueError):
    """Numbers outside the domain of a colour formula (not finite, wrong shape)."""
