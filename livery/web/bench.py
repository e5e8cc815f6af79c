"""The bench page: choose a bat, take a photograph, see what it says, keep it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Self
from urllib.parse import quote, unquote, urlencode

from fastapi import APIRouter, Form, Query, Request, Response, UploadFile
from fastapi.responses import RedirectResponse
from pydantic import BaseModel, Field, model_validator

from livery.errors import InputError, TargetError
from livery.jobs.benchwork import (
    Judged,
    Spot,
    item_choices,
    judge_named,
    judge_photograph,
    keep_judged,
    named_layouts,
)
from livery.jobs.signing import find_order, find_status
from livery.placement import Layout
from livery.records.history import Occasion, count_captures, read_outcomes
from livery.records.looks import find_look_alike
from livery.scheme.model import Order
from livery.web.guard import MOST_PHOTO_BYTES
from livery.web.paging import find_part
from livery.web.post import Post
from livery.web.show import show
from livery.web.visitor import Visitor, visitor_of

router = APIRouter()
_SHOWN = 20  # captures of a bat listed, the newest; workshop choice

Word = Annotated[str, Field(max_length=100)]


class _Reading(BaseModel):
    """How a photograph is to be read, and where its bat was printed and photographed."""

    target: Word
    corners: str = Field("", max_length=300)
    bench: Word = ""
    batch: Word = ""


_NOT_READ = _Reading(target="", corners="")


class _Sent(_Reading):
    """The form that a photograph comes with."""

    csrf: Word


class _Pointed(_Sent):
    """The form that asks for a verdict: what was pointed at, a region's parts in one row.

    Attributes:
        named: the layout whose regions the photograph names by itself; "" for none.
        keep: not empty enters the verdict.
    """

    item: list[str] = []
    ink: list[str] = []
    x: list[float] = []
    y: list[float] = []
    w: list[float] = []
    h: list[float] = []
    named: str = Field("", max_length=200)
    keep: str = Field("", max_length=5)

    @model_validator(mode="after")
    def _is_whole(self) -> Self:
        if len({len(one) for one in self._columns}) > 1:
            raise ValueError("a region lacks a part")
        return self

    @property
    def _columns(self) -> tuple[list[Any], ...]:
        return (self.item, self.ink, self.x, self.y, self.w, self.h)

    @property
    def spots(self) -> tuple[Spot, ...]:
        """The regions."""
        return tuple(Spot(*row) for row in zip(*self._columns, strict=True))


@dataclass(frozen=True, slots=True)
class _Place:
    """Which bat, which photograph of it, and how it is to be read."""

    visitor: Visitor
    post: Post
    order: Order
    digest: str
    reading: _Reading

    @property
    def path(self) -> str:
        """The address of this photograph, without the words after it."""
        return f"/bench/{quote(self.order.key, safe='')}/photo/{self.digest}"

    @property
    def way(self) -> str:
        """The address of this photograph's page."""
        words = self.reading.model_dump(include=set(_Reading.model_fields), exclude_defaults=True)
        return f"{self.path}?{urlencode(words)}"


@router.get("/bench")
def choose(request: Request, find: str = "", page: int = 1) -> Response:
    """Choose a bat."""
    visitor = visitor_of(request)
    visitor.insist(request, "bench")
    orders = visitor.post.found().scheme.orders
    part = find_part(orders, lambda order: f"{order.key} {order.player}", find, page)
    return show(request, "bench_choose.html.j2", visitor=visitor, part=part)


@router.get("/bench/find")
def go_to(request: Request, bat: str = "") -> Response:
    """Go to the bat that was typed or scanned, a scanned address too; else to those like it."""
    visitor = visitor_of(request)
    visitor.insist(request, "bench")
    key = unquote(bat.strip().rstrip("/").rpartition("/")[2])
    keys = [order.key for order in visitor.post.found().scheme.orders]
    like = [key] if key in keys else [one for one in keys if one.casefold() == key.casefold()]
    if len(like) == 1:
        return RedirectResponse(f"/bench/{quote(like[0], safe='')}", 303)
    return RedirectResponse(f"/bench?{urlencode({'find': key[:100]})}", 303)


@router.get("/bench/{key}")
def bat(request: Request, key: str, bench: str = "", batch: str = "", kept: int = 0) -> Response:
    """One bat: take a photograph of it."""
    visitor = visitor_of(request)
    visitor.insist(request, "bench")
    post = visitor.post
    found = post.found()
    order = find_order(found, key)
    return show(
        request,
        "bench.html.j2",
        visitor=visitor,
        order=order,
        status=find_status(found, post.store, order),
        outcomes=read_outcomes(post.store, order.key, _SHOWN)[::-1],
        captures=count_captures(post.store, order.key),
        targets=post.target_names,
        bench=bench[:100],
        batch=batch[:100],
        kept=kept,
    )


@router.post("/bench/{key}/photo")
def take_in(
    request: Request, key: str, photo: UploadFile, form: Annotated[_Sent, Form()]
) -> Response:
    """Take a photograph in."""
    visitor = visitor_of(request)
    visitor.insist(request, "bench")
    visitor.check(form.csrf)
    post = visitor.post
    visitor.turnstiles.photos.take(visitor.name or visitor.address)
    chosen = post.target(form.target)
    order = find_order(post.found(), key)
    data = photo.file.read(MOST_PHOTO_BYTES + 1)
    waiting = post.shelf.take_in(data, photo.filename or "photograph", chosen)
    place = _Place(visitor, post, order, waiting.digest, form)
    return RedirectResponse(place.way, 303)


@router.get("/bench/{key}/photo/{digest}")
def look(
    request: Request, key: str, digest: str, reading: Annotated[_Reading, Query()]
) -> Response:
    """What the gates say, and where to point at what is to be measured."""
    return _look(request, _place(request, key, digest, reading))


@router.get("/bench/{key}/photo/{digest}/small.jpg")
def small(request: Request, key: str, digest: str) -> Response:
    """The photograph, small."""
    place = _place(request, key, digest, _NOT_READ)
    return Response(place.post.shelf.preview(digest), media_type="image/jpeg")


@router.post("/bench/{key}/photo/{digest}/verdict")
def verdict(request: Request, key: str, digest: str, form: Annotated[_Pointed, Form()]) -> Response:
    """Measure and judge what was pointed at, or what the layout names; ``keep`` enters it."""
    place = _place(request, key, digest, form)
    place.visitor.check(form.csrf)
    try:
        judged = _judge(place, form.spots, form.named)
    except InputError as error:
        return _look(request, place, error)
    if form.keep:
        return _keep(place, judged)
    alike = find_look_alike(place.post.store, digest, judged.capture.fingerprint)
    shown = {"judged": judged, "spots": form.spots, "named": form.named, "alike": alike}
    return _show(request, place, "verdict.html.j2", **shown)


def _keep(place: _Place, judged: Judged) -> Response:
    post, order = place.post, place.order
    when = post.clock().isoformat(timespec="seconds")
    occasion = Occasion(order.key, place.reading.bench, place.reading.batch, when)
    kept = keep_judged(post.store, post.shelf.path_of(place.digest), judged, occasion)
    words = urlencode(
        {"kept": kept.number, "bench": place.reading.bench, "batch": place.reading.batch}
    )
    return RedirectResponse(f"/bench/{quote(order.key, safe='')}?{words}", 303)


def _judge(place: _Place, spots: tuple[Spot, ...], named: str) -> Judged:
    post, scheme = place.post, place.post.found().scheme
    photo, target = post.shelf.path_of(place.digest), post.target(place.reading.target)
    layouts = {_layout_name(layout): layout for layout in _named(place)}

    def judge() -> Judged:
        if named in layouts:
            return post.hands.do(judge_named, scheme, layouts[named], photo, target)
        return post.hands.do(judge_photograph, scheme, photo, target, place.reading.corners, spots)

    what = (place.digest, target, place.reading.corners, named, spots)
    return post.judged.find((scheme.digests, place.order.key, *what), judge)


def _named(place: _Place) -> tuple[Layout, ...]:
    """The bats of the order whose regions need no pointing at."""
    found = place.post.found()
    return named_layouts(found.of_order(place.order), place.post.target(place.reading.target))


def _layout_name(layout: Layout) -> str:
    return f"{layout.item.key} {layout.item.size}"


def _look(request: Request, place: _Place, error: InputError | None = None) -> Response:
    """The photograph with what its gates say, and why it could not be measured, if it was tried."""
    post, target = place.post, place.post.target(place.reading.target)
    try:
        capture = post.shelf.look_at(place.digest, target, place.reading.corners)
    except TargetError as wrong:  # corners that are none: they stay in their field to be mended
        capture, error = post.shelf.look_at(place.digest, target), wrong
    choices = [
        (_layout_name(layout), f"{layout.item.name}, {layout.item.size.replace('-', ' ')}")
        for layout in _named(place)
    ]
    said = [] if error is None else [f"{f.found}. {f.mend}." for f in error.faults]
    code = 200 if error is None else 400
    page = "look.html.j2"
    return _show(request, place, page, code=code, capture=capture, choices=choices, said=said)


def _place(request: Request, key: str, digest: str, reading: _Reading) -> _Place:
    visitor = visitor_of(request)
    visitor.insist(request, "bench")
    order = find_order(visitor.post.found(), key)
    visitor.post.shelf.find(digest)
    return _Place(visitor, visitor.post, order, digest, reading)


def _show(request: Request, place: _Place, page: str, **data: Any) -> Response:
    scheme = place.post.found().scheme
    return show(
        request,
        page,
        visitor=place.visitor,
        place=place,
        waiting=place.post.shelf.find(place.digest),
        items=item_choices(scheme, place.order.key),
        inks=tuple(scheme.palette.names.items()),
        **data,
    )
