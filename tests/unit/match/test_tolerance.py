"""Which tolerance binds: of a pair, an ink, a finish, or none named; and extras' names."""

import pytest

from livery.match.tolerance import choose_tolerance, item_names
from livery.scheme import load_season
from livery.scheme.model import Finish, PairTolerance, Tolerances

EXTRA = """
[[extras]]
key = "home-shirt"
name = "Home shirt"
kind = "shirt"
material = "polyester knit"
inks = ["tarn"]
"""


def test_a_finish_binds_its_inks_unless_the_ink_is_named(palette):
    by_finish = Tolerances(finishes=((Finish.SATIN, 1.2),))
    assert choose_tolerance("ember", "a", "b", palette, by_finish, {}) == (1.2, "of satin inks")
    named = Tolerances(inks=(("ember", 2.0),), finishes=((Finish.SATIN, 1.2),))
    assert choose_tolerance("ember", "a", "b", palette, named, {}) == (2.0, "of Ember")
    gloss = Tolerances(finishes=((Finish.GLOSS, 1.2),))
    assert choose_tolerance("ember", "a", "b", palette, gloss, {}) == (2.0, "of Ember")


def test_a_pair_outranks_a_finish(palette):
    both = Tolerances(pairs=(PairTolerance(("a", "b"), 4.0),), finishes=((Finish.SATIN, 1.2),))
    assert choose_tolerance("ember", "b", "a", palette, both, {})[0] == 4.0
    assert choose_tolerance("ember", "aim", "a", palette, both, {})[0] == 1.2


@pytest.mark.parametrize("spelling", ["home-shirt", "shirt"])
def test_an_extra_answers_to_its_kind_and_material(demo_season, spelling):
    demo_season.write_text(demo_season.read_text("utf-8") + EXTRA, "utf-8")
    names = item_names(load_season(demo_season))
    assert names[spelling, "tarn"] == {"home-shirt", "shirt", "polyester knit"}
    assert (spelling, "ember") not in names
