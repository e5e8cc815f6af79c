"""The season page: progress, what waits, what failed; and the ledger checked."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from livery.jobs.overview import BatProgress, find_progress
from livery.jobs.recordkeeping import verify_records
from livery.records.ledger import Entry, Trouble
from livery.web.forms import Token
from livery.web.paging import find_part
from livery.web.show import show
from livery.web.visitor import Visitor, visitor_of

router = APIRouter()
_LISTED = 6  # of what waits and what failed; the orders below tell the rest; workshop choice


@router.get("/")
def season(request: Request, find: str = "", page: int = 1) -> Response:
    """Where the season stands."""
    visitor = visitor_of(request)
    if visitor.may("signer"):
        return RedirectResponse("/proof", 303)
    visitor.insist(request, "designer", "bench")
    found = visitor.post.found()
    progress = find_progress(found, visitor.post.store)
    part = find_part(progress.bats, _words, find, page)
    return show(
        request,
        "season.html.j2",
        visitor=visitor,
        scheme=found.scheme,
        progress=progress,
        part=part,
        most=_LISTED,
    )


def _words(bat: BatProgress) -> str:
    return f"{bat.status.order} {bat.status.player} {bat.status.state} {bat.last}"


@router.get("/trends")
def trends(request: Request, ink: str = "") -> Response:
    """One ink's colours over time."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench")
    scheme = visitor.post.found().scheme
    inks = [(one.key, one.name) for one in scheme.palette.inks]
    ink = ink or inks[0][0]
    drawn = visitor.post.drawings.trends(scheme, ink)
    return show(request, "trends.html.j2", visitor=visitor, inks=inks, ink=ink, drawn=drawn)


@router.get("/ledger")
def ledger(request: Request, find: str = "", page: int = 1) -> Response:
    """Every entry, and whether all of them stand."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench")
    return _ledger(request, visitor, visitor.post.store.check_ledger(), find, page)


@router.post("/ledger")
def ledger_and_evidence(request: Request, csrf: Token) -> Response:
    """The same, every photograph and proof kept read through as well."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench")
    visitor.check(csrf)
    return _ledger(request, visitor, verify_records(visitor.post.store), read=True)


def _ledger(
    request: Request,
    visitor: Visitor,
    troubles: tuple[Trouble, ...],
    find: str = "",
    number: int = 1,
    *,
    read: bool = False,
) -> Response:
    part = find_part(visitor.post.store.entries()[::-1], _entry_words, find, number)
    page = "ledger.html.j2"
    return show(request, page, visitor=visitor, part=part, troubles=troubles, read=read)


def _entry_words(entry: Entry) -> str:
    return f"{entry.by} {entry.act} {entry.proof} {entry.date} {entry.reason}"
