"""A season served to a client in this process."""

import re
from collections.abc import Callable, Iterator
from datetime import datetime
from io import BytesIO
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from folders import copy_demo
from PIL import Image
from signers import MAKER, NOW, SECRET
from small_season import SmallSeason

from livery.jobs.season_records import open_records
from livery.jobs.signing import add_signer, begin_signing
from livery.records.people import Office
from livery.web.app import make_app
from livery.web.post import Post


class Clock:
    """A clock the tests set."""

    now = NOW

    def __call__(self) -> datetime:
        return self.now


class Browser(TestClient):
    """A client that fills in forms as a person does."""

    def token(self, path: str = "/enter") -> str:
        """The token of a form on a page."""
        found = re.search(r'name="csrf" value="([0-9a-f]+)"', self.get(path).text)
        assert found is not None, path
        return found[1]

    def enter(self, name: str, passphrase: str) -> int:
        """Sign in; returns the status."""
        form = {"csrf": self.token(), "name": name, "passphrase": passphrase, "then": "/"}
        return self.post("/enter", data=form, follow_redirects=False).status_code


@pytest.fixture(scope="session")
def clock() -> Clock:
    return Clock()


@pytest.fixture(scope="session")
def post(tmp_path_factory: pytest.TempPathFactory, clock: Clock) -> Iterator[Post]:
    folder = tmp_path_factory.mktemp("served")
    season = copy_demo(folder)
    begin_signing(season, MAKER, SECRET, "2027-01-19", None)
    store = open_records(season)
    for name, office in (("Tamsin Orrowby", Office.SIGNER), ("Bench One", Office.BENCH)):
        add_signer(store, SECRET, name, office, f"{name} has a key", "2027-01-19")
    store.close()
    post = Post(season, "127.0.0.1", 8737, clock=clock)
    yield post
    post.store.close()


@pytest.fixture
def small(tmp_path: Path) -> Iterator[tuple[Post, Browser]]:
    """A small season that a test may change, and its maker's browser."""
    season = SmallSeason().write(tmp_path / "season")
    begin_signing(season, MAKER, SECRET, "2027-01-19", None)
    post = Post(season, "127.0.0.1", 8737, clock=Clock())
    with Browser(make_app(post), base_url="http://127.0.0.1:8737") as browser:
        assert browser.enter(MAKER, SECRET) == 303
        yield post, browser
    post.store.close()


@pytest.fixture
def browse(post: Post) -> Iterator[Callable[..., Browser]]:
    """Opens a browser, signed in as someone or as nobody."""
    app = make_app(post)
    opened: list[Browser] = []

    def open_one(name: str = "", passphrase: str = "", *, fresh: bool = False) -> Browser:
        browser = Browser(app, base_url="http://127.0.0.1:8737", raise_server_exceptions=False)
        opened.append(browser)
        if name:
            assert browser.enter(name, passphrase or f"{name} has a key") == 303
        return browser

    yield open_one
    for browser in opened:
        browser.close()


@pytest.fixture
def maker(browse: Callable[..., Browser]) -> Browser:
    return browse(MAKER, SECRET)


@pytest.fixture
def bench(browse: Callable[..., Browser]) -> Browser:
    return browse("Bench One")


@pytest.fixture
def jpeg() -> bytes:
    """A photograph without a target."""
    stream = BytesIO()
    Image.linear_gradient("L").convert("RGB").resize((400, 300)).save(stream, "JPEG")
    return stream.getvalue()
