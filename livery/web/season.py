"""The season page: progress, what waits, what failed; and the ledger checked."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from livery.jobs.overview import find_progress
from livery.jobs.recordkeeping import verify_records
from livery.web.post import Post
from livery.web.show import show
from livery.web.visitor import visitor_of

router = APIRouter()


@router.get("/")
def season(request: Request) -> Response:
    """Where the season stands."""
    visitor, post = visitor_of(request), request.app.state.post
    if visitor.may("signer"):
        return RedirectResponse("/proof", 303)
    visitor.insist(request, "designer", "bench")
    found = post.found()
    progress = find_progress(found, post.store)
    return show(request, "season.html.j2", visitor=visitor, found=found, progress=progress)


@router.get("/trends")
def trends(request: Request, ink: str = "") -> Response:
    """One ink's colours over time."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench")
    post: Post = request.app.state.post
    scheme = post.found().scheme
    inks = [(one.key, one.name) for one in scheme.palette.inks]
    ink = ink or inks[0][0]
    drawn = post.drawings.trends(scheme, ink)
    return show(request, "trends.html.j2", visitor=visitor, inks=inks, ink=ink, drawn=drawn)


@router.get("/ledger")
def ledger(request: Request) -> Response:
    """Every entry, and whether all of it stands."""
    visitor = visitor_of(request)
    post: Post = request.app.state.post
    visitor.insist(request, "designer", "bench")
    entries = post.store.entries()
    troubles = verify_records(post.store)
    return show(request, "ledger.html.j2", visitor=visitor, entries=entries, troubles=troubles)
