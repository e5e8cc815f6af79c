"""The one proof that a link opens, for the one it was made for."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse
from starlette.exceptions import HTTPException

from livery.jobs.signing import find_status
from livery.records.keys import SecretKey
from livery.records.passes import Link, open_link
from livery.web.opened import Answer, Opened, answer_opened, hand_receipt, show_page, show_proof
from livery.web.visitor import NotAllowedError, visitor_of

router = APIRouter()


@router.get("/answer/{token}")
def linked(request: Request, token: str, page: int = 1) -> Response:
    """The one proof that a link opens."""
    opened, opening, _ = _open_link(request, token)
    return show_proof(request, opened, page, opening=opening, base=f"/answer/{token}")


@router.get("/answer/{token}/page/{number}.svg")
def linked_picture(request: Request, token: str, number: int) -> Response:
    """A page of the one proof that a link opens."""
    opened, opening, _ = _open_link(request, token)
    return show_page(request, opened, number, opening.content)


@router.get("/answer/{token}/receipt.json")
def linked_receipt(request: Request, token: str) -> Response:
    """The answer as a file to keep elsewhere."""
    return hand_receipt(_open_link(request, token)[0])


@router.post("/answer/{token}")
def linked_answer(request: Request, token: str, form: Annotated[Answer, Form()]) -> Response:
    """Agree or decline with the key that the link carries."""
    opened, opening, secret = _open_link(request, token)
    opened.visitor.check(form.csrf)
    if form.shown != opening.content:
        raise NotAllowedError("This link is for another content.")
    answer_opened(opened, form, (opening.person, secret))
    return RedirectResponse(f"/answer/{token}", 303)


def _open_link(request: Request, token: str) -> tuple[Opened, Link, SecretKey]:
    visitor = visitor_of(request)
    post = visitor.post
    opening = open_link(post.store, token, post.clock()) if len(token) < 100 else None
    if opening is None:
        visitor.turnstiles.links.take(visitor.address)
        raise HTTPException(404)
    found = post.found()
    order = found.scheme.order(opening[0].proof)
    if order is None:
        raise HTTPException(404)
    status = find_status(found, post.store, order)
    return Opened(visitor, post, found, order, status), *opening
