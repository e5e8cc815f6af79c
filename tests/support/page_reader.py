"""What browsers send to the pages of ``livery serve``: any request gets an answer that is meant."""

import asyncio
import hashlib
import re
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from urllib.parse import unquote

import picture_seeds as pictures
from small_season import SmallSeason

from livery.web.app import make_app
from livery.web.guard import Turnstiles
from livery.web.post import Post
from livery.web.visitor import VISIT, Visitor

_HOST = b"127.0.0.1:8737"
_MARK = "a-mark-of-forty-letters-that-nobody-gues"
_TOKEN = b"TOKEN"  # stands for the token of the visitor's own forms
_LINE = re.compile(rb"([A-Z]{1,20}) (/[!-~]{0,4000})")  # what an HTTP server lets through
_HEADER = re.compile(rb"([!#$%&'*+.^_`|~0-9A-Za-z-]{1,100}):([\t -~\x80-\xff]{0,4000})")


class NotSentError(Exception):
    """No HTTP server hands such a request on."""


def requests() -> tuple[bytes, ...]:
    """Requests as a server hands them on: the first line, headers, a blank line, the body."""
    photo = pictures.jpegs()[0]
    digest = hashlib.sha256(photo).hexdigest()
    where = f"/bench/Q-1/photo/{digest}"
    form = "application/x-www-form-urlencoded"
    pointed = "item=sedge&ink=tarn&x=10&y=12.5&w=20&h=8&named=&keep="
    reading = "target=rendition-24&corners=1,1+60,1+60,60+1,60&bench=one&batch=two"
    return (
        *(
            f"GET {way}\n\n".encode()
            for way in (
                "/?find=Q&page=1",
                "/trends?ink=tarn",
                "/ledger?find=Wren&page=2",
                "/bench?find=ada&page=1",
                "/bench/find?bat=http://127.0.0.1:8737/bench/Q-1",
                "/bench/Q-1?bench=one&batch=two&kept=3",
                f"{where}?{reading}",
                f"{where}/small.jpg",
                "/kit?light=D65",
                "/kit/range.svg?page=1",
                "/proof/Q-2?page=1",
                "/proof/Q-1/page/1.svg?content=",
                f"/proof/Q-1/compare?before={digest}&after={digest}&page=1",
                f"/proof/Q-1/compare/1.svg?before={digest}&after=",
                "/proof/Q-1/receipt.json",
                "/answer/abcdefgh?page=2",
                "/enter?then=/bench",
                "/account?done=closed",
                "/static/livery.css",
            )
        ),
        *(
            f"POST {way}\nContent-Type: {form}\n\ncsrf=TOKEN&{fields}".encode()
            for way, fields in (
                ("/enter", "name=Wren&passphrase=reeds&then=/bench"),
                (f"{where}/verdict", f"{reading}&{pointed}"),
                ("/ledger", ""),
                ("/proof/Q-1/offer", "passphrase=reeds&asked=Ada"),
                ("/proof/Q-1/link", "passphrase=reeds&days=14"),
                ("/proof/Q-1/answer", f"shown={digest}&act=decline&reason=no&passphrase=reeds"),
                ("/answer/abcdefgh", f"shown={digest}&act=agree"),
                ("/account/passphrase", "passphrase=reeds&new=a&again=a"),
                ("/leave", ""),
            )
        ),
        _with_photo(photo),
    )


def _with_photo(photo: bytes) -> bytes:
    fields = {"csrf": "TOKEN", "target": "rendition-24", "bench": "one"}
    parts = [
        f'--m\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
        for name, value in fields.items()
    ]
    file = '--m\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n\r\n'
    head = "POST /bench/Q-1/photo\nContent-Type: multipart/form-data; boundary=m\n\n"
    return (head + "".join(parts) + file).encode() + photo + b"\r\n--m--\r\n"


def answer(path: Path) -> object:
    """The status of the answer to a request.

    Raises:
        NotSentError: no server would hand it on.
        AssertionError: the pages failed.
    """
    post, app = _pages(path.parent)
    app.state.turnstiles = Turnstiles()
    data = path.read_bytes().replace(_TOKEN, _token(post))
    head, _, body = data.partition(b"\n\n")
    first, *lines = head.split(b"\n")
    line = _LINE.fullmatch(first)
    named = [_HEADER.fullmatch(one) for one in lines]
    if line is None or None in named:
        raise NotSentError
    way, _, query = line[2].partition(b"?")
    own = [(one[1].lower(), one[2].strip(b" \t")) for one in named if one]
    cookie = [(b"host", _HOST), (b"cookie", f"{VISIT}={_MARK}".encode())]
    length = [(b"content-length", str(len(body)).encode())]
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "scheme": "http",
        "method": line[1].decode("ascii"),
        "path": unquote(way.decode("ascii")),
        "raw_path": way,
        "root_path": "",
        "query_string": query,
        "headers": [*cookie, *length, *own],
        "client": ("127.0.0.1", 40000),
        "server": ("127.0.0.1", 8737),
    }
    status = asyncio.run(_status(app, scope, body))
    assert status < 500, status
    return status


async def _status(app: object, scope: dict[str, object], body: bytes) -> int:
    sent = []

    async def receive() -> dict[str, object]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: dict[str, object]) -> None:
        sent.append(message)

    await app(scope, receive, send)  # type: ignore[operator]
    return int(sent[0]["status"])


def _token(post: Post) -> bytes:
    return Visitor(post, Turnstiles(), None, _MARK, False, True, "").token.encode()


@cache
def _pages(folder: Path) -> tuple[Post, object]:
    season = SmallSeason().write(folder / "served")
    clock = datetime(2027, 1, 20, 9, 0, tzinfo=UTC)
    post = Post(season, "127.0.0.1", 8737, clock=lambda: clock)
    post.shelf.take_in(pictures.jpegs()[0], "a.jpg", post.target("rendition-24"))
    return post, make_app(post)
