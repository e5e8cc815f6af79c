"""From what a validator objects to, to what a person can mend."""

from __future__ import annotations

import difflib
import typing
from collections.abc import Iterable, Sequence
from dataclasses import replace
from enum import Enum
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from livery.errors import Fault
from livery.scheme.fields import LENGTH_READER, quote
from livery.scheme.reading import Document

MOST_EXPLAINED = 200
"""Faults explained one by one; the rest are counted. Source: workshop-choice."""

_MOST_LINES = 6
_MEANT = "Did you mean"

_WRONG_KIND = {
    "string_type": ("is not text", "Write text in quotes"),
    "int_type": ("is not a whole number", "Write a whole number, without quotes"),
    "float_type": ("is not a number", "Write a number, without quotes"),
    "finite_number": ("is not a finite number", "Write an ordinary number"),
    "bool_type": ("is not true or false", "Write true or false, without quotes"),
    "list_type": ("is not a list", "Write a list in [ ]"),
    "dict_type": ("is not a table", "Write a table of keys"),
    "model_type": ("is not a table", "Write a table of keys"),
}


def suggest(word: str, known: Iterable[str], what: str = "known") -> str:
    """Point to the nearest known word, or list what is known."""
    choices = sorted({str(one) for one in known})
    near = nearest(word, choices)
    if near is not None:
        return f"{_MEANT} {near!r}?"
    if not choices:
        return f"There are no {what} here; remove it"
    return f"{what.capitalize()} here: {', '.join(choices[:30])}"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that was most likely meant, or None."""
    near = difflib.get_close_matches(word[:80], sorted(known), n=1, cutoff=0.6)
    return near[0] if near else None


def tell_once(faults: Iterable[Fault]) -> list[Fault]:
    """Faults without those that only follow from another.

    Of several at one place those that name what was meant are kept; what is wrong in the same way
    in many places is told of the first, with the other lines.
    """
    at_place: dict[tuple[str, str, int | None], list[Fault]] = {}
    for fault in faults:
        at_place.setdefault((fault.file, fault.place, fault.line), []).append(fault)
    alike: dict[tuple[str, str, str], list[Fault]] = {}
    for group in at_place.values():
        pointed = [fault for fault in group if fault.mend.startswith(_MEANT)]
        for fault in pointed or group:
            alike.setdefault((fault.file, fault.found, fault.mend), []).append(fault)
    return [_with_lines(*group) for group in alike.values()]


def _with_lines(first: Fault, *others: Fault) -> Fault:
    lines = [str(fault.line) for fault in others if fault.line not in (None, first.line)]
    if not lines:
        return first
    shown, more = lines[:_MOST_LINES], len(lines) - _MOST_LINES
    told = f"{', '.join(shown)} and {more} more" if more > 0 else ", ".join(shown)
    also = f"(also on line{'s' if len(lines) > 1 else ''} {told})"
    return replace(first, found=f"{first.found} {also}")


def list_faults(document: Document, model: type[BaseModel], error: ValidationError) -> list[Fault]:
    """Turn every objection of a validator into a fault with its place, line and mend."""
    if other := _other_kind(document, model):
        return [document.fault((), f"this is {other}", f"Name {_kind(model.model_fields)}")]
    details = _without_renamed(model, error.errors(include_url=False))
    faults = [_explain(document, model, detail) for detail in details[:MOST_EXPLAINED]]
    if len(details) > MOST_EXPLAINED:
        found = f"{len(details) - MOST_EXPLAINED:,} more values are faulty"
        place = details[MOST_EXPLAINED]["loc"]
        faults.append(document.fault(place, found, "Mend those above first"))
    return faults


def _without_renamed(
    model: type[BaseModel], details: Sequence[ErrorDetails]
) -> Sequence[ErrorDetails]:
    """Objections but to keys that are missing because they stand there misspelt."""
    missing = {detail["loc"] for detail in details if detail["type"] == "missing"}
    meant = {
        (
            *detail["loc"][:-1],
            nearest(str(detail["loc"][-1]), known_keys(model, detail["loc"][:-1])),
        )
        for detail in details
        if missing and detail["type"] == "extra_forbidden"
    }
    return [one for one in details if one["loc"] not in missing & meant]


_KINDS = {
    "season": "a season",
    "inks": "a palette",
    "patches": "a target",
    "regions": "a file of regions",
    "rules": "a rule book",
}


def _kind(keys: Iterable[str]) -> str:
    """What a file of these keys is; "" where they do not tell."""
    found = set(keys)
    return next((kind for key, kind in _KINDS.items() if key in found), "")


def _other_kind(document: Document, model: type[BaseModel]) -> str:
    """What a document is that has none of the keys it needs; "" where it may be meant.

    A season has rules as a rule book has: they do not make it one.
    """
    kind = _kind(document.data)
    needed = [name for name in _needed_keys(model) if _KINDS.get(name, kind) == kind]
    return "" if any(name in document.data for name in needed) else kind


def _explain(document: Document, model: type[BaseModel], detail: ErrorDetails) -> Fault:
    path, kind, value = detail["loc"], detail["type"], detail["input"]
    found, mend = _words(model, path, kind, value, detail)
    return document.fault(path, found, mend)


def _words(
    model: type[BaseModel], path: Sequence[str | int], kind: str, value: Any, detail: ErrorDetails
) -> tuple[str, str]:
    context = detail.get("ctx", {})
    if kind == "livery":
        return str(context["found"]), str(context["mend"])
    if kind == "missing":
        return f"{path[-1]!r} is missing", f"Add {_example(model, path)}"
    if kind == "extra_forbidden":
        name = str(path[-1])
        return f"unknown key {name!r}", suggest(name, known_keys(model, path[:-1]), "known keys")
    if kind in ("enum", "literal_error"):
        allowed = str(context.get("expected", "")).replace("'", "")
        near = suggest(str(value), allowed.replace(" or ", ", ").split(", "))
        return f"{quote(value)} is not one of {allowed}", near
    if kind in ("too_short", "too_long"):
        least = kind == "too_short"
        wanted = context["min_length" if least else "max_length"]
        words = f"Give at {'least' if least else 'most'} {wanted}"
        return f"{quote(value)} holds {context['actual_length']}", words
    if kind in _WRONG_KIND:
        what, mend = _WRONG_KIND[kind]
        inner = path if kind == "model_type" else (*path, 0)
        if kind in ("model_type", "list_type") and (keys := _needed_keys(_kind_at(model, inner))):
            table = f"{{ {', '.join(f'{key} = ...' for key in keys)} }}"
            mend = f"Write a table: {table}" if inner is path else f"Write a list: [{table}]"
        return f"{quote(value)} {what}", mend
    return f"{quote(value)} is out of range", detail["msg"].replace("Input should", "It should")


def _example(model: type[BaseModel], path: Sequence[str | int]) -> str:
    """A missing key, and what it may hold."""
    kind = _kind_at(model, path)
    if isinstance(kind, type) and issubclass(kind, Enum):
        words = [str(one.value) for one in kind]
        return f"{path[-1]}: {', '.join(words[:-1])} or {words[-1]}"
    table = _kind_at(model, path[:-1])
    field = table.model_fields.get(str(path[-1])) if _is_table(table) else None
    if field is not None and LENGTH_READER in field.metadata:
        return f'{path[-1]} = ..., a length such as 12 or "12 mm"'
    return f"{path[-1]} = ..."


def known_keys(model: type[BaseModel], path: Sequence[str | int]) -> list[str]:
    """Keys that the table at ``path`` may hold."""
    kind = _kind_at(model, path)
    if not _is_table(kind):
        return []
    return [field.alias or name for name, field in kind.model_fields.items()]


def _needed_keys(kind: Any) -> list[str]:
    """Keys that a table may not lack."""
    fields = kind.model_fields.items() if _is_table(kind) else ()
    return [field.alias or name for name, field in fields if field.is_required()]


def _kind_at(model: type[BaseModel], path: Sequence[str | int]) -> Any:
    """What a place may hold: a table, a kind of value, or None for an unknown key."""
    kind: Any = model
    for step in path:
        if isinstance(step, str) and _is_table(kind):
            kind = _annotation(kind, step)
        else:
            arguments = [a for a in typing.get_args(kind) if a is not type(None)]
            kind = arguments[-1] if arguments else None
        while typing.get_origin(kind) is typing.Union or _is_optional(kind):
            kind = next(a for a in typing.get_args(kind) if a is not type(None))
    return kind


def _annotation(kind: type[BaseModel], key: str) -> Any:
    for name, field in kind.model_fields.items():
        if (field.alias or name) == key:
            return field.annotation
    return None


def _is_table(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _is_optional(kind: Any) -> bool:
    return type(None) in typing.get_args(kind)
