"""Pages filled in and sent."""

from __future__ import annotations

import base64
import gzip
from functools import cache
from importlib.resources import files
from typing import Any

from fastapi import Request, Response
from fastapi.responses import HTMLResponse
from jinja2 import Environment, FunctionLoader, StrictUndefined

from livery.artwork.fonts import script_font_files
from livery.web.visitor import VISIT, Visitor, remember, visitor_of

_STATIC = {
    "livery.css": "text/css; charset=utf-8",
    "livery.js": "text/javascript; charset=utf-8",
    "mark.svg": "image/svg+xml",
}
_FONTS = frozenset(script_font_files())


def show(
    request: Request, name: str, *, visitor: Visitor | None = None, code: int = 200, **data: Any
) -> HTMLResponse:
    """Fill in a page for the one who asks."""
    who = visitor or visitor_of(request)
    text = (
        _pages().get_template(name).render(who=who, csrf=who.token, path=request.url.path, **data)
    )
    response = HTMLResponse(text, code)
    if who.fresh:
        remember(response, VISIT, who.mark, who)
    return response


def svgz(data: bytes, request: Request) -> Response:
    """A picture kept compressed."""
    if "gzip" in request.headers.get("accept-encoding", ""):
        return Response(data, media_type="image/svg+xml", headers={"Content-Encoding": "gzip"})
    return Response(gzip.decompress(data), media_type="image/svg+xml")


def static(name: str) -> Response | None:
    """A file of the pages' own, by exact name."""
    if name in _FONTS:
        data = files("livery.data").joinpath("fonts", name).read_bytes()
        return Response(data, media_type="font/ttf", headers={"Cache-Control": "max-age=86400"})
    if name not in _STATIC:
        return None
    data = files("livery.data").joinpath("pages", "static", name).read_bytes()
    return Response(data, media_type=_STATIC[name], headers={"Cache-Control": "max-age=300"})


@cache
def _pages() -> Environment:
    folder = files("livery.data").joinpath("pages")

    def load(name: str) -> str:
        return folder.joinpath(name).read_text("utf-8")

    pages = Environment(
        loader=FunctionLoader(load),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    pages.filters["as_picture"] = _as_picture
    return pages


def _as_picture(svg: str | bytes) -> str:
    """A picture, perhaps kept compressed, as an address that holds it whole."""
    data = gzip.decompress(svg) if isinstance(svg, bytes) else svg.encode("utf-8")
    return f"data:image/svg+xml;base64,{base64.b64encode(data).decode('ascii')}"
