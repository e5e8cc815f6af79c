"""A season read, laid out and held against its rule books."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, partial
from pathlib import Path

from livery.crew import Watch, unwatched
from livery.limits import Finding, Severity
from livery.placement import Layout, books_in_force, lay_out
from livery.scheme import load_season
from livery.scheme.model import Order, Scheme
from livery.sheet import find_oversize, inspect_builds, inspect_layouts, inspect_names
from livery.views import RuleInForce, rules_in_force


@dataclass(frozen=True, eq=False)
class Survey:
    """A season and everything found about it.

    Attributes:
        scheme: the season as read.
        layouts: of the range and of every order.
        beyond_stock: what of the orders the stock cannot hold, where that was looked for.
    """

    scheme: Scheme
    layouts: tuple[Layout, ...]
    beyond_stock: tuple[Finding, ...] = ()

    @cached_property
    def preflight(self) -> tuple[Finding, ...]:
        """On the form of what prints, looked over when first asked for."""
        decals = inspect_layouts(self.layouts, self.scheme.profile)
        builds = inspect_builds(self.scheme.palette, self.scheme.profile)
        return decals + builds + inspect_names(self.scheme)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Each distinct finding once: over all layouts, then on the form of what prints."""
        placed = (finding for layout in self.layouts for finding in layout.findings)
        return tuple(dict.fromkeys((*placed, *self.preflight, *self.beyond_stock)))

    @property
    def orders_by_finding(self) -> dict[Finding, tuple[str, ...]]:
        """Keys of the orders that each finding on a layout touches; none: the range alone."""
        touched: dict[Finding, dict[str, None]] = {}
        for layout in self.layouts:
            for finding in layout.findings:
                orders = touched.setdefault(finding, {})
                if layout.order:
                    orders[layout.order] = None
        return {finding: tuple(orders) for finding, orders in touched.items()}

    @property
    def broken(self) -> tuple[Finding, ...]:
        """Findings that break a limit."""
        return tuple(f for f in self.findings if not f.ok and f.severity is Severity.LIMIT)

    def of_order(self, order: Order) -> tuple[Layout, ...]:
        """The layouts of one order."""
        return tuple(layout for layout in self.layouts if layout.order == order.key)

    @property
    def of_range(self) -> tuple[Layout, ...]:
        """The layouts of the season's range: every model, size and hand."""
        return tuple(layout for layout in self.layouts if not layout.order)


def survey(path: Path, watch: Watch = unwatched) -> Survey:
    """Read a season, lay it out and check it.

    Raises:
        SeasonError: the season, its palette, or a rule book; every fault at once.
        ArtworkError: artwork that cannot be used.
    """
    watch("reading the season", 0, 1)
    scheme = load_season(path)
    watch("reading the season", 1, 1)
    return Survey(scheme, lay_out(scheme, told=partial(watch, "laying out")))


def survey_for_print(path: Path, watch: Watch = unwatched) -> Survey:
    """As ``survey``, with what of the orders the stock cannot hold, which a build refuses.

    Raises:
        SeasonError: the season, its palette, or a rule book; every fault at once.
        ArtworkError: artwork that cannot be used.
    """
    found = survey(path, watch)
    source = f"Print profile, {found.scheme.profile.name} (workshop choice)"
    beyond_stock = tuple(
        Finding(
            "stock",
            Severity.LIMIT,
            fault.place.rpartition(", ")[2],
            1.0,
            0.0,
            -1.0,
            "decals",
            source,
            fault.found[:1].upper() + fault.found[1:] + f". {fault.mend}",
            False,
        )
        for fault in find_oversize(found.scheme, found.layouts)
    )
    return replace(found, beyond_stock=beyond_stock)


def list_rules(path: Path) -> tuple[RuleInForce, ...]:
    """Every rule that a season is held to, in plain words.

    Raises:
        SeasonError: the season, its palette, or a rule book; every fault at once.
    """
    return rules_in_force(books_in_force(load_season(path)))
