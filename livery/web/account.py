"""One's own account, and for the one who keeps the workshop's ledger, everyone's."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from livery.errors import InputError
from livery.jobs.signing import close_signer
from livery.records.people import SHORTEST_PASSWORD, Person, change_password, list_people
from livery.web.entrance import let_in
from livery.web.forms import Name, Passphrase, Token
from livery.web.show import show
from livery.web.visitor import NotAllowedError, Visitor, visitor_of

router = APIRouter()
_DONE = {
    "passphrase": "Your passphrase is changed, and you are signed out everywhere else.",
    "closed": "The account is closed. What was signed with it stands.",
}


@router.get("/account")
def account(request: Request, done: str = "") -> Response:
    """What one may change."""
    visitor, _ = _known(request)
    return _show(request, visitor, done=_DONE.get(done, ""))


@router.post("/account/passphrase")
def change(
    request: Request, csrf: Token, passphrase: Passphrase, new: Passphrase, again: Passphrase
) -> Response:
    """Change one's own passphrase; every other session of theirs ends."""
    visitor, person = _known(request)
    visitor.check(csrf)
    visitor.turnstiles.passphrase.take(person.name)
    if new != again:
        return _show(request, visitor, wrong="The new passphrase was typed in two ways.")
    try:
        change_password(visitor.post.store, person.name, passphrase, new)
    except InputError as error:
        return _show(request, visitor, wrong=_say(error))
    return let_in(visitor, person, "/account?done=passphrase")


@router.post("/account/close")
def close(request: Request, csrf: Token, name: Name, passphrase: Passphrase) -> Response:
    """Close someone's account, signed by the keeper."""
    visitor, person = _known(request)
    visitor.check(csrf)
    if not _keeps(visitor):
        raise NotAllowedError("Only the one who began the ledger closes accounts.")
    visitor.turnstiles.passphrase.take(person.name)
    day = visitor.post.clock().date().isoformat()
    try:
        close_signer(visitor.post.store, passphrase, name, day)
    except InputError as error:
        return _show(request, visitor, wrong=_say(error))
    return RedirectResponse("/account?done=closed", 303)


def _known(request: Request) -> tuple[Visitor, Person]:
    """Someone with an account."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench", "signer")
    if visitor.person is None:
        raise NotAllowedError("Nobody has an account yet: begin with livery sign begin.")
    return visitor, visitor.person


def _keeps(visitor: Visitor) -> bool:
    return visitor.name != "" and visitor.name == visitor.post.store.book().maker


def _say(error: InputError) -> str:
    return " ".join(f"{f.found[:1].upper()}{f.found[1:]}. {f.mend}." for f in error.faults)


def _show(request: Request, visitor: Visitor, *, done: str = "", wrong: str = "") -> Response:
    others = [one for one in list_people(visitor.post.store) if one.name != visitor.name]
    return show(
        request,
        "account.html.j2",
        visitor=visitor,
        code=400 if wrong else 200,
        done=done,
        wrong=wrong,
        others=others if _keeps(visitor) else None,
        shortest=SHORTEST_PASSWORD,
    )
