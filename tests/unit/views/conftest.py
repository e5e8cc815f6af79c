"""The demo season, laid out once for all drawings."""

from pathlib import Path

import pytest

from livery.limits import RuleBook
from livery.placement import Layout, books_in_force, lay_out
from livery.scheme import load_season
from livery.scheme.model import Scheme

ROOT = Path(__file__).parents[3]


@pytest.fixture(scope="session")
def scheme() -> Scheme:
    return load_season(ROOT / "artwork_demo" / "season.toml")


@pytest.fixture(scope="session")
def books(scheme: Scheme) -> tuple[RuleBook, ...]:
    return books_in_force(scheme)


@pytest.fixture(scope="session")
def layouts(scheme: Scheme, books: tuple[RuleBook, ...]) -> tuple[Layout, ...]:
    return lay_out(scheme, books=books)
