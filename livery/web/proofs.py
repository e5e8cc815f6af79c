"""The proof pages: turn them, compare revisions, offer, agree or decline."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse
from pydantic import Field
from starlette.exceptions import HTTPException

from livery.jobs.drawing_tasks import Pages
from livery.jobs.proofreading import Compared, compare_revisions
from livery.jobs.signing import (
    LINK_LASTS_DAYS,
    find_order,
    find_status,
    link_proof,
    list_statuses,
    maker_of,
    offer_proof,
)
from livery.records.people import unlock_key
from livery.web.forms import Name, Passphrase, Token
from livery.web.opened import Answer, Opened, answer_opened, hand_receipt, show_page, show_proof
from livery.web.paging import find_part
from livery.web.show import show, svgz
from livery.web.visitor import NotAllowedError, Visitor, visitor_of

router = APIRouter()


class _SignedAnswer(Answer):
    """An answer with the passphrase of one's own key."""

    passphrase: str = Field(max_length=1000)


@router.get("/proof")
def proofs(request: Request, find: str = "", page: int = 1) -> Response:
    """Every proof one may see."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench", "signer")
    post = visitor.post
    every = list_statuses(post.found(), post.store)
    own = [one for one in every if _may_see(visitor, one.asked, one.player)]
    part = find_part(own, lambda one: f"{one.order} {one.player} {one.state} {one.by}", find, page)
    return show(request, "proofs.html.j2", visitor=visitor, part=part)


@router.get("/proof/{key}")
def proof(request: Request, key: str, page: int = 1) -> Response:
    """One proof, a page at a time."""
    return show_proof(request, _open(request, key), page)


@router.get("/proof/{key}/page/{number}.svg")
def picture(request: Request, key: str, number: int, content: str = "") -> Response:
    """A page of a proof: of the content asked for where it was kept, else as it is now."""
    opened = _open(request, key)
    return show_page(request, opened, number, content)


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
    request: Request, key: str, csrf: Token, passphrase: Passphrase, asked: Name = ""
) -> Response:
    """Offer the proof as it is now."""
    opened = _open(request, key)
    who = _signing(request, opened.visitor, csrf, "designer")
    day = opened.post.clock().date().isoformat()
    post, signer = opened.post, (who, passphrase)
    offer_proof(opened.found, post.store, opened.order, signer, asked, day, post.drawing_hands)
    return RedirectResponse(f"/proof/{opened.slug}", 303)


@router.post("/proof/{key}/link")
def link(
    request: Request,
    key: str,
    csrf: Token,
    passphrase: Passphrase,
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
def answer(request: Request, key: str, form: Annotated[_SignedAnswer, Form()]) -> Response:
    """Agree or decline, with one's own key."""
    opened = _open(request, key)
    who = _signing(request, opened.visitor, form.csrf, "designer", "bench", "signer")
    secret = unlock_key(opened.post.store, who, form.passphrase)
    answer_opened(opened, form, (who, secret))
    return RedirectResponse(f"/proof/{opened.slug}", 303)


@router.get("/proof/{key}/receipt.json")
def receipt(request: Request, key: str) -> Response:
    """The answer as a file to keep elsewhere."""
    return hand_receipt(_open(request, key))


def _open(request: Request, key: str) -> Opened:
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench", "signer")
    post = visitor.post
    found = post.found()
    order = found.scheme.order(key)
    if order is None and visitor.may("designer", "bench"):
        order = find_order(found, key)
    status = find_status(found, post.store, order) if order is not None else None
    if order is None or status is None or not _may_see(visitor, status.asked, order.player):
        raise NotAllowedError("That proof is not yours to open.")
    return Opened(visitor, post, found, order, status)


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
    visitor.turnstiles.passphrase.take(visitor.name)
    return visitor.name


def _compare(opened: Opened, before: str, after: str) -> tuple[Compared, Pages]:
    post, contents = opened.post, (before, after)
    return compare_revisions(opened.found, post.store, opened.order, post.drawings, contents)
