"""Every error a user can meet.

    LiveryError                 caught once, at the door (cli, web)
    ├── InputError              a file or value the user gave is wrong
    │   ├── SeasonError         a season or palette; carries every Fault at once
    │   ├── ArtworkError        an SVG or a font
    │   ├── PhotographError     an image that cannot be decoded or is no evidence
    │   ├── TargetError         a target.toml or regions.toml
    │   └── ExchangeError       a CGATS or CxF file
    ├── OutputError             a place that cannot be written
    └── ColourError             numbers outside the domain of a colour formula

A message says where, what was found, what is allowed, and what to do.
"""

from __future__ import annotations

from dataclasses import dataclass


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
        return f"{where}{place}: {self.found}. {self.mend}"


class LiveryError(Exception):
    """The root of every error livery raises on purpose."""


class InputError(LiveryError, ValueError):
    """Something the user gave is wrong.

    Args:
        faults: every fault found, in file order; at least one.
    """

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))

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


class ColourError(LiveryError, ValueError):
    """Numbers outside the domain of a colour formula (not finite, wrong shape)."""
