"""What must match and is not laid out."""

from collections.abc import Callable
from pathlib import Path

import pytest

from livery.errors import Fault
from livery.scheme import load_season

Write = Callable[..., Path]
Faults = Callable[[Path], dict[str, Fault]]


EXTRA = """
[[extras]]
key = "home-shirt"
name = "Home shirt"
kind = "shirt"
material = "polyester knit"
inks = ["tarn", "ember"]
"""


def test_extras_join_the_season(write_season: Write, season_text: str) -> None:
    text = season_text + EXTRA
    text += '[[tolerances.pairs]]\nbetween = ["polyester knit", "mesh"]\ntolerance = 3.5\n'
    (extra,) = load_season(write_season(text)).extras
    assert (extra.key, extra.kind, extra.material) == ("home-shirt", "shirt", "polyester knit")
    assert extra.inks == ("tarn", "ember")


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('"home-shirt"', '"sedge"', "extras[0].key"),
        ('"ember"]', '"embre"]', "extras[0].inks[1]"),
        ("kind", "sort", "extras[0].sort"),
        ('inks = ["tarn", "ember"]', "inks = []", "extras[0].inks"),
    ],
)
def test_faults_of_extras(
    write_season: Write, faults_of: Faults, season_text: str, old: str, new: str, place: str
) -> None:
    assert place in faults_of(write_season(season_text + EXTRA.replace(old, new)))
