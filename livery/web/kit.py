"""The kit page: what carries which ink, and each ink under a light of one's choice."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from livery.errors import Fault, InputError
from livery.jobs.overview import LIGHTS, list_kit, list_swatches
from livery.web.show import show, svgz
from livery.web.visitor import visitor_of

router = APIRouter()


@router.get("/kit")
def kit(request: Request, light: str = "D50") -> Response:
    """Items, inks and swatches."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench")
    if light not in dict(LIGHTS):
        known = ", ".join(name for name, _ in LIGHTS)
        raise InputError(Fault("light", light[:40], None, "no such light", f"Choose of {known}"))
    found = visitor.post.found()
    return show(
        request,
        "kit.html.j2",
        visitor=visitor,
        found=found,
        rows=list_kit(found),
        swatches=list_swatches(found.scheme, light),
        lights=LIGHTS,
        light=light,
        pages=visitor.post.drawings.count_range_pages(found),
    )


@router.get("/kit/range.svg")
def range_picture(request: Request, page: int = 1) -> Response:
    """Every size side by side, a page of it."""
    visitor = visitor_of(request)
    visitor.insist(request, "designer", "bench")
    found, drawings = visitor.post.found(), visitor.post.drawings
    pages = drawings.count_range_pages(found)
    if not 1 <= page <= pages:
        fault = Fault("page", str(page)[:40], None, "no such page", f"Choose 1 to {pages}")
        raise InputError(fault)
    return svgz(drawings.range_page(found, page), request)
