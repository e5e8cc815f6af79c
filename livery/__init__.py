"""Software for the people who give cricket kit its look.

The functions scripts may rely on are reached from here and loaded when first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from livery.capture import measure
    from livery.match import compare
    from livery.output import write_pdf, write_svg
    from livery.placement import lay_out
    from livery.scheme import load_season
    from livery.sheet import make_sheets

__all__ = [
    "compare",
    "lay_out",
    "load_season",
    "make_sheets",
    "measure",
    "write_pdf",
    "write_svg",
]

_HOMES = {
    "compare": "livery.match",
    "lay_out": "livery.placement",
    "load_season": "livery.scheme",
    "make_sheets": "livery.sheet",
    "measure": "livery.capture",
    "write_pdf": "livery.output",
    "write_svg": "livery.output",
}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'livery' has no attribute {name!r}")
