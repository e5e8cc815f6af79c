"""The demo season, laid out once for all drawings."""

import pytest

from livery.jobs.survey import Survey
from livery.limits import RuleBook
from livery.placement import Layout, books_in_force
from livery.scheme.model import Scheme


@pytest.fixture(scope="session")
def scheme(demo: Survey) -> Scheme:
    return demo.scheme


@pytest.fixture(scope="session")
def books(scheme: Scheme) -> tuple[RuleBook, ...]:
    return books_in_force(scheme)


@pytest.fixture(scope="session")
def layouts(demo: Survey) -> tuple[Layout, ...]:
    return demo.layouts
