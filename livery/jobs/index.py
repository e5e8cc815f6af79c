"""The one page to open: what was made, shown."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Template


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture on the page and what a click opens; paths relative to the page."""

    image: str
    href: str
    caption: str
    alt: str


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the page: words, a table, pictures, files to take away.

    Attributes:
        paired: every two pictures belong side by side.
    """

    key: str
    title: str
    intro: tuple[str, ...] = ()
    figures: tuple[Figure, ...] = ()
    files: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    paired: bool = False


@dataclass(frozen=True, slots=True)
class IndexPage:
    """The whole page; ``note`` is set apart from the rest."""

    title: str
    intro: tuple[str, ...]
    sections: tuple[Section, ...]
    note: str = ""


def render_index(page: IndexPage) -> str:
    """The page as HTML that needs nothing but the files beside it."""
    return _template().render(page=page)


@cache
def _template() -> Template:
    from jinja2 import Environment

    environment = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
    source = files("livery.data").joinpath("pages/index.html.j2").read_text("utf-8")
    return environment.from_string(source)
