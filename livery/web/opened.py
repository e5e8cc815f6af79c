"""A proof opened by someone who may see it: shown, turned, answered, its receipt handed out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal
from urllib.parse import quote

from fastapi import Request, Response
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from livery.jobs.proofreading import find_page, receipt_text, view_proof
from livery.jobs.signing import LINK_LASTS_DAYS, ProofStatus, answer_proof
from livery.jobs.survey import Survey
from livery.records.keys import SecretKey
from livery.records.passes import Link
from livery.scheme.model import Order
from livery.web.post import Post
from livery.web.show import show, svgz
from livery.web.visitor import Visitor


@dataclass(frozen=True, slots=True)
class Opened:
    """A proof opened by someone who may see it."""

    visitor: Visitor
    post: Post
    found: Survey
    order: Order
    status: ProofStatus

    @property
    def slug(self) -> str:
        """The order's key as part of an address."""
        return quote(self.order.key, safe="")


class Answer(BaseModel):
    """The form of an answer.

    Attributes:
        shown: SHA-256 of the content that was shown.
        reason: of declining.
    """

    csrf: str = Field(max_length=100)
    shown: str = Field(max_length=100)
    act: Literal["agree", "decline"]
    reason: str = Field("", max_length=2000)


def answer_opened(opened: Opened, answer: Answer, who: tuple[str, SecretKey]) -> None:
    """Enter an answer."""
    because = None if answer.act == "agree" else answer.reason
    day, store = opened.post.clock().date().isoformat(), opened.post.store
    answer_proof(opened.found, store, opened.order, answer.shown, who, day, because)


def show_proof(
    request: Request, opened: Opened, page: int, opening: Link | None = None, base: str = ""
) -> Response:
    """The proof's page, as what a link opens where there is one."""
    post = opened.post
    view = view_proof(opened.found, post.store, opened.order, post.drawings)
    content = opening.content if opening is not None else view.status.content
    return show(
        request,
        "proof.html.j2",
        visitor=opened.visitor,
        order=opened.order,
        view=view,
        page=min(max(page, 1), view.pages),
        content=content,
        overtaken=content != view.status.content,
        days=LINK_LASTS_DAYS,
        opening=opening,
        base=base or f"/proof/{opened.slug}",
    )


def show_page(request: Request, opened: Opened, number: int, content: str) -> Response:
    """A page of it as a picture, of the content asked for; as it is now if none is."""
    post, order, now = opened.post, opened.order, opened.status.content
    page = find_page(opened.found, post.store, order, post.drawings, content or now, number)
    if page is None:
        raise HTTPException(404)
    return svgz(page, request)


def hand_receipt(opened: Opened) -> Response:
    """The newest answer as a file to keep elsewhere."""
    text = receipt_text(opened.post.store, opened.order)
    if text is None:
        raise HTTPException(404)
    name = f"{opened.slug}.receipt.json"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type="application/json", headers=headers)
