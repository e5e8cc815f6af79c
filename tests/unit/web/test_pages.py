import gzip
import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from archive import keep_evidence
from fastapi.testclient import TestClient
from signers import ACCOUNT, SECRET
from small_season import SmallSeason

from livery.artwork.fonts import script_font_files
from livery.errors import InputError
from livery.jobs.revisions import proof_of
from livery.jobs.season_records import open_records, records_folder
from livery.jobs.signing import begin_signing, link_proof, offer_proof
from livery.records.history import Occasion, save_capture
from livery.web.app import make_app
from livery.web.post import Post


def _take(bench, jpeg: bytes, key: str = "Q-106") -> str:
    form = {"csrf": bench.token(f"/bench/{key}"), "target": "rendition-24", "bench": "<b>one</b>"}
    photo = {"photo": ("../../x.jpg", jpeg, "image/jpeg")}
    done = bench.post(f"/bench/{key}/photo", data=form, files=photo, follow_redirects=False)
    assert done.status_code == 303, done.text
    return str(done.headers["location"])


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("/", "What waits"),
        ("/kit?light=A", "filament lamp"),
        ("/bench", "Which bat?"),
        ("/bench/Q-101", "Photograph it"),
        ("/proof", "Tamsin Orrowby"),
        ("/proof/Q-101", "What it states"),
        ("/proof/Q-101/compare", "nothing to set beside it yet"),
        ("/trends", "Colours over time"),
        ("/trends?ink=ember", "selected>Ember"),
        ("/ledger", "all stands"),
        ("/?find=nobody", "None of 6"),
        ("/proof?find=DRAFTED+orrowby&page=9", "1 of 6"),
    ],
)
def test_every_page_opens_for_a_designer(maker, path: str, words: str) -> None:
    page = maker.get(path)
    assert page.status_code == 200
    assert words in page.text
    assert "default-src 'none'" in page.headers["content-security-policy"]


@pytest.mark.parametrize("name", script_font_files())
def test_fonts_of_other_scripts_come_with_the_pages(browse, name: str) -> None:
    font = browse().get(f"/static/{name}")
    assert font.headers["content-type"] == "font/ttf"
    assert font.content[:4] == b"\x00\x01\x00\x00"
    assert name in browse().get("/static/livery.css").text
    assert "font-src 'self'" in browse().get("/enter").headers["content-security-policy"]


def test_all_evidence_is_read_through_when_asked(maker, post: Post) -> None:
    digest = keep_evidence(post.store, b"\xff\xd8\xff as kept", "a.jpg")
    path = post.store.evidence.path_of(digest)
    form = {"csrf": maker.token("/ledger")}
    try:
        path.write_bytes(b"\xff\xd8\xff as lost")
        assert "all stands" in maker.get("/ledger").text
        assert "evidence was changed" in maker.post("/ledger", data=form).text
        path.write_bytes(b"\xff\xd8\xff")
        assert "evidence was changed" in maker.get("/ledger").text
    finally:
        path.write_bytes(b"\xff\xd8\xff as kept")
    assert "were read" in maker.post("/ledger", data=form).text
    assert maker.post("/ledger", data={"csrf": "x"}).status_code == 403


def test_a_scanned_address_finds_its_bat(bench) -> None:
    words = {"bat": "http://127.0.0.1:8737/bench/Q-103"}
    done = bench.get("/bench/find", params=words, follow_redirects=False)
    assert done.headers["location"] == "/bench/Q-103"
    assert "Photograph it" in bench.get("/bench/find", params={"bat": "q-103"}).text
    assert "None of 6 with" in bench.get("/bench/find", params={"bat": "Q-999"}).text
    found = bench.get("/bench/find", params={"bat": "orrowby"}).text
    assert "Tamsin Orrowby" in found and "Maren" not in found


def test_a_photograph_without_a_target_says_so_and_takes_corners(bench, jpeg: bytes) -> None:
    way = _take(bench, jpeg)
    page = bench.get(way)
    assert "The target was not found" in page.text
    assert bench.get(way.partition("?")[0] + "/small.jpg").headers["content-type"] == "image/jpeg"
    assert "one&lt;/b&gt;" in page.text
    by_hand = bench.get(f"{way}&corners=40,40 360,40 360,260 40,260")
    assert "Drag a rectangle" in by_hand.text
    mistyped = bench.get(f"{way}&corners=1,2 3")
    assert mistyped.status_code == 400
    assert "&#39;1,2 3&#39; is not four points" in mistyped.text
    assert 'name="corners" required value="1,2 3"' in mistyped.text
    assert ">Look again</button>" in mistyped.text


def test_trouble_leads_back_to_where_it_was_met(bench, maker) -> None:
    form = {"csrf": bench.token("/bench/Q-106"), "target": "rendition-24"}
    photo = {"photo": ("x.jpg", b"no photograph", "image/jpeg")}
    refused = bench.post("/bench/Q-106/photo", data=form, files=photo)
    assert refused.status_code == 400
    assert '<a href="/bench/Q-106">Back to the bat</a>' in refused.text
    beyond = maker.get("/proof/Q-101/page/99.svg")
    assert '<a href="/proof/Q-101">Back to the proof</a>' in beyond.text
    assert "Back to the" not in bench.get("/bench/Q-999").text


def test_a_proof_is_offered_linked_answered_and_compared(maker, browse, post: Post, clock) -> None:
    csrf = {"csrf": maker.token("/proof/Q-102"), "passphrase": SECRET}
    assert maker.post("/proof/Q-102/offer", data=csrf).status_code == 200
    page = maker.post("/proof/Q-102/link", data={**csrf, "days": "7"}).text
    way = page.partition("127.0.0.1:8737")[2].partition('"')[0]
    player = browse()
    shown = player.get(way)
    assert "I agree that it be made so" in shown.text
    content = shown.text.partition('name="shown" value="')[2][:64]
    picture = player.get(f"{way}/page/1.svg")
    assert picture.headers["content-type"].startswith("image/svg+xml")
    assert "sandbox" in picture.headers["content-security-policy"]
    form = {"csrf": player.token(way), "shown": content, "act": "agree"}
    assert "by <bdi>Idris Quellan-Marsh</bdi>" in player.post(way, data=form).text
    assert '"act": "agree"' in player.get(f"{way}/receipt.json").text
    replayed = player.post(way, data=form)
    assert replayed.status_code == 400
    assert "agreed already" in replayed.text
    clock.now += timedelta(days=8)
    expired = player.get(way)
    assert (expired.status_code, "has run out" in expired.text) == (404, True)
    clock.now -= timedelta(days=8)
    assert post.store.verify() == ()


def test_a_change_overtakes_a_link_and_the_revisions_stand_beside_each_other(
    small: tuple[Post, TestClient],
) -> None:
    post, maker = small
    form = {"csrf": maker.token("/proof/Q-1"), "passphrase": SECRET}
    assert maker.post("/proof/Q-1/offer", data=form).status_code == 200
    page = maker.post("/proof/Q-1/link", data={**form, "days": "7"}).text
    way = page.partition("127.0.0.1:8737")[2].partition('"')[0]
    SmallSeason(badge=26).write(post.season.parent)
    assert "overtaken" in maker.get("/proof/Q-1").text
    refused = maker.post("/proof/Q-1/offer", data=form)
    assert refused.status_code == 400
    assert "Raise revision" in refused.text
    seen = maker.get(way).text
    assert "This proof has been overtaken" in seen
    assert "I agree" not in seen
    SmallSeason(badge=26, revision=2).write(post.season.parent)
    assert maker.post("/proof/Q-1/offer", data=form).status_code == 200
    beside = maker.get("/proof/Q-1/compare").text
    pairs = re.findall(r"<del><bdi[^>]*>([\d.]+) ×.*?<ins><bdi[^>]*>([\d.]+) ×", beside, re.DOTALL)
    assert ("30.0", "26.0") in pairs
    for picture in re.findall(r'src="(/proof/Q-1/page/1[^"]+)"', beside):
        assert "<svg" in maker.get(picture.replace("&amp;", "&")).text[:300]
    (drawn,) = re.findall(r'src="(/proof/Q-1/compare/1.svg[^"]+)"', beside)
    assert "<svg" in maker.get(drawn.replace("&amp;", "&")).text[:300]
    past = drawn.replace("&amp;", "&").replace("/1.svg", "/9.svg")
    assert maker.get(past).status_code == 404
    latest = maker.get("/proof/Q-1").text
    pages = int(re.findall(r"Page 1 of (\d+)", latest)[0])
    texts = [maker.get(f"/proof/Q-1/page/{n + 1}.svg").text for n in range(pages)]
    assert sum("Changes drawn" in text or "Changes</" in text for text in texts) == 1
    assert post.store.verify() == ()


def test_proofs_are_drawn_before_they_are_asked_for(maker, post: Post) -> None:
    found = post.found()
    for order in found.scheme.orders[3:5]:
        post.drawings.draw_ahead(found, order)
    drawn = post.drawings.proof(found, found.scheme.orders[3])
    assert post.drawings.proof(found, found.scheme.orders[3]) is drawn
    content = proof_of(found, found.scheme.orders[3]).content_hash
    shown = maker.get("/proof/Q-104/page/1.svg")
    assert (shown.content, content[:4] in shown.text) == (gzip.decompress(drawn[0]), True)
    assert maker.get(f"/proof/Q-104/page/{len(drawn) + 1}.svg").status_code == 404


def test_a_bat_photographed_often_lists_the_newest(bench, post: Post) -> None:
    for number in range(25):
        photo = b"\xff\xd8\xff" + bytes([number])
        occasion = Occasion("Q-106", f"bench {number}", "", "2027-01-20")
        save_capture(post.store, photo, "x.jpg", {"gates": []}, (), occasion)
    page = bench.get("/bench/Q-106").text
    assert "bench 24:" in page and "bench 4:" not in page
    assert "The newest 20 of 25." in page


def test_beyond_this_machine_only_with_accounts(tmp_path: Path) -> None:
    season = SmallSeason().write(tmp_path)
    for kept in (False, True):
        with pytest.raises(InputError, match="nobody has an account"):
            Post(season, "0.0.0.0", 8737)
        assert records_folder(season).is_dir() is kept
        open_records(season, make=True).close()


def test_before_accounts_this_machine_may_look_and_keep(tmp_path: Path) -> None:
    post = Post(SmallSeason().write(tmp_path), "127.0.0.1", 8737)
    with TestClient(make_app(post), base_url="http://127.0.0.1:8737") as client:
        assert "Nobody has an account yet" in client.get("/").text
        assert "Offer it" not in client.get("/proof/Q-1").text
    post.store.close()


def test_a_change_to_the_season_shows_at_once(small: tuple[Post, TestClient]) -> None:
    post, maker = small
    SmallSeason(orders={"Q-1": "Zoë Fellgarth-Moss"}).write(post.season.parent)
    assert "Zoë Fellgarth-Moss" in maker.get("/").text
    text = post.season.read_text("utf-8")
    post.season.write_text(text.replace('hand = "right"', 'hand = "rigth"'), "utf-8")
    page = maker.get("/")
    assert page.status_code == 400
    assert "rigth" in page.text


def test_a_head_is_answered_as_its_page_without_a_body(maker) -> None:
    for path in ("/", "/bench/Q-101", "/proof/Q-101", "/static/livery.css", "/nowhere"):
        page, head = maker.get(path), maker.head(path)
        assert head.status_code == page.status_code
        assert head.content == b""
        assert head.headers["content-type"] == page.headers["content-type"]
    assert maker.head("/kit/range.svg").status_code == 200
    assert "Choose 1 to 1" in maker.get("/kit/range.svg?page=2").text
    assert maker.head("/leave").status_code == 405


def test_bats_whose_keys_differ_by_case_are_told_apart(tmp_path: Path) -> None:
    season = SmallSeason(orders={"a-1": "Ida", "A-1": "Odo"}).write(tmp_path / "season")
    post = Post(season, "127.0.0.1", 8737)
    with TestClient(make_app(post), base_url="http://127.0.0.1:8737") as browser:
        for typed in ("a-1", "A-1"):
            answer = browser.get(f"/bench/find?bat={typed}", follow_redirects=False)
            assert answer.headers["location"] == f"/bench/{typed}"
    post.store.close()


def test_a_link_to_an_order_taken_out_opens_nothing_and_names_no_other(tmp_path: Path) -> None:
    small = SmallSeason(orders={"A-1": "Ida", "A-2": "Odo"})
    season = small.write(tmp_path / "season")
    begin_signing(season, *ACCOUNT, "2027-01-19", None)
    post = Post(season, "127.0.0.1", 8737)
    with TestClient(make_app(post), base_url="http://127.0.0.1:8737") as browser:
        found = post.found()
        order = found.scheme.orders[0]
        offer_proof(found, post.store, order, ACCOUNT, "", "2027-01-20")
        token, _ = link_proof(found, post.store, order, SECRET, post.clock(), 7)
        assert browser.get(f"/answer/{token}").status_code == 200
        replace(small, orders={"A-2": "Odo"}).write(tmp_path / "season")
        gone = browser.get(f"/answer/{token}")
        assert gone.status_code == 404
        assert "A-2" not in gone.text
    post.store.close()
