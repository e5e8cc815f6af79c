"""All decals of one item together: what competes for room is seated jointly."""

from __future__ import annotations

from collections.abc import Sequence

from livery.limits import RuleBook
from livery.placement.areas import AreaLimit, area_limits
from livery.placement.cluster import Cluster, cluster_intents, settle_all
from livery.placement.intent import Fit, Intent, Settled, settle
from livery.placement.scales import Scales, largest_scales
from livery.placement.seats import Seat, fitter_among, least_bad


def seat_as_stated(intents: Sequence[Intent], books: Sequence[RuleBook]) -> list[Seat]:
    """Leave every decal exactly where it was stated, and say what that breaks."""
    seats: list[Seat] = []
    stated = settle_all(intents, [Fit(intent.scale, 0.0) for intent in intents])
    for intent, fit in stated:
        others = [
            (seat.intent, seat.fit)
            for seat in seats
            if seat.intent.surface.key == intent.surface.key
        ]
        wanted = fitter_among(intent, books, others).shortages(fit.scale, 0.0)
        seats.append(Seat(intent, fit, not wanted, tuple(wanted.items())))
    return seats


def seat_decals(intents: Sequence[Intent], books: Sequence[RuleBook]) -> list[Seat]:
    """Fit the decals of one item.

    Decals that cannot meet are fitted alone: the largest scale, then the smallest move. Those
    that can, or that are aligned to one another, are fitted jointly: the largest common share of
    their graded sizes, then each in turn as large as the others leave room, then the first's
    smallest move, the second's beside it, and so on. Where too many would push one another for
    that, each in turn is fitted beside those before it. Where limits on the area that decals cover
    together are broken, those they govern are shrunk in the same way, over all surfaces.

    Args:
        intents: decals and groups of one item, most important first.
        books: rule books in force.

    Returns:
        A seat for each, in the order given, its link settled. Those that find no place, though
        decals before them make what room they can, stand at the allowed extreme that breaks
        their limits least.
    """
    by_surface: dict[str, list[Intent]] = {}
    for intent in intents:
        by_surface.setdefault(intent.surface.key, []).append(intent)
    clusters = [cluster for here in by_surface.values() for cluster in cluster_intents(here, books)]
    found: dict[str, Settled] = {}
    fitting: set[str] = set()
    for cluster in clusters:
        seated = _seat_cluster(cluster)
        found.update((one.key, (one, fit)) for one, fit, _ in seated)
        fitting |= {one.key for one, _, fits in seated if fits}
    limits = area_limits(intents, books)
    broken = [limit for limit in limits if not limit.holds(found)]
    if broken:
        found = _shrink_for_areas(clusters, found, broken, limits)
    return [
        Seat(*found[one.key], one.key in fitting, _wanted(one, intents, books, found))
        for one in intents
    ]


def _wanted(
    intent: Intent,
    intents: Sequence[Intent],
    books: Sequence[RuleBook],
    found: dict[str, Settled],
) -> tuple[tuple[str, float], ...]:
    """What an intent that was changed would have broken, all left as graded."""
    if found[intent.key][1] == Fit(intent.scale, 0.0):
        return ()
    graded = settle_all(intents, [Fit(one.scale, 0.0) for one in intents])
    own = next(one for one, _ in graded if one.key == intent.key)
    others = [
        (one, fit)
        for one, fit in graded
        if one.key != intent.key and one.surface.key == intent.surface.key
    ]
    return tuple(fitter_among(own, books, others).shortages(intent.scale, 0.0).items())


def _seat_cluster(cluster: Cluster) -> list[tuple[Intent, Fit, bool]]:
    """Seat all that fit together; leave out, from the least important, what does not."""
    intents = cluster.intents
    together = _as_graded(cluster)
    if together is None and not cluster.crowded:
        together = _seat_together(cluster) or _seat_most(cluster)
    by_key = {one.key: (one, fit, True) for one, fit in together or ()}
    waiting = [intent for intent in intents if intent.key not in by_key]
    while waiting:
        intent = next(one for one in waiting if one.link is None or one.link.to in by_key)
        waiting.remove(intent)
        by_key[intent.key] = _seat_beside(intent, by_key, cluster.books)
    return [by_key[intent.key] for intent in intents]


def _seat_most(cluster: Cluster) -> Sequence[Settled]:
    """Seat jointly as many as fit, the more important first."""
    kept: list[Intent] = []
    seated: Sequence[Settled] = ()
    for intent in cluster.intents:
        keys = {one.key for one in kept}
        if intent.link is not None and intent.link.to not in keys:
            continue
        tried = _seat_together(Cluster([*kept, intent], cluster.books))
        if tried is not None:
            kept, seated = [*kept, intent], tried
    return seated


def _seat_beside(
    intent: Intent, seated: dict[str, tuple[Intent, Fit, bool]], books: Sequence[RuleBook]
) -> tuple[Intent, Fit, bool]:
    """Seat one among others that stay where they are; at its least bad if it must."""
    others = {key: (one, fit) for key, (one, fit, _) in seated.items()}
    settled = settle(intent, others)
    fitter = fitter_among(settled, books, list(others.values()))
    fit = fitter.largest(intent.least_scale, intent.scale, intent.slide_mm)
    return (settled, fit or least_bad(settled, fitter), fit is not None)


def _as_graded(cluster: Cluster) -> Sequence[Settled] | None:
    """All where they were graded to, if every limit holds there."""
    graded = settle_all(cluster.intents, [Fit(one.scale, 0.0) for one in cluster.intents])
    for index, (intent, fit) in enumerate(graded):
        others = [*graded[:index], *graded[index + 1 :]]
        if fitter_among(intent, cluster.books, others).shortages(fit.scale, 0.0):
            return None
    return graded


def _seat_together(cluster: Cluster) -> Sequence[Settled] | None:
    if len(cluster.intents) == 1 and cluster.intents[0].link is None:
        (intent,), (fitter,) = cluster.intents, cluster.fitters
        fit = fitter.largest(intent.least_scale, intent.scale, intent.slide_mm)
        return None if fit is None else [(intent, fit)]
    graded = [intent.scale for intent in cluster.intents]
    scales = largest_scales(graded, cluster.ranges(), cluster.holds, monotone=cluster.monotone)
    return None if scales is None else cluster.settle(scales)


def _shrink_for_areas(
    clusters: Sequence[Cluster],
    found: dict[str, Settled],
    broken: Sequence[AreaLimit],
    limits: Sequence[AreaLimit],
) -> dict[str, Settled]:
    """Shrink what broken limits on area govern, alike, then let each grow again in turn.

    Where even the smallest sizes cover too much, they are what is returned.
    """
    governed = {key for limit in broken for key in limit.keys}
    touched = [c for c in clusters if governed & {one.key for one in c.intents}]
    intents = [one for cluster in touched for one in cluster.intents]
    ranges = []
    for cluster in touched:
        for one, (low, high) in zip(cluster.intents, cluster.ranges(), strict=True):
            now = found[one.key][1].scale
            low = min(low, now) if one.key in governed else now
            ranges.append((low, min(high, now) if high >= low else now))

    def seat(scales: Scales) -> dict[str, Settled] | None:
        seats, start = dict(found), 0
        for cluster in touched:
            end = start + len(cluster.intents)
            settled = _settle(cluster, scales[start:end], found)
            if settled is None:
                return None
            seats.update((one.key, (one, fit)) for one, fit in settled)
            start = end
        return seats

    def holds(scales: Scales) -> bool:
        seats = seat(scales)
        return seats is not None and all(limit.holds(seats) for limit in limits)

    graded = [one.scale for one in intents]
    monotone = all(cluster.monotone for cluster in touched)
    scales = largest_scales(graded, ranges, holds, monotone=monotone)
    return seat(scales or tuple(low for low, _ in ranges)) or found


def _settle(
    cluster: Cluster, scales: Scales, found: dict[str, Settled]
) -> Sequence[Settled] | None:
    """A cluster at given scales; one that did not fit anyhow, or is crowded, keeps its moves."""
    before = [found[one.key] for one in cluster.intents]
    if not cluster.crowded:
        settled = cluster.settle(scales)
        if settled is not None:
            return settled
        if cluster.settle(tuple(fit.scale for _, fit in before)) is not None:
            return None
    pairs = zip(before, scales, strict=True)
    fits = [Fit(scale, fit.slide_mm) for (_, fit), scale in pairs]
    return settle_all(cluster.intents, fits)
