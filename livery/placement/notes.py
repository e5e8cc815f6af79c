"""What grading did to a decal, and what would make one fit: said, never done in silence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from livery.limits import Finding, Placed, RuleBook, Severity
from livery.placement.bounds import gather_bounds
from livery.placement.fitting import Fitter
from livery.placement.intent import Intent
from livery.placement.surface_fit import Seat
from livery.units import format_mm_and_inch

_SOURCE = "the season's placements"
_SMALLEST = 0.05  # of the graded size; nobody wants a decal smaller [source: workshop-choice]
_TINY_MM = 1e-9


def note_grading(seat: Seat, subject: str) -> Iterator[Finding]:
    """How far a seated decal was shrunk and moved, and for which rules."""
    intent, fit = seat.intent, seat.fit
    rules = ", ".join(rule for rule, _ in seat.wanted) or "the decals about it"
    share, least = fit.scale / intent.scale, intent.least_scale / intent.scale
    if share < 1.0 - _TINY_MM:
        text = f"Shrunk to {100 * share:.2f} % of its graded size for {rules}"
        yield _note("placement/shrunk", subject, (100 * share, 100 * least), "%", text)
    if abs(fit.slide_mm) > _TINY_MM:
        text = f"Moved {_moved(fit.slide_mm)} for {rules}"
        moved = (abs(fit.slide_mm), intent.slide_mm)
        yield _note("placement/moved", subject, moved, "mm", text)


def note_mends(
    seat: Seat, subject: str, books: Sequence[RuleBook], neighbours: Sequence[Placed]
) -> Iterator[Finding]:
    """The smallest changes that would make a decal fit that does not."""
    intent = seat.intent
    fitter = Fitter(intent, gather_bounds(intent, books, neighbours))
    _, near, _, far = intent.surface.outline.bounds
    slide = fitter.smallest_slide(intent.scale, float(far - near))
    if slide is not None:
        text = f"It would fit moved {_moved(slide)}; {_allowance(intent)}"
        yield _mend("placement/move", subject, (abs(slide), intent.slide_mm), "mm", text)
    shrunk = fitter.largest(_SMALLEST * intent.scale, intent.scale, intent.slide_mm)
    if shrunk is not None:
        share = 100 * shrunk.scale / intent.scale
        moved = f" and moved {_moved(shrunk.slide_mm)}" if abs(shrunk.slide_mm) > _TINY_MM else ""
        text = f"It would fit at {share:.2f} % of its size{moved}; {_allowance(intent)}"
        least = 100 * intent.least_scale / intent.scale
        yield _mend("placement/shrink", subject, (share, least), "%", text)
    if slide is None and shrunk is None:
        across = f"x = {intent.x_mm:g} mm"
        text = f"No move along the surface and no smaller size would make it fit at {across}"
        yield _mend("placement/no-room", subject, (1.0, 0.0), "decals", text)


def _moved(slide_mm: float) -> str:
    where = "towards the toe" if slide_mm > 0 else "towards the handle"
    return f"{format_mm_and_inch(abs(slide_mm))} {where}"


def _allowance(intent: Intent) -> str:
    least = 100 * intent.least_scale / intent.scale
    return (
        f"the season allows moves of {intent.slide_mm:g} mm and {least:g} % of its size, "
        "and none at all on the master size"
    )


def _note(rule: str, subject: str, values: tuple[float, float], unit: str, text: str) -> Finding:
    measured, limit = values
    margin = abs(measured - limit)
    return Finding(rule, Severity.NOTE, subject, measured, limit, margin, unit, _SOURCE, text, True)


def _mend(rule: str, subject: str, values: tuple[float, float], unit: str, text: str) -> Finding:
    measured, limit = values
    margin = limit - measured if unit == "mm" else measured - limit
    return Finding(
        rule, Severity.NOTE, subject, measured, limit, margin, unit, _SOURCE, text, False
    )
