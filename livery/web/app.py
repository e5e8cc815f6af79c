"""The application: its routes, and what an error looks like."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import anyio.to_thread
from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import PlainTextResponse, RedirectResponse
from starlette.exceptions import HTTPException

from livery.errors import InputError, LiveryError, OutputError
from livery.web import account, bench, entrance, kit, links, proofs, season
from livery.web.guard import Guard, TooOftenError, Turnstiles
from livery.web.post import Post
from livery.web.show import show, static
from livery.web.visitor import NotAllowedError, NotKnownError, safe_way

_THREADS = 40  # for what takes no image work; workshop choice


def make_app(post: Post) -> FastAPI:
    """The pages of one season."""
    app = FastAPI(
        title="livery", docs_url=None, redoc_url=None, openapi_url=None, lifespan=_have_threads
    )
    app.state.post = post
    app.state.turnstiles = Turnstiles()
    for room in (season, bench, kit, proofs, links, entrance, account):
        app.include_router(room.router)
    app.add_api_route("/static/{name}", _static, methods=["GET"])
    app.add_exception_handler(LiveryError, _trouble)
    app.add_exception_handler(OSError, _no_room)
    app.add_exception_handler(NotKnownError, _not_known)
    app.add_exception_handler(NotAllowedError, _not_allowed)
    app.add_exception_handler(TooOftenError, _too_often)
    app.add_exception_handler(RequestValidationError, _malformed)
    app.add_exception_handler(HTTPException, _no_such_page)
    app.add_middleware(Guard, names=post.names, secure=post.is_secure)
    return app


@asynccontextmanager
async def _have_threads(app: FastAPI) -> AsyncIterator[None]:
    """Threads for all who wait for image work, beside those for the pages."""
    post: Post = app.state.post
    threads = anyio.to_thread.current_default_thread_limiter()
    threads.total_tokens = _THREADS + post.hands.room + post.drawing_hands.room
    yield


def _static(name: str) -> Response:
    found = static(name)
    return found if found is not None else PlainTextResponse("No such file.\n", 404)


def _trouble(request: Request, error: Exception) -> Response:
    lines = [str(error)]
    if isinstance(error, InputError):
        lines = [
            f"{_plain(fault.place) + ': ' if fault.place else ''}{fault.found}. {fault.mend}."
            for fault in error.faults
        ]
    status = 503 if isinstance(error, OutputError) else 400
    return show(request, "trouble.html.j2", code=status, title="That did not work", lines=lines)


def _no_room(request: Request, error: Exception) -> Response:
    reason = (error.strerror if isinstance(error, OSError) else None) or type(error).__name__
    lines = [f"A file could not be written ({reason}). Nothing was kept. Free some room and retry."]
    return show(request, "trouble.html.j2", code=503, title="That did not work", lines=lines)


def _plain(place: str) -> str:
    return place[:120]


def _not_known(request: Request, error: Exception) -> Response:
    wanted = safe_way(str(error)) if request.method == "GET" else "/"
    return RedirectResponse(f"/enter?then={wanted}", 303)


def _not_allowed(request: Request, error: Exception) -> Response:
    return show(request, "trouble.html.j2", code=403, title="Not for you", lines=[str(error)])


def _too_often(request: Request, error: Exception) -> Response:
    lines = ["Too many tries. Wait a few minutes."]
    return show(request, "trouble.html.j2", code=429, title="Wait a little", lines=lines)


def _malformed(request: Request, error: Exception) -> Response:
    lines = ["Part of the form is missing or makes no sense. Go back and fill it in again."]
    return show(request, "trouble.html.j2", code=422, title="That did not work", lines=lines)


def _no_such_page(request: Request, error: Exception) -> Response:
    if isinstance(error.__cause__, OSError):
        return _no_room(request, error.__cause__)
    status = error.status_code if isinstance(error, HTTPException) else 404
    if status == 400:
        lines = ["What was sent could not be read. Go back, load the page again, and retry."]
        return show(request, "trouble.html.j2", code=400, title="That did not work", lines=lines)
    lines = ["There is nothing at this address, or it is not open any more."]
    if request.url.path.startswith("/answer/"):
        lines = [
            "This link opens nothing: it has run out, or a part of it is missing.",
            "Ask whoever sent it for a new one. Nothing was signed.",
        ]
    return show(request, "trouble.html.j2", code=status, title="Nothing here", lines=lines)
