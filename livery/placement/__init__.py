"""Where each decal sits: from the designer's intent on one size to every size and hand.

In comes a season, its decals and the rule books in force; out go layouts: every placement on every
item, with findings. The steps, in order:

- ``wardrobe`` builds the items, ``wording`` has each order's words ready;
- ``grading`` turns placements, stated on the master size, into an ``intent`` each on another;
- ``bounds`` turns the rules that hold an intent into geometry: walls, edges, least sizes;
- ``fitting`` finds the largest scale and the smallest move of one intent, exactly, by the moves
  that areas bar one another: ``slides`` (of sides), ``contour`` (of runs of them), ``hulls``; a
  ``figure`` is an intent's part in these forms, ``sides`` makes arrays of areas;
- ``cluster`` does so for intents that push one another or are aligned: ``scales`` of several,
  ``moves`` of several; ``areas`` bounds what decals cover together;
- ``seating`` calls these for all of an item's decals and gives each its ``seats`` entry;
- ``notes`` says what was changed and what would help; ``layouts`` puts it all together;
- ``drawing`` shows placed decals, for whoever draws them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from livery.artwork.decals import DecalMaker
from livery.limits import RuleBook, load_books
from livery.limits.profile import book_of_profile
from livery.placement.drawing import decal_symbol, decal_symbols, draw_placed, use_decal
from livery.placement.layouts import DecalFor, count_layouts, lay_out_season
from livery.placement.model import Layout, Placement
from livery.placement.wardrobe import Wardrobe
from livery.scheme.model import Scheme

__all__ = [
    "DecalFor",
    "Layout",
    "Placement",
    "Wardrobe",
    "books_in_force",
    "decal_symbol",
    "decal_symbols",
    "draw_placed",
    "lay_out",
    "use_decal",
]


def books_in_force(scheme: Scheme) -> tuple[RuleBook, ...]:
    """The season's rule books, and the print profile's smallest text and line as a book.

    Raises:
        SeasonError: every fault of every book.
    """
    books = load_books(scheme.rule_books, scheme.path.parent, str(scheme.path))
    return (*books, book_of_profile(scheme.profile))


def lay_out(
    scheme: Scheme,
    decal_for: DecalFor | None = None,
    *,
    books: Sequence[RuleBook] | None = None,
    told: Callable[[int, int], None] = lambda done, of: None,
) -> tuple[Layout, ...]:
    """Lay out a season: its range in every size and hand (order ``""``), then every order.

    Args:
        scheme: the season.
        decal_for: makes a decal from its spec and an order's words; from the season's artwork
            unless given.
        books: rule books in force; the season's unless given.
        told: after each layout, how many are done and how many there are.

    Returns:
        Layouts with findings for every rule, held or broken.

    Raises:
        SeasonError: a rule book, or a placement on a surface that its item has not.
        ArtworkError: artwork that cannot be used.
    """
    maker = DecalMaker(scheme.palette) if decal_for is None else decal_for
    in_force = books_in_force(scheme) if books is None else books
    layouts, of = [], count_layouts(scheme)
    for layout in lay_out_season(scheme, maker, in_force, Wardrobe(scheme)):
        layouts.append(layout)
        told(len(layouts), of)
    return tuple(layouts)
