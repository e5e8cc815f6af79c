"""What stands before every page: sizes, hosts, headers, HEAD, and how often one may try."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from contextlib import suppress
from threading import Lock

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_PHOTO_BYTES = 64 * 1024 * 1024  # workshop choice
MOST_FORM_BYTES = 256 * 1024  # workshop choice
_PART_S, _BODY_S = 30.0, 600.0  # for the next part of a body, and for all of it; workshop choice
_POLICY = (
    "default-src 'none'; img-src 'self' data:; style-src 'self'; script-src 'self'; "
    "font-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox"
"""A picture runs nothing, even when opened by itself."""


class Guard:
    """Refuses what is too large or asks for another host; adds headers to every answer.

    A HEAD is answered as a GET, without the body.

    Args:
        app: what it stands before.
        names: host names a request may ask for; empty when any may.
        secure: whether the pages are reached over TLS.
    """

    def __init__(self, app: ASGIApp, names: frozenset[str], secure: bool) -> None:
        self.app, self.names, self.secure = app, names, secure

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request on, or refuse it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        if scope["method"] == "HEAD":
            scope, send = {**scope, "method": "GET"}, _without_body(send)
        headers = Headers(scope=scope)
        most = MOST_PHOTO_BYTES if scope["path"].endswith("/photo") else MOST_FORM_BYTES
        refusal = self._refusal(headers, scope["method"], most)
        if refusal is not None:
            await refusal(scope, receive, self._dressed(send))
            return
        await self._pass_on(scope, receive, self._dressed(send), most)

    async def _pass_on(self, scope: Scope, receive: Receive, send: Send, most: int) -> None:
        """Watch a body as it comes; one too large or too slow gets this answer and no other."""
        seen, started, whole = 0, False, False
        until = time.monotonic() + _BODY_S
        refusal: PlainTextResponse | None = None

        async def watched() -> Message:
            nonlocal seen, whole, refusal
            try:
                message = await receive() if whole else await _in_time(receive, until)
            except TimeoutError:
                refusal = PlainTextResponse("That came too slowly.\n", 408)
                raise RefusedError from None
            whole = whole or not message.get("more_body", False)
            seen += len(message.get("body", b""))
            if seen > most:
                refusal = _too_large(most)
                raise RefusedError
            return message

        async def answer(message: Message) -> None:
            nonlocal started
            if refusal is None or started:
                started = True
                await send(message)

        with suppress(RefusedError):
            await self.app(scope, watched, answer)
        if refusal is not None and not started:
            await refusal(scope, receive, send)

    def _refusal(self, headers: Headers, method: str, most: int) -> PlainTextResponse | None:
        if self.names and _host_name(headers.get("host", "")) not in self.names:
            return PlainTextResponse("These pages are not at that address.\n", 421)
        length = headers.get("content-length", "0")
        if not length.isdecimal():
            return PlainTextResponse("The length makes no sense.\n", 400)
        if int(length) > most:
            return _too_large(most)
        origin = headers.get("origin")
        if method == "POST" and origin is not None and not _is_own(origin, headers):
            return PlainTextResponse("That form came from another site.\n", 403)
        return None

    def _dressed(self, send: Send) -> Send:
        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                picture = headers.get("content-type", "").startswith("image/svg")
                headers["Content-Security-Policy"] = _PICTURE_POLICY if picture else _POLICY
                headers["X-Content-Type-Options"] = "nosniff"
                headers["X-Frame-Options"] = "DENY"
                headers["Referrer-Policy"] = "same-origin"
                headers["Cross-Origin-Opener-Policy"] = "same-origin"
                headers["Cross-Origin-Resource-Policy"] = "same-origin"
                headers["Permissions-Policy"] = "camera=(self), geolocation=(), microphone=()"
                headers.setdefault("Cache-Control", "no-store")
                if self.secure:
                    headers["Strict-Transport-Security"] = "max-age=31536000"
            await send(message)

        return dressed


class RefusedError(Exception):
    """A request's body went past what its kind may hold, or did not come in time."""


def _without_body(send: Send) -> Send:
    async def headers_alone(message: Message) -> None:
        await send({**message, "body": b""} if "body" in message else message)

    return headers_alone


async def _in_time(receive: Receive, until: float) -> Message:
    """The next part of a body, which may take a while; all of them together may take longer.

    Raises:
        TimeoutError: it took longer.
    """
    left = min(_PART_S, until - time.monotonic())
    return await asyncio.wait_for(receive(), max(0.0, left))


class Turnstile:
    """How often each one may try: a number of tries, won back evenly over a span.

    Args:
        tries: at once.
        span_s: seconds until all are won back.
        now: a clock that never runs back.
    """

    def __init__(
        self, tries: int, span_s: float, now: Callable[[], float] = time.monotonic
    ) -> None:
        self._tries, self._rate, self._now = float(tries), tries / span_s, now
        self._left: dict[str, tuple[float, float]] = {}
        self._lock = Lock()

    def lets(self, who: str) -> bool:
        """Whether this one may try once more; counts as a try."""
        moment = self._now()
        with self._lock:
            if len(self._left) > 10_000:
                self._left = {
                    k: v for k, v in self._left.items() if self._fill(v, moment) < self._tries
                }
            left = self._fill(self._left.get(who, (self._tries, moment)), moment)
            self._left[who] = (left - 1.0 if left >= 1.0 else left, moment)
            return left >= 1.0

    def take(self, who: str) -> None:
        """One more try.

        Raises:
            TooOftenError: there is none left for now.
        """
        if not self.lets(who):
            raise TooOftenError

    def _fill(self, seen: tuple[float, float], moment: float) -> float:
        left, since = seen
        return min(self._tries, left + (moment - since) * self._rate)


class Turnstiles:
    """How often the delicate things may be tried. Workshop choices."""

    def __init__(self) -> None:
        self.entrance = Turnstile(60, 300.0)  # of one address: a workshop's benches share one
        self.names = Turnstile(10, 300.0)
        self.passphrase = Turnstile(10, 300.0)
        self.links = Turnstile(30, 300.0)
        self.photos = Turnstile(60, 60.0)


class TooOftenError(Exception):
    """They tried too often."""


def _host_name(host: str) -> str:
    if host.startswith("["):
        return host[1:].partition("]")[0]
    return host.partition(":")[0].lower()


def _too_large(most: int) -> PlainTextResponse:
    return PlainTextResponse(f"At most {most // 1024:,} KiB are taken here.\n", 413)


def _is_own(origin: str, headers: Headers) -> bool:
    return origin.partition("://")[2] == headers.get("host", "")
