"""The proof pages: turn them, compare revisions, offer, agree or decline."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse
from starlette.exceptions import HTTPException

from livery.jobs.drawing_tasks import Pages
from livery.jobs.proofreading import (
    Compared,
    ProofView,
    compare_revisions,
    find_page,
    receipt_text,
    view_proof,
)
from livery.jobs.signing import (
    LINK_LASTS_DAYS,
    answer_proof,
    find_order,
    link_proof,
    list_statuses,
    maker_of,
    offer_proof,
)
from livery.jobs.survey import Survey
from livery.records.keys import SecretKey
from livery.records.people import Link, open_link, unlock_key
from livery.scheme.model import Order
from livery.web.paging import find_part
from livery.web.post import Post
from livery.web.show import show, svgz
from livery.web.visitor import (
    NotAllowedError,
    TooOftenError,
    Turnstiles,
    Visitor,
    visitor_of,
)

router = APIRouter()


@dataclass(frozen=True, slots=True)
class _Opened:
    """A proof opened by someone who may see it."""

    visitor: Visitor
    post: Post
    found: Survey
    order: Order
    view: ProofView


@router.get("/proof")
def proofs(request: Request, find: str = "", page: int = 1) -> Response:
    """Every proof one may see."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench", "signer")
    post: Post = request.app.state.post
    every = list_statuses(post.found(), post.store)
    own = [one for one in every if _may_see(visitor, one.asked, one.player)]
    part = find_part(own, lambda one: f"{one.order} {one.player} {one.state} {one.by}", find, page)
    return show(request, "proofs.html.j2", visitor=visitor, part=part)


@router.get("/proof/{key}")
def proof(request: Request, key: str, page: int = 1) -> Response:
    """One proof, a page at a time."""
    return _show(request, _open(request, key), page)


@router.get("/proof/{key}/page/{number}.svg")
def picture(request: Request, key: str, number: int, content: str = "") -> Response:
    """A page of a proof: of the content asked for where it was kept, else as it is now."""
    opened = _open(request, key)
    return _picture(request, opened, number, content)


@router.get("/proof/{key}/compare")
def compare(
    request: Request, key: str, before: str = "", after: str = "", page: int = 1
) -> Response:
    """Two revisions beside each other, and what changed."""
    opened = _open(request, key)
    shown, _ = _compare(opened, before, after)
    last = max(shown.before.pages, shown.after.pages)
    page = min(max(page, 1), max(last, 1))
    return show(
        request,
        "compare.html.j2",
        visitor=opened.visitor,
        order=opened.order,
        shown=shown,
        page=page,
        last=last,
    )


@router.get("/proof/{key}/compare/{number}.svg")
def compare_picture(
    request: Request, key: str, number: int, before: str = "", after: str = ""
) -> Response:
    """What changed between two revisions, drawn: both sides, with what differs ringed."""
    _, drawn = _compare(_open(request, key), before, after)
    if not 1 <= number <= len(drawn):
        raise HTTPException(404)
    return svgz(drawn[number - 1], request)


@router.post("/proof/{key}/offer")
def offer(
    request: Request,
    key: str,
    csrf: str = Form(max_length=100),
    passphrase: str = Form(max_length=1000),
    asked: str = Form("", max_length=200),
) -> Response:
    """Offer the proof as it is now."""
    opened = _open(request, key)
    who = _signing(request, opened.visitor, csrf, "designer")
    day = opened.post.clock().date().isoformat()
    post, signer = opened.post, (who, passphrase)
    offer_proof(opened.found, post.store, opened.order, signer, asked, day, post.drawing_hands)
    return RedirectResponse(f"/proof/{opened.view.slug}", 303)


@router.post("/proof/{key}/link")
def link(
    request: Request,
    key: str,
    csrf: str = Form(max_length=100),
    passphrase: str = Form(max_length=1000),
    days: float = Form(float(LINK_LASTS_DAYS)),
) -> Response:
    """Make a link for the one who was asked; shown once."""
    opened = _open(request, key)
    who = _signing(request, opened.visitor, csrf, "designer")
    post = opened.post
    if who != maker_of(post.store):
        raise NotAllowedError(f"Only {maker_of(post.store)}, who began the ledger, makes links.")
    token, person = link_proof(
        opened.found, post.store, opened.order, passphrase, post.clock(), days
    )
    until = (post.clock() + timedelta(days=days)).date().isoformat()
    address = f"{post.address}/answer/{token}"
    return show(
        request,
        "link.html.j2",
        visitor=opened.visitor,
        order=opened.order,
        address=address,
        person=person,
        until=until,
    )


@router.post("/proof/{key}/answer")
def answer(
    request: Request,
    key: str,
    csrf: str = Form(max_length=100),
    shown: str = Form(max_length=100),
    passphrase: str = Form(max_length=1000),
    act: str = Form(pattern="^(agree|decline)$"),
    reason: str = Form("", max_length=2000),
) -> Response:
    """Agree or decline, with one's own key."""
    opened = _open(request, key)
    who = _signing(request, opened.visitor, csrf, "designer", "bench", "signer")
    secret = unlock_key(opened.post.store, who, passphrase)
    _answer(opened, shown, (who, secret), act, reason)
    return RedirectResponse(f"/proof/{opened.view.slug}", 303)


@router.get("/proof/{key}/receipt.json")
def receipt(request: Request, key: str) -> Response:
    """The answer as a file to keep elsewhere."""
    return _receipt(_open(request, key))


@router.get("/answer/{token}")
def linked(request: Request, token: str, page: int = 1) -> Response:
    """The one proof that a link opens."""
    opened, opening, _ = _open_link(request, token)
    return _show(request, opened, page, opening=opening, base=f"/answer/{token}")


@router.get("/answer/{token}/page/{number}.svg")
def linked_picture(request: Request, token: str, number: int, content: str = "") -> Response:
    """A page of the one proof that a link opens."""
    opened, opening, _ = _open_link(request, token)
    return _picture(request, opened, number, opening.content)


@router.get("/answer/{token}/receipt.json")
def linked_receipt(request: Request, token: str) -> Response:
    """The answer as a file to keep elsewhere."""
    return _receipt(_open_link(request, token)[0])


@router.post("/answer/{token}")
def linked_answer(
    request: Request,
    token: str,
    csrf: str = Form(max_length=100),
    shown: str = Form(max_length=100),
    act: str = Form(pattern="^(agree|decline)$"),
    reason: str = Form("", max_length=2000),
) -> Response:
    """Agree or decline with the key that the link carries."""
    opened, opening, secret = _open_link(request, token)
    opened.visitor.check(csrf)
    if shown != opening.content:
        raise NotAllowedError("This link is for another content.")
    _answer(opened, shown, (opening.person, secret), act, reason)
    return RedirectResponse(f"/answer/{token}", 303)


def _open(request: Request, key: str) -> _Opened:
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench", "signer")
    post: Post = request.app.state.post
    found = post.found()
    order = next((one for one in found.scheme.orders if one.key == key), None)
    if order is None and visitor.may("designer", "bench"):
        order = find_order(found, key)
    view = view_proof(found, post.store, order, post.drawings) if order is not None else None
    if order is None or view is None or not _may_see(visitor, view.status.asked, order.player):
        raise NotAllowedError("That proof is not yours to open.")
    return _Opened(visitor, post, found, order, view)


def _open_link(request: Request, token: str) -> tuple[_Opened, Link, SecretKey]:
    visitor = visitor_of(request)
    post: Post = request.app.state.post
    opening = open_link(post.store, token, post.clock()) if len(token) < 100 else None
    if opening is None:
        turnstiles: Turnstiles = request.app.state.turnstiles
        if not turnstiles.links.lets(visitor.address):
            raise TooOftenError
        raise HTTPException(404)
    found = post.found()
    order = find_order(found, opening[0].proof)
    view = view_proof(found, post.store, order, post.drawings)
    return _Opened(visitor, post, found, order, view), *opening


def _may_see(visitor: Visitor, asked: str, player: str) -> bool:
    if visitor.may("designer", "bench"):
        return True
    return visitor.name != "" and visitor.name == (asked or player)


def _signing(request: Request, visitor: Visitor, csrf: str, *offices: str) -> str:
    """The name of the one about to sign."""
    visitor.insist(request, *offices)
    visitor.check(csrf)
    if visitor.person is None:
        raise NotAllowedError("Signing needs an account: begin with livery sign begin.")
    turnstiles: Turnstiles = request.app.state.turnstiles
    if not turnstiles.passphrase.lets(visitor.name):
        raise TooOftenError
    return visitor.name


def _answer(opened: _Opened, shown: str, who: tuple[str, SecretKey], act: str, reason: str) -> None:
    because = None if act == "agree" else reason
    day = opened.post.clock().date().isoformat()
    answer_proof(opened.found, opened.post.store, opened.order, shown, who, day, because)


def _show(
    request: Request, opened: _Opened, page: int, opening: Link | None = None, base: str = ""
) -> Response:
    view = opened.view
    data: dict[str, Any] = {"opening": opening, "base": base or f"/proof/{view.slug}"}
    content = opening.content if opening is not None else view.status.content
    if opening is not None and opening.content != view.status.content:
        data["overtaken"] = True
    page = min(max(page, 1), view.pages)
    return show(
        request,
        "proof.html.j2",
        visitor=opened.visitor,
        order=opened.order,
        view=view,
        page=page,
        content=content,
        overtaken=data.pop("overtaken", False),
        days=LINK_LASTS_DAYS,
        **data,
    )


def _picture(request: Request, opened: _Opened, number: int, content: str) -> Response:
    post, order, now = opened.post, opened.order, opened.view.status.content
    page = find_page(opened.found, post.store, order, post.drawings, content or now, number)
    if page is None:
        raise HTTPException(404)
    return svgz(page, request)


def _compare(opened: _Opened, before: str, after: str) -> tuple[Compared, Pages]:
    post, contents = opened.post, (before, after)
    return compare_revisions(opened.found, post.store, opened.order, post.drawings, contents)


def _receipt(opened: _Opened) -> Response:
    text = receipt_text(opened.post.store, opened.order)
    if text is None:
        raise HTTPException(404)
    name = f"{opened.view.slug}.receipt.json"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type="application/json", headers=headers)
