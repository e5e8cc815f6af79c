"""What someone ill-meant would try first; none of it succeeds."""

import io
import socket
import struct
import threading
import time
import zlib
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
import uvicorn
from fastapi.testclient import TestClient
from PIL import Image
from signers import ACCOUNT, MAKER, SECRET

from livery.records.passes import make_link
from livery.web import guard, patience
from livery.web.app import make_app
from livery.web.guard import MOST_FORM_BYTES, MOST_PHOTO_BYTES, Turnstile
from livery.web.patience import PatientProtocol
from livery.web.post import Post

NASTY = """'"><script>alert(1)</script>; DROP TABLE ledger; --"""


@pytest.mark.parametrize(
    "path",
    [
        "/static/../base.html.j2",
        "/static/..%2fbase.html.j2",
        "/static/%2e%2e%2fbase.html.j2",
        "/static/livery.css%00",
        "/bench/Q-101/photo/..%2f..%2frecords.sqlite/small.jpg",
        "/bench/Q-101/photo/../../../etc/passwd/small.jpg",
        "/bench/Q-101/photo/" + "a" * 64 + "/small.jpg",
        "/proof/..%2f..%2fseason/page/1.svg",
        "/proof/Q-101/page/-1.svg",
        "/proof/Q-101/page/1.svg?content=../../records",
        "/answer/../ledger/page/1.svg",
    ],
)
def test_no_path_leads_to_a_file(bench, path: str) -> None:
    answer = bench.get(path)
    assert answer.status_code in (400, 403, 404)
    assert "root:" not in answer.text
    assert "{%" not in answer.text


@pytest.mark.parametrize("token", ["", "x", "a" * 43, "a" * 5000, "'%20OR%201=1--"])
def test_forged_links_open_nothing(browse, token: str) -> None:
    assert browse().get(f"/answer/{token}").status_code == 404


def test_links_cannot_be_guessed_for_long(browse) -> None:
    browser = browse()
    answers = [browser.get(f"/answer/{n:043d}").status_code for n in range(40)]
    assert answers[-1] == 429


def test_a_link_opens_one_proof_and_signs_one_content(maker, browse, post: Post, clock) -> None:
    form = {"csrf": maker.token("/proof/Q-103"), "passphrase": SECRET}
    assert maker.post("/proof/Q-103/offer", data=form).status_code == 200
    lasts = timedelta(days=1)
    token = make_link(post.store, ACCOUNT, "Q-103", "Maren Thistlewick", clock(), lasts)
    player = browse()
    assert player.get(f"/answer/{token}").status_code == 200
    for other in ("/", "/proof", "/proof/Q-101", "/proof/Q-103", "/bench", "/kit", "/ledger"):
        gone = player.get(other, follow_redirects=False)
        assert gone.headers.get("location", "").startswith("/enter"), other
    sent = {"csrf": player.token(f"/answer/{token}"), "shown": "0" * 64, "act": "agree"}
    assert player.post(f"/answer/{token}", data=sent).status_code == 403
    again = make_link(post.store, ACCOUNT, "Q-103", "Maren Thistlewick", clock(), lasts)
    content = post.store.book().latest("Q-103").content
    stale = player.post(f"/answer/{token}", data={**sent, "shown": content})
    assert stale.status_code == 400  # the newer link's key took the older one's place
    assert "not trusted" in stale.text
    assert player.get(f"/answer/{again}").status_code == 200


@pytest.mark.parametrize("csrf", ["", "0" * 64, NASTY])
def test_a_form_from_elsewhere_is_refused(maker, csrf: str) -> None:
    account = ("/account/passphrase", "/account/close")
    proofs = ("/proof/Q-101/offer", "/proof/Q-101/answer", "/bench/Q-101/photo")
    for path in ("/leave", *account, *proofs):
        form = {
            "csrf": csrf,
            "passphrase": SECRET,
            "new": SECRET,
            "again": SECRET,
            "name": "Bench One",
            "shown": "0" * 64,
            "act": "agree",
            "target": "x",
        }
        files = {"photo": ("a.jpg", b"\xff\xd8\xff", "image/jpeg")} if "photo" in path else None
        done = maker.post(path, data=form, files=files, follow_redirects=False)
        assert done.status_code == (403 if csrf else 422), path
    assert maker.get("/").status_code == 200


def test_another_visitors_token_and_another_origin_are_refused(maker, browse) -> None:
    theirs = browse().token()
    form = {"csrf": theirs, "passphrase": SECRET}
    assert maker.post("/proof/Q-101/offer", data=form).status_code == 403
    own = {**form, "csrf": maker.token("/proof/Q-101")}
    for origin in ("https://evil.example", "null", "http://127.0.0.1:9999"):
        done = maker.post("/proof/Q-101/offer", data=own, headers={"origin": origin})
        assert done.status_code == 403


def test_another_host_is_not_answered(browse) -> None:
    browser = browse()
    for host in ("evil.example", "127.0.0.1.evil.example:8737", ""):
        assert browser.get("/enter", headers={"host": host}).status_code == 421


def test_a_session_set_beforehand_is_not_taken_over(browse) -> None:
    browser = browse()
    browser.cookies.set("livery_session", "chosen-by-someone-else", domain="127.0.0.1")
    assert browser.enter("Bench One", "Bench One has a key") == 303
    held = {c.value for c in browser.cookies.jar if c.name == "livery_session"}
    (given,) = held - {"chosen-by-someone-else"}
    assert len(given) >= 32
    thief = browse()
    thief.cookies.set("livery_session", "chosen-by-someone-else", domain="127.0.0.1")
    assert thief.get("/", follow_redirects=False).headers["location"].startswith("/enter")


def test_signing_out_ends_the_session(bench) -> None:
    token = next(c.value for c in bench.cookies.jar if c.name == "livery_session")
    bench.post("/leave", data={"csrf": bench.token("/bench")})
    bench.cookies.set("livery_session", str(token), domain="127.0.0.1")
    assert bench.get("/bench", follow_redirects=False).status_code == 303


def test_a_signer_opens_their_own_proof_alone(browse) -> None:
    signer = browse("Tamsin Orrowby")
    assert signer.get("/proof/Q-101").status_code == 200
    assert "Q-102" not in signer.get("/proof").text
    for path in (
        "/proof/Q-104",
        "/proof/Q-104/page/1.svg",
        "/proof/Q-104/compare",
        "/proof/Q-104/receipt.json",
        "/proof/Q-999",
        "/bench",
        "/kit",
        "/ledger",
    ):
        assert signer.get(path).status_code == 403, path
    form = {"csrf": signer.token("/proof/Q-101"), "passphrase": "Tamsin Orrowby has a key"}
    for path in ("/proof/Q-101/offer", "/proof/Q-101/link", "/proof/Q-104/offer"):
        assert signer.post(path, data=form).status_code == 403, path
    answer = {**form, "shown": "0" * 64, "act": "agree"}
    assert signer.post("/proof/Q-104/answer", data=answer).status_code == 403


def test_the_bench_neither_offers_nor_answers(bench) -> None:
    form = {"csrf": bench.token("/proof/Q-101"), "passphrase": "Bench One has a key"}
    assert bench.post("/proof/Q-101/offer", data=form).status_code == 403
    assert bench.post("/proof/Q-101/link", data=form).status_code == 403


def _send(browser, data: bytes, name: str = "a.jpg", kind: str = "image/jpeg", **more: str):
    form = {"csrf": browser.token("/bench/Q-105"), "target": "rendition-24", **more}
    files = {"photo": (name, data, kind)}
    return browser.post("/bench/Q-105/photo", data=form, files=files, follow_redirects=False)


def _png_bomb(side: int) -> bytes:
    def chunk(kind: bytes, body: bytes) -> bytes:
        tail = struct.pack(">I", zlib.crc32(kind + body))
        return struct.pack(">I", len(body)) + kind + body + tail

    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 1_000_000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def _jpeg_bomb(side: int) -> bytes:
    """A small JPEG whose frame says that it is huge."""
    stream = io.BytesIO()
    Image.new("RGB", (16, 16)).save(stream, "JPEG")
    data = bytearray(stream.getvalue())
    frame = data.index(b"\xff\xc0")
    data[frame + 5 : frame + 9] = struct.pack(">HH", side, side)
    return bytes(data)


def _tiff_bomb(side: int) -> bytes:
    """A TIFF of a few bytes that says it holds one huge strip."""
    tags = [(256, side), (257, side), (258, 8), (259, 8), (262, 1), (273, 8), (277, 1), (278, side)]
    tags.append((279, 100))
    entries = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in tags)
    head = b"II*\x00" + struct.pack("<I", 8)
    return head + struct.pack("<H", len(tags)) + entries + b"\0" * 4 + zlib.compress(b"\0" * 9999)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"GIF89a nothing",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"<?xml version='1.0'?><!DOCTYPE a [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><a>&x;</a>",
        b"%PDF-1.7 not a picture",
        b"\xff\xd8\xff\xe0 cut short",
        _png_bomb(60_000),
        _jpeg_bomb(60_000),
        _tiff_bomb(60_000),
    ],
    ids=["empty", "gif", "svg", "entities", "pdf", "broken", "bomb", "jpeg bomb", "tiff bomb"],
)
def test_what_is_no_photograph_is_refused_whatever_its_name(bench, post: Post, data: bytes) -> None:
    done = _send(bench, data)
    assert done.status_code in (400, 422)
    assert "root:" not in done.text
    waiting = [p for p in (post.store.folder / "waiting").rglob("*") if p.is_file()]
    assert not [path for path in waiting if path.read_bytes() == data]


def test_too_large_a_body_is_cut_off(bench) -> None:
    huge = io.BytesIO(b"\xff\xd8\xff" + b"\0" * MOST_PHOTO_BYTES)
    form = {"csrf": bench.token("/bench/Q-105"), "target": "rendition-24"}
    done = bench.post("/bench/Q-105/photo", data=form, files={"photo": ("a.jpg", huge)})
    assert done.status_code == 413
    assert bench.post("/enter", data={"name": "x" * MOST_FORM_BYTES}).status_code == 413

    def unsaid():
        for _ in range(10):
            yield b"x" * 100_000

    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert bench.post("/enter", content=unsaid(), headers=kind).status_code == 413


@pytest.fixture
def hurried(post: Post, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, int]]:
    """The pages on a real socket, with little patience; host and port."""
    monkeypatch.setattr(patience, "HEAD_S", 0.4)
    monkeypatch.setattr(guard, "_PART_S", 0.4)
    patient = {"http": PatientProtocol, "timeout_keep_alive": 1}
    server = uvicorn.Server(uvicorn.Config(make_app(post), port=0, log_level="error", **patient))
    thread = threading.Thread(target=server.run)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield server.servers[0].sockets[0].getsockname()
    server.should_exit = True
    thread.join()


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (b"", b""),
        (b"GET /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nX: ", b""),
        (
            b"POST /enter HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99\r\n"
            b"Content-Type: application/x-www-form-urlencoded\r\n\r\nname=",
            b"408",
        ),
        (b"GET /enter HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\nGET /", b"200 OK"),
    ],
    ids=["silence", "half a head", "half a body", "half a second head"],
)
def test_a_request_that_dawdles_is_hung_up_on(
    hurried: tuple[str, int], words: bytes, answer: bytes
) -> None:
    with socket.create_connection(hurried, 5) as link:
        link.sendall(words)
        seen = b""
        while part := link.recv(65536):  # ends when the pages hang up; a timeout would raise
            seen += part
    assert answer in seen.partition(b"\r\n")[0]


def test_markup_and_sql_in_every_field_stay_words(bench, maker, jpeg: bytes, post: Post) -> None:
    done = _send(bench, jpeg, NASTY, bench=NASTY[:90], batch=NASTY[:90])
    assert done.status_code == 303
    page = bench.get(done.headers["location"])
    assert "<script>alert" not in page.text
    for path in (
        f"/bench/{NASTY}",
        f"/proof/{NASTY}",
        f"/kit?light={NASTY}",
        f"/bench/find?bat={NASTY}",
        f"/bench/Q-101?bench={NASTY}&batch={NASTY}",
        f"/enter?then={NASTY}",
        f"/proof/Q-101/compare?before={NASTY}",
    ):
        answer = maker.get(path)
        assert "<script>alert" not in answer.text, path
        assert answer.status_code in (200, 400, 404), path
    form = {"csrf": maker.token("/proof/Q-104"), "passphrase": SECRET, "asked": NASTY}
    assert maker.post("/proof/Q-104/offer", data=form).status_code == 200
    for path in ("/", "/ledger", "/proof", "/proof/Q-104"):
        assert "<script>alert" not in maker.get(path).text, path
    assert post.store.verify() == ()


def test_every_name_of_a_season_stays_words(demo_season: Path) -> None:
    """Markup and SQL as workshop, season, player, bat, gloves, palette, ink and decal."""
    nasty = "<script>alert(1)</script>' OR 1=1; DROP TABLE ledger; --"
    inks = demo_season.parents[1] / "palettes" / "reedlight.toml"
    changed = 0
    for path in (demo_season, inks):
        lines = []
        for line in path.read_text("utf-8").splitlines():
            key = line.split("=")[0].strip()
            if key in ("name", "player", "workshop", "note") and '"' in line:
                line, changed = f'{key} = "{nasty} {len(lines)}"', changed + 1
            lines.append(line)
        path.write_text("\n".join(lines) + "\n", "utf-8")
    assert changed > 15
    post = Post(demo_season, "127.0.0.1", 8737)
    with TestClient(make_app(post), base_url="http://127.0.0.1:8737") as visitor:
        ways = ["/", "/bench", "/bench/Q-101", "/kit", "/kit/range.svg", "/proof", "/proof/Q-101"]
        ways += [f"/proof/Q-101/page/{number}.svg" for number in range(1, 8)]
        for way in (*ways, "/proof/Q-101/compare", "/trends", "/ledger"):
            answer = visitor.get(way)
            assert answer.status_code in (200, 404), way
            assert "<script>alert" not in answer.text, way
        shown = visitor.get("/bench/Q-101").text
        assert "&lt;script&gt;alert(1)" in shown
    assert post.store.verify() == ()
    post.store.close()


@pytest.mark.parametrize(
    "then", ["https://evil.example", "//evil.example", "/\\evil", "javascript:x"]
)
def test_signing_in_leads_nowhere_else(browse, then: str) -> None:
    browser = browse()
    form = {"csrf": browser.token(), "name": "Bench One", "passphrase": "Bench One has a key"}
    done = browser.post("/enter", data={**form, "then": then}, follow_redirects=False)
    assert done.headers["location"] == "/"


def test_passwords_cannot_be_guessed_for_long(browse) -> None:
    browser = browse()
    csrf = browser.token()
    form = {"csrf": csrf, "name": MAKER, "passphrase": "wrong words here"}
    codes = [browser.post("/enter", data=form).status_code for _ in range(12)]
    assert codes[0] == 401
    assert codes[-1] == 429


def test_a_turnstile_gives_tries_back_evenly() -> None:
    moment = [0.0]
    stile = Turnstile(2, 10.0, lambda: moment[0])
    assert [stile.lets("a") for _ in range(3)] == [True, True, False]
    assert stile.lets("b")
    moment[0] = 5.0
    assert [stile.lets("a") for _ in range(2)] == [True, False]
