"""Names that a PDF's streams give to what they refer to, made of what it is.

So a stream can be written anywhere, knowing nothing of the rest of its document.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache

from livery.drawing import LayerKind

KNOCK_OUT, OVERPRINT, DARKEN = "/GSknock", "/GSover", "/GSdark"
LAB_SPACE, ALL_SPACE = "/CSlab", "/CSall"
_DIGITS = 16  # of a SHA-256: no two of a document's names will meet [source: workshop-choice]


def space_name(spot: str) -> str:
    """Of a spot's colour space."""
    return _name("CS", spot)


def layer_name(name: str, kind: LayerKind) -> str:
    """Of a layer; pages share layers of one name and kind."""
    return _name("OC", f"{kind.value} {name}")


def form_name(symbol: str) -> str:
    """Of a symbol's form."""
    return _name("Fm", symbol)


def font_name(font: str) -> str:
    """Of a packaged font."""
    return f"/F-{font}"


@lru_cache(maxsize=256)
def picture_name(png: bytes) -> str:
    """Of a picture; equal pictures share one."""
    return f"/Im{hashlib.sha256(png).hexdigest()[:_DIGITS]}"


@lru_cache(maxsize=4096)
def _name(kind: str, text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return f"/{kind}{digest[:_DIGITS]}"
