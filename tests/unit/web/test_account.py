"""One's own passphrase, and accounts closed by the one who keeps the ledger."""

from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient
from signers import MAKER, SECRET

from livery.jobs.signing import add_signer
from livery.records.ledger import Act
from livery.records.people import Office
from livery.web.app import make_app
from livery.web.post import Post

BENCH, BENCH_SECRET = "Bench One", "planed by the window"


@pytest.fixture
def bench(small: tuple[Post, TestClient]) -> Iterator[TestClient]:
    post, maker = small
    add_signer(post.store, SECRET, BENCH, Office.BENCH, BENCH_SECRET, "2027-01-19")
    with type(maker)(make_app(post), base_url="http://127.0.0.1:8737") as browser:
        assert browser.enter(BENCH, BENCH_SECRET) == 303
        yield browser


def _change(browser, old: str, new: str, again: str = ""):
    form = {"csrf": browser.token("/account"), "passphrase": old, "new": new, "again": again or new}
    return browser.post("/account/passphrase", data=form)


def test_a_passphrase_is_changed_and_other_sessions_end(small, bench) -> None:
    post, maker = small
    assert 'href="/account"' in bench.get("/bench").text
    assert "in two ways" in _change(bench, BENCH_SECRET, "sanded by lamplight", "x" * 12).text
    assert "passphrase is too short" in _change(bench, BENCH_SECRET, "short").text
    assert _change(bench, "wrong words here", "sanded by lamplight").status_code == 400
    with type(maker)(make_app(post), base_url="http://127.0.0.1:8737") as elsewhere:
        assert elsewhere.enter(BENCH, BENCH_SECRET) == 303
        before = next(c.value for c in bench.cookies.jar if c.name == "livery_session")
        changed = _change(bench, BENCH_SECRET, "sanded by lamplight")
        assert "Your passphrase is changed" in changed.text
        assert next(c.value for c in bench.cookies.jar if c.name == "livery_session") != before
        assert elsewhere.get("/bench", follow_redirects=False).status_code == 303
        assert elsewhere.enter(BENCH, BENCH_SECRET) == 401
        assert elsewhere.enter(BENCH, "sanded by lamplight") == 303


def test_passphrases_cannot_be_guessed_there_for_long(bench) -> None:
    codes = [
        _change(bench, "wrong words here", "sanded by lamplight").status_code for _ in range(12)
    ]
    assert (codes[0], codes[-1]) == (400, 429)


def test_the_keeper_closes_an_account_and_the_ledger_says_so(small, bench) -> None:
    post, maker = small
    assert "Close an account" not in bench.get("/account").text
    form = {"csrf": bench.token("/account"), "name": MAKER, "passphrase": BENCH_SECRET}
    assert bench.post("/account/close", data=form).status_code == 403
    page = maker.get("/account").text
    assert f'<option value="{BENCH}">{BENCH}, bench</option>' in page
    form = {"csrf": maker.token("/account"), "name": BENCH, "passphrase": "wrong words here"}
    assert "is wrong" in maker.post("/account/close", data=form).text
    assert bench.get("/bench").status_code == 200
    closed = maker.post("/account/close", data={**form, "passphrase": SECRET})
    assert "The account is closed." in closed.text
    assert "Nobody else has one." in closed.text
    assert bench.get("/bench", follow_redirects=False).status_code == 303
    assert bench.enter(BENCH, BENCH_SECRET) == 401
    last = post.store.entries()[-1]
    assert (last.act, last.proof, last.by, last.date) == (Act.CLOSE, BENCH, MAKER, "2027-01-20")
    assert "all stands" in maker.get("/ledger").text


def test_without_accounts_there_is_nothing_to_change(demo_season) -> None:
    post = Post(demo_season, "127.0.0.1", 8737)
    with TestClient(make_app(post), base_url="http://127.0.0.1:8737") as visitor:
        page = visitor.get("/account")
        assert page.status_code == 403
        assert "livery sign begin" in page.text
    post.store.close()
