"""What grading did to a decal, and what would make one fit: said, never done in silence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from livery.limits import Finding, RuleBook, Severity, titles_of
from livery.limits.reading import EXACT
from livery.placement.areas import AreaLimit, area_limits
from livery.placement.intent import Fit, Intent, Settled
from livery.placement.scales import bisect_scale
from livery.placement.seats import Seat, fitter_among
from livery.units import format_mm_and_inch

_SOURCE = "the season's placements"
_SMALLEST = 0.05  # of the graded size; nobody wants a decal smaller [source: workshop-choice]


def note_grading(seat: Seat, subject: str, books: Sequence[RuleBook]) -> Iterator[Finding]:
    """How far a seated decal was shrunk and moved, and for which rules."""
    intent, fit, titles = seat.intent, seat.fit, titles_of(books)
    rules = ", ".join(titles[rule] for rule, _ in seat.wanted) or "the decals about it"
    share, least = fit.scale / intent.scale, intent.least_scale / intent.scale
    if share < 1.0 - EXACT:
        text = f"Shrunk to {100 * share:.2f} % of its graded size for {rules}"
        yield _note("placement/shrunk", subject, (100 * share, 100 * least), "%", text, ok=True)
    if abs(fit.slide_mm) > EXACT:
        text = f"Moved {_moved(fit.slide_mm)} for {rules}"
        moved = (abs(fit.slide_mm), intent.slide_mm)
        yield _note("placement/moved", subject, moved, "mm", text, ok=True)


def note_mends(
    seat: Seat, subject: str, books: Sequence[RuleBook], others: Sequence[Seat]
) -> Iterator[Finding]:
    """What keeps a decal or group from fitting, by how much, and the smallest changes that help."""
    intent = seat.intent
    fitter = fitter_among(intent, books, [(other.intent, other.fit) for other in others])
    short = fitter.shortages(seat.fit.scale, seat.fit.slide_mm)
    if short:
        rule, by_mm = max(short.items(), key=lambda entry: entry[1])
        titles = titles_of(books)
        also = [f"{titles[name]} by {mm:.2f} mm" for name, mm in short.items() if name != rule]
        text = f"What holds it is {titles[rule]}, short by {format_mm_and_inch(by_mm)}"
        text += f"; also {', '.join(also)}" if also else ""
        yield _note("placement/binding", subject, (by_mm, 0.0), "mm", text)
    _, near, _, far = intent.surface.outline.bounds
    slide = fitter.smallest_slide(intent.scale, float(far - near))
    if slide is not None:
        text = f"It would fit moved {_moved(slide)}; {_allowance(intent)}"
        yield _note("placement/move", subject, (abs(slide), intent.slide_mm), "mm", text)
    shrunk = fitter.largest(_SMALLEST * intent.scale, intent.scale, intent.slide_mm)
    if shrunk is not None:
        share = 100 * shrunk.scale / intent.scale
        moved = f" and moved {_moved(shrunk.slide_mm)}" if abs(shrunk.slide_mm) > EXACT else ""
        text = f"It would fit at {share:.2f} % of its size{moved}; {_allowance(intent)}"
        least = 100 * intent.least_scale / intent.scale
        yield _note("placement/shrink", subject, (share, least), "%", text)
    if slide is None and shrunk is None:
        across = f"x = {intent.x_mm + 0.0:g} mm"
        text = f"No move along the surface and no smaller size would make it fit at {across}"
        yield _note("placement/no-room", subject, (1.0, 0.0), "decals", text)


def note_areas(seats: Sequence[Seat], item: str, books: Sequence[RuleBook]) -> Iterator[Finding]:
    """The one share of their sizes at which decals that cover too much together would not."""
    placed = {seat.intent.key: (seat.intent, seat.fit) for seat in seats}
    for limit in area_limits([seat.intent for seat in seats], books):
        if limit.holds(placed):
            continue
        covered = limit.covered_mm2(placed)
        share = _share_that_holds(limit, placed)
        keys = [part.key for key in limit.keys for part in placed[key][0].parts]
        text = (
            f"{', '.join(keys)} {'cover' if len(keys) > 1 else 'covers'} "
            f"{covered - limit.most_mm2:.1f} mm² too much for {titles_of(books)[limit.rule]} "
            "at the smallest sizes the season allows; "
            f"all at {100 * share:.2f} % of these would hold it"
        )
        yield _note("placement/area", item, (100 * share, 100.0), "%", text)


def _share_that_holds(limit: AreaLimit, placed: Mapping[str, Settled]) -> float:
    """The largest share of their sizes at which decals keep a limit that they break at 1."""

    def holds(share: float) -> bool:
        shrunk = {
            key: (intent, Fit(share * fit.scale, fit.slide_mm))
            for key, (intent, fit) in placed.items()
        }
        return limit.holds(shrunk)

    return bisect_scale(0.0, 1.0, holds)


def _moved(slide_mm: float) -> str:
    where = "towards the toe" if slide_mm > 0 else "towards the handle"
    return f"{format_mm_and_inch(abs(slide_mm))} {where}"


def _allowance(intent: Intent) -> str:
    least = 100 * intent.least_scale / intent.scale
    return (
        f"the season allows moves of {intent.slide_mm:g} mm and {least:g} % of its size, "
        "and none at all on the master size"
    )


def _note(
    rule: str, subject: str, values: tuple[float, float], unit: str, text: str, *, ok: bool = False
) -> Finding:
    """A note of a measured value and the limit it is told against; of one that holds if ``ok``."""
    measured, limit = values
    margin = limit - measured if unit == "mm" else measured - limit
    return Finding(
        rule,
        Severity.NOTE,
        subject,
        measured,
        limit,
        abs(margin) if ok else margin,  # what the designer allows holds, but for rounding
        unit,
        _SOURCE,
        text,
        ok,
    )
