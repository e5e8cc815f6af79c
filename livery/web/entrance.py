"""Coming in and going out."""

from __future__ import annotations

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from livery.records.passes import close_session, open_session
from livery.records.people import Person, check_password
from livery.web.forms import Name, Passphrase, Token
from livery.web.show import show
from livery.web.visitor import SESSION, VISIT, Visitor, remember, safe_way, visitor_of

router = APIRouter()


@router.get("/enter")
def entrance(request: Request, then: str = "/") -> Response:
    """The form to sign in with."""
    return show(request, "enter.html.j2", then=safe_way(then), wrong=False, typed="")


@router.post("/enter")
def enter(
    request: Request,
    csrf: Token,
    name: Name,
    passphrase: Passphrase,
    then: str = Form("/", max_length=500),
) -> Response:
    """Sign in: a new session, whatever the browser brought along."""
    visitor = visitor_of(request)
    visitor.check(csrf)
    post = visitor.post
    visitor.turnstiles.entrance.take(visitor.address)
    visitor.turnstiles.names.take(name)
    person = check_password(post.store, name, passphrase)
    if person is None:
        return show(request, "enter.html.j2", code=401, then=safe_way(then), wrong=True, typed=name)
    return let_in(visitor, person, safe_way(then))


def let_in(visitor: Visitor, person: Person, way: str) -> Response:
    """Send someone on with a session of their own."""
    response = RedirectResponse(way, 303)
    post = visitor.post
    remember(response, SESSION, open_session(post.store, person, post.clock()), visitor)
    response.delete_cookie(VISIT, path="/")
    return response


@router.post("/leave")
def leave(request: Request, csrf: Token) -> Response:
    """End the session."""
    visitor = visitor_of(request)
    visitor.check(csrf)
    if visitor.person is not None:
        close_session(visitor.post.store, visitor.mark)
    response = RedirectResponse("/enter", 303)
    response.delete_cookie(SESSION, path="/")
    return response
