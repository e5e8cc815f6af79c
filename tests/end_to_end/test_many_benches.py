"""Twenty browsers at once against the running pages: nothing is lost, doubled or refused."""

from pathlib import Path

import pytest
from bench_day import Day, photograph
from postgres import new_database, postgres
from small_season import cut_down
from visitors import copy_season, serving

from livery.jobs.season_records import open_records
from livery.records.history import read_captures

__all__ = ["postgres"]
BENCHES, ACCOUNTS = 20, 4  # to begin one takes as long as many a photograph


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_twenty_benches_keep_every_capture_once(
    kind: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    url, words = None, []
    if kind == "postgresql":
        url = new_database(request.getfixturevalue("postgres"))
        words = ["--database", url]
    season = cut_down(copy_season(tmp_path, ACCOUNTS, url))
    photo, target = photograph(season, tmp_path, (900, 720))
    with serving(season, "--target", target, *words) as (pages, server):
        day = Day(pages, photo.read_bytes(), BENCHES, BENCHES, orders=("Q-101",), accounts=ACCOUNTS)
        day.work()
        assert server.poll() is None
    assert day.tally.errors == []
    told = sorted(f"take {n}" for n in range(BENCHES))
    assert sorted(day.kept) == told
    store = open_records(season, url)
    assert sorted(str(row["batch"]) for row in read_captures(store)) == told
    assert store.verify() == ()
    store.close()
