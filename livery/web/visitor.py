"""Who is asking: a person with a session, or someone at this machine before accounts exist."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from urllib.parse import quote

from fastapi import Request, Response

from livery.records.passes import find_session
from livery.records.people import Office, Person, has_people
from livery.web.guard import Turnstiles
from livery.web.post import Post

SESSION, VISIT = "livery_session", "livery_visit"


@dataclass(frozen=True, slots=True)
class Visitor:
    """The one who asks.

    Attributes:
        person: None when nobody signed in.
        mark: secret of their cookie, from which their forms' token is made.
        fresh: the mark is new, so that its cookie must be set.
        open_house: nobody has an account, and only this machine can come in.
    """

    post: Post
    turnstiles: Turnstiles
    person: Person | None
    mark: str
    fresh: bool
    open_house: bool
    address: str

    @property
    def token(self) -> str:
        """What their forms carry, so that no other site can send one in their name."""
        return hmac.new(self.post.secret, self.mark.encode(), hashlib.sha256).hexdigest()

    @property
    def offices(self) -> frozenset[Office]:
        """What they may do; a designer may do what the bench may."""
        if self.open_house:
            return frozenset((Office.DESIGNER, Office.BENCH))
        if self.person is None:
            return frozenset()
        if self.person.office is Office.DESIGNER:
            return frozenset((Office.DESIGNER, Office.BENCH))
        return frozenset((self.person.office,))

    @property
    def name(self) -> str:
        """Their name, or none."""
        return self.person.name if self.person else ""

    def may(self, *offices: str) -> bool:
        """Whether they hold one of these offices."""
        return any(office in self.offices for office in offices)

    def insist(self, request: Request, *offices: str) -> None:
        """Go no further unless they hold one of these offices.

        Raises:
            NotKnownError: they must sign in first.
            NotAllowedError: they may not.
        """
        if self.person is None and not self.open_house:
            raise NotKnownError(request.url.path)
        if not self.may(*offices):
            raise NotAllowedError("That is not yours to open.")

    def check(self, token: str) -> None:
        """Go no further unless a form is theirs.

        Raises:
            NotAllowedError: the form was made for someone else, or before they signed in.
        """
        if not hmac.compare_digest(token.encode(), self.token.encode()):
            raise NotAllowedError(
                "That form is out of date. Go back, load the page again, and retry."
            )


class NotKnownError(Exception):
    """They must sign in first; carries where they wanted to go."""


class NotAllowedError(Exception):
    """They may not; says why."""


def visitor_of(request: Request) -> Visitor:
    """Who is asking."""
    post: Post = request.app.state.post
    turnstiles: Turnstiles = request.app.state.turnstiles
    address = request.client.host if request.client else ""
    token = request.cookies.get(SESSION, "")
    person = find_session(post.store, token, post.clock()) if token else None
    if person is not None:
        return Visitor(post, turnstiles, person, token, False, False, address)
    mark = request.cookies.get(VISIT, "")
    fresh = len(mark) < 32
    open_house = post.is_loopback and not has_people(post.store)
    mark = secrets.token_urlsafe(32) if fresh else mark
    return Visitor(post, turnstiles, None, mark, fresh, open_house, address)


def remember(response: Response, name: str, value: str, visitor: Visitor) -> None:
    """Set a cookie that no script reads and no other site sends."""
    response.set_cookie(
        name, value, httponly=True, samesite="lax", secure=visitor.post.is_secure, path="/"
    )


def safe_way(path: str) -> str:
    """A path on these pages, or the first page for anything else."""
    fine = path.startswith("/") and not path.startswith(("//", "/\\")) and "\n" not in path
    return quote(path, safe="/-._~%") if fine and "\\" not in path else "/"
