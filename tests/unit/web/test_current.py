"""The season as the pages know it: read once, and again when a file of it has changed."""

import threading
from pathlib import Path
from typing import Any

import pytest
from small_season import SmallSeason

from livery.capture.model import Target
from livery.crew.hands import Hands
from livery.errors import OutputError, SeasonError
from livery.web import post
from livery.web.current import Current


def test_a_season_is_read_once_while_it_stays_as_it_is(tmp_path: Path) -> None:
    current = Current(SmallSeason().write(tmp_path), Hands(1))
    first = current.found()
    assert current.changed.is_set()
    assert current.found() is first
    SmallSeason(revision=2).write(tmp_path)
    assert current.found().scheme.revision == 2


def test_artwork_changed_is_a_season_changed(tmp_path: Path) -> None:
    season = SmallSeason().write(tmp_path)
    current = Current(season, Hands(1))
    first = current.found()
    artwork = next(p for p in tmp_path.rglob("*.svg"))
    artwork.write_text(artwork.read_text("utf-8").replace("<svg", "<svg "), "utf-8")
    assert current.found() is not first


def test_a_file_changed_while_it_was_being_read_is_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from livery.web import current as module

    season, whole = SmallSeason().write(tmp_path), module.survey

    def slow(path: Path):
        found = whole(path)
        SmallSeason(revision=2).write(tmp_path)
        monkeypatch.undo()
        return found

    monkeypatch.setattr(module, "survey", slow)
    current = Current(season, Hands(1))
    assert current.found().scheme.revision == 1
    assert current.found().scheme.revision == 2


def test_nobody_waits_long_for_a_season_that_takes_long(tmp_path: Path) -> None:
    season, hands, held = SmallSeason().write(tmp_path), Hands(1), threading.Event()
    busy = threading.Thread(target=hands.do, args=(held.wait, 30))
    busy.start()
    current = Current(season, hands)
    with pytest.raises(OutputError, match="being read again"):
        current.found(0.05)
    held.set()
    assert current.found(None).scheme.revision == 1
    busy.join()


def test_a_mistake_is_told_until_it_is_mended(tmp_path: Path) -> None:
    season = SmallSeason().write(tmp_path)
    current, text = Current(season, Hands(1)), season.read_text("utf-8")
    season.write_text(text.replace("revision = ", "revison = "), "utf-8")
    for _ in range(2):
        with pytest.raises(SeasonError, match="revison"):
            current.found()
    season.write_text(text, "utf-8")
    assert current.found().scheme.revision == 1


def test_targets_are_read_before_any_process_is_begun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    order: list[str] = []
    find, do = post.find_target, Hands.do

    def find_and_tell(name: str) -> Target:
        order.append("target")
        return find(name)

    def do_and_tell(hands: Hands, *work: Any) -> Any:
        order.append("work")
        return do(hands, *work)

    monkeypatch.setattr(post, "find_target", find_and_tell)
    monkeypatch.setattr(Hands, "do", do_and_tell)
    served = post.Post(SmallSeason().write(tmp_path), "127.0.0.1", 8737)
    served.store.close()
    assert order == [*["target"] * len(served.target_names), "work"]
