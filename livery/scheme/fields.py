"""The kinds of value a season's keys may hold, as pydantic fields with faults in plain words."""

from __future__ import annotations

import datetime
import math
import re
import reprlib
from itertools import pairwise
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

from livery.units import parse_length_mm, parse_weight_g

LONGEST_MM = 5000.0
"""Nothing on a bat, glove, pad or sheet is longer. Source: workshop-choice."""

HEAVIEST_G = 3000.0
"""No bat is heavier. Source: workshop-choice; an ordinary bat is about 1200 g."""

DARKEST, BRIGHTEST = -0.1, 3.0
"""A reflectance factor lies between: an instrument's noise goes below 0, a fluorescent ink above 1.
Source: cxf-3."""

LONGEST_KEY, LONGEST_WORDS = 80, 200
"""Characters of a key, and of a line of text. Source: workshop-choice."""

_JOINERS = "\u200c\u200d"  # spelling needs them in Sinhala, Urdu and others
_KEY = re.compile(rf"[A-Za-z0-9][A-Za-z0-9._-]{{0,{LONGEST_KEY - 1}}}", re.ASCII)


class Table(BaseModel):
    """A table of a season or palette: no unknown keys, no silent conversions."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


def refusal(found: str, mend: str) -> PydanticCustomError:
    """A fault in our own words, as a pydantic error."""
    context = {"found": found, "mend": mend}
    return PydanticCustomError("livery", "{found}", context)


def quote(value: object) -> str:
    """A value as a message shows it, at most 60 characters."""
    text = repr(value) if isinstance(value, str | int | float) else reprlib.repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _read_length(value: Any) -> float:
    try:
        return parse_length_mm(value)
    except ValueError as error:
        mend = 'Write mm as a number, or a text with its unit: "108 mm", "4.25 in"'
        raise refusal(str(error), mend) from error


def _read_weight(value: Any) -> float:
    mend = f'Write "2 lb 9 oz", "1160 g" or grams, above 0 and at most {HEAVIEST_G:g} g'
    try:
        grams = parse_weight_g(value)
    except ValueError as error:
        raise refusal(str(error), mend) from error
    if not (math.isfinite(grams) and 0 < grams <= HEAVIEST_G):
        raise refusal(f"{quote(value)} is no weight of a bat", mend)
    return grams


def _read_date(value: Any) -> str:
    mend = 'Write year-month-day: "2027-01-18"'
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value.isoformat()
    if not isinstance(value, str):
        raise refusal(f"{quote(value)} is not a date", mend)
    try:
        if value and not re.fullmatch(r"\d{4}-\d{2}-\d{2}", value, re.ASCII):
            raise ValueError
        return datetime.date.fromisoformat(value).isoformat() if value else ""
    except ValueError as error:
        raise refusal(f"{quote(value)} is not an ISO date", mend) from error


def _read_words(value: Any) -> str:
    if not isinstance(value, str):
        raise refusal(f"{quote(value)} is not text", "Write text in quotes")
    bad = next((c for before, c in pairwise(f" {value}") if not _is_ordinary(before, c)), None)
    if bad is not None:
        mend = "Write one line of ordinary text"
        raise refusal(f"the text holds the control character U+{ord(bad):04X}", mend)
    if len(value) > LONGEST_WORDS:
        raise refusal(f"the text has {len(value)} characters", f"Use at most {LONGEST_WORDS}")
    return value


def _is_ordinary(before: str, character: str) -> bool:
    """Whether a character is seen, or joins letters of a script that is spelt with joiners."""
    joins = character in _JOINERS and not before.isascii() and before.isprintable()
    return character.isprintable() or joins


def _read_name(value: Any) -> str:
    words = _read_words(value)
    if not words.strip():
        raise refusal("the text is empty", "Write at least one character")
    return words


def _read_key(value: Any) -> str:
    mend = "Use letters, digits, '.', '_' and '-', starting with a letter or digit, at most 80"
    if not isinstance(value, str) or not _KEY.fullmatch(value):
        raise refusal(f"{quote(value)} is not a key", mend)
    return value


Word = Field(strict=False)
"""Beside an enumeration: one of its words, as text."""

LENGTH_READER = BeforeValidator(_read_length)
"""What makes mm of a length in any unit."""

Length = Annotated[float, LENGTH_READER, Field(ge=-LONGEST_MM, le=LONGEST_MM)]
PositiveLength = Annotated[float, LENGTH_READER, Field(gt=0, le=LONGEST_MM)]
ZeroOrLength = Annotated[float, LENGTH_READER, Field(ge=0, le=LONGEST_MM)]
Weight = Annotated[float, BeforeValidator(_read_weight)]
Date = Annotated[str, BeforeValidator(_read_date)]
Words = Annotated[str, BeforeValidator(_read_words)]
Name = Annotated[str, BeforeValidator(_read_name)]
Key = Annotated[str, BeforeValidator(_read_key)]
Count = Annotated[int, Field(ge=0, le=100_000)]
Share = Annotated[float, Field(gt=0, le=1)]
Difference = Annotated[float, Field(gt=0, le=20)]
