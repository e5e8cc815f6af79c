"""Names that sheets, cards and proofs cannot show, as no packaged font holds their letters."""

from __future__ import annotations

from collections.abc import Iterator

from livery.artwork.typesetting import settable_line
from livery.limits.model import Finding, Severity
from livery.scheme.model import Scheme


def inspect_names(scheme: Scheme) -> tuple[Finding, ...]:
    """Advice on each name that would be shown with question marks; none where all can be read."""
    return tuple(
        _finding(whose, name, shown)
        for whose, name in _names(scheme)
        if (shown := settable_line(name, "text")) != name
    )


def _names(scheme: Scheme) -> Iterator[tuple[str, str]]:
    yield "the season", scheme.name
    yield "the workshop", scheme.workshop
    yield "the stock", scheme.profile.stock
    for ink in scheme.palette.inks:
        yield f"ink {ink.key}", ink.name
    for order in scheme.orders:
        yield f"order {order.key}", order.player


def _finding(whose: str, name: str, shown: str) -> Finding:
    absent = [one for one, other in zip(name, shown, strict=True) if one != other]
    letters = ", ".join(dict.fromkeys(absent))
    return Finding(
        "names-shown",
        Severity.ADVICE,
        whose,
        float(len(absent)),
        0.0,
        -float(len(absent)),
        "letters",
        "Packaged fonts (workshop choice)",
        f"“{name}” is shown as “{shown}” on papers: no packaged font holds {letters}. Write it in "
        "letters that they hold.",
        False,
    )
