from dataclasses import replace

import pytest

from livery.limits import Severity
from livery.scheme.model import Hand, Order, PrintProfile
from livery.sheet import inspect_names


@pytest.fixture
def scheme(shop):
    return shop.scheme()


def order(key, player):
    return Order(key, player, Hand.RIGHT, (), 1)


def test_names_that_papers_can_show_raise_nothing(scheme):
    named = replace(scheme, orders=(order("Q-1", "Zoë Łaska"), order("Q-2", "محمد عبد الله")))
    assert inspect_names(named) == ()


def test_a_player_whose_name_no_font_holds_is_told_with_its_letters(scheme):
    named = replace(scheme, orders=(order("Q-1", "Ann"), order("Q-2", "李小龍 Lee")))
    (finding,) = inspect_names(named)
    assert (finding.subject, finding.severity, finding.ok) == ("order Q-2", Severity.ADVICE, False)
    assert "“李小龍 Lee” is shown as “??? Lee”" in finding.text
    assert "李" in finding.text and finding.measured == 3


def test_so_are_the_season_the_workshop_the_stock_and_inks(scheme):
    inks = (replace(scheme.palette.inks[0], name="黄"), *scheme.palette.inks[1:])
    named = replace(
        scheme,
        name="夏",
        workshop="工房",
        palette=replace(scheme.palette, inks=inks),
        profile=PrintProfile(stock="紙"),
    )
    assert [finding.subject for finding in inspect_names(named)] == [
        "the season",
        "the workshop",
        "the stock",
        "ink tarn",
    ]
