"""What the pages show, drawn by hands apart and kept: proofs before anyone asks, where they can be.

Drawing takes a second of a processor for a proof; in the pages' own process every visitor would
wait for it.
"""

from __future__ import annotations

from dataclasses import replace

from livery.crew.hands import Hands
from livery.jobs.drawing_tasks import (
    Pages,
    draw_changes,
    draw_pages,
    draw_range,
    draw_trends,
    given_for,
)
from livery.jobs.narrowing import bare_scheme
from livery.jobs.newest import Newest
from livery.jobs.recordkeeping import trend_points
from livery.jobs.revisions import find_earlier, papers_as_proof, proof_of
from livery.jobs.survey import Survey
from livery.placement import books_in_force
from livery.proof import Proof, likenesses_of
from livery.records.papers import Papers, find_papers
from livery.records.store import Store
from livery.scheme.model import Order, Scheme
from livery.views import ChartPlan, plan_chart

_PROOFS = 100  # kept drawn, a third of a MB each; workshop choice
_COMPARED = 20  # pairs of revisions kept drawn; workshop choice
_RANGE_PAGES = 40  # of every size side by side, kept drawn; workshop choice


class Drawings:
    """Pages drawn once while the season and what was offered stay as they are.

    Args:
        hands: who draws.
        store: the season's records.
    """

    most_ahead = _PROOFS

    def __init__(self, hands: Hands, store: Store) -> None:
        self._hands, self._store = hands, store
        self._proofs: Newest[Pages] = Newest(_PROOFS)
        self._compared: Newest[Pages] = Newest(_COMPARED)
        self._ranges: Newest[Pages] = Newest(_RANGE_PAGES)
        self._range_plans: Newest[ChartPlan] = Newest(1)

    def draw_ahead(self, found: Survey, order: Order) -> None:
        """Have a proof drawn before anyone asks for it, unless it was offered and is kept."""
        now = proof_of(found, order).content_hash
        if all(papers.content != now for papers in find_papers(self._store, order.key)):
            self.proof(found, order)

    def proof(self, found: Survey, order: Order) -> Pages:
        """The pages of a proof as the season gives it now.

        Raises:
            InputError: how the revision before looked was kept, and is missing or changed.
            OutputError: too many wait already, or the one who drew was ended from outside.
        """
        earlier = find_earlier(self._store, proof_of(found, order))
        key = (found.scheme.digests, order.key, "" if earlier is None else earlier.content)

        def draw() -> Pages:
            looks = None
            if earlier is not None:
                looks = papers_as_proof(self._store, earlier, order.player)
            return self._hands.do(draw_pages, *given_for(found, order, looks))

        return self._proofs.find(key, draw)

    def changes(
        self, found: Survey, order: Order, before: Papers | None, after: Papers | None
    ) -> Pages:
        """Pictures of what looks different between two revisions; None is what is now.

        Raises:
            InputError, OutputError: as for ``proof``.
        """
        names = [None if papers is None else papers.content for papers in (before, after)]

        def draw() -> Pages:
            sides = (self._looks(found, order, papers) for papers in (before, after))
            return self._hands.do(draw_changes, bare_scheme(found.scheme), *sides)

        return self._compared.find((found.scheme.digests, order.key, *names), draw)

    def range_page(self, found: Survey, page: int) -> bytes:
        """A page of every size of the season side by side, as compressed SVG.

        Args:
            found: the season.
            page: from 1 to ``count_range_pages``.

        Raises:
            OutputError: as for ``proof``.
        """

        def draw() -> Pages:
            scheme, plan = found.scheme, self._range_plan(found).page(page)
            return self._hands.do(draw_range, bare_scheme(scheme), plan, books_in_force(scheme))

        return self._ranges.find((found.scheme.digests, page), draw)[0]

    def count_range_pages(self, found: Survey) -> int:
        """How many pages every size side by side takes, without drawing them."""
        return self._range_plan(found).count

    def trends(self, scheme: Scheme, ink: str) -> Pages:
        """The colours of one ink in good captures over time; no page without any.

        Raises:
            InputError: the season has no such ink.
            OutputError: as for ``proof``.
        """
        points, palette, names = trend_points(self._store, scheme, ink)
        return self._hands.do(draw_trends, points, palette, names) if points else ()

    def _range_plan(self, found: Survey) -> ChartPlan:
        return self._range_plans.find(found.scheme.digests, lambda: plan_chart(found.of_range))

    def _looks(self, found: Survey, order: Order, papers: Papers | None) -> Proof:
        if papers is not None:
            return papers_as_proof(self._store, papers, order.player)
        looks = likenesses_of(found.of_order(order), found.scheme.palette)
        return replace(proof_of(found, order), likenesses=looks)
