import shutil
from dataclasses import replace

import pytest
from labels import find_meeting, labels_of, words_of

from livery.drawing import Use
from livery.limits.books import PACKAGED
from livery.proof import card_drawing, find_changes, make_proof, proof_drawing
from livery.scheme import load_season
from livery.scheme.model import Hand

LONG_NAME = "Wilhelmina Featherstonehaugh-Quellanmarsh"


def words(drawing):
    return " ".join(text for page in drawing.pages for text in words_of(page))


def with_player(first, name):
    scheme, order, layouts = first
    named = replace(order, player=name)
    return scheme, named, tuple(replace(layout, player=name) for layout in layouts)


def top_of_badge(layouts):
    """Where the face's badge starts, mm from the bottom of the grip, as documents print it."""
    placement = next(p for p in layouts[0].placements if p.key == "heron-face")
    return f"{placement.decal.outline.transformed(placement.affine).bounds()[1]:.1f}"


def test_a_proof_says_all_that_is_agreed(first):
    scheme, order, layouts = first
    drawing = proof_drawing(scheme, order, layouts)
    text = words(drawing)
    proof = make_proof(scheme, order, layouts)
    said = [order.player, order.key, "2 lb 9 oz", "right-handed", scheme.date, scheme.workshop]
    said += [ink.name for ink in scheme.palette.inks] + [proof.short_hash, proof.content_hash]
    said += ["228.60 mm", "ISO 3664", "umpires and the competition", "Signature", "1:2.5"]
    said += [top_of_badge(layouts)]
    assert [word for word in said if word not in text] == []
    assert drawing.date == scheme.date


def test_every_placement_is_drawn_on_the_cover_and_on_its_surface(first):
    drawing = proof_drawing(*first)
    uses = [e for page in drawing.pages for e in page.layers[0].elements if isinstance(e, Use)]
    keys = {symbol.key for symbol in drawing.symbols}
    count = sum(len(layout.placements) for layout in first[2])
    assert len(uses) == 2 * count
    assert {use.symbol for use in uses} == keys


@pytest.mark.parametrize("draw", [proof_drawing, card_drawing], ids=["proof", "card"])
@pytest.mark.parametrize("name", ["Io", LONG_NAME, "Żółtańska-Ñuñez Θεοδώρα Ђорђе"])
def test_no_text_leaves_the_page_or_meets_other_text(first, boxes, draw, name):
    drawing = draw(*with_player(first, name))
    for page in drawing.pages:
        found = boxes(labels_of(page))
        for x0, y0, x1, _, text in found:
            assert x0 > 10 and x1 < 200 and y0 > 8, text
        assert find_meeting(found) == []


def test_the_content_hash_follows_what_matters_and_nothing_else(first):
    scheme, order, layouts = first
    base = make_proof(scheme, order, layouts)
    assert make_proof(scheme, order, layouts) == base
    assert make_proof(replace(scheme, date="2031-01-01"), order, layouts) == base
    inks = scheme.palette.inks
    redder = (replace(inks[0], lab=(27.0, -2.9, -30.0)), *inks[1:])
    place = layouts[0].placements[0]
    moved = replace(place, affine=replace(place.affine, f=place.affine.f + 0.001))
    bat = replace(layouts[0], placements=(moved, *layouts[0].placements[1:]))
    others = [
        (replace(scheme, palette=replace(scheme.palette, inks=redder)), order, layouts),
        (scheme, replace(order, quantity=5), layouts),
        (scheme, replace(order, hand=Hand.LEFT), layouts),
        (scheme, order, (bat, *layouts[1:])),
        (scheme, order, layouts[:-1]),
    ]
    hashes = {make_proof(*other).content_hash for other in others}
    assert len(hashes | {base.content_hash}) == len(others) + 1


def test_the_content_hash_holds_what_files_say_wherever_they_lie(first, demo_season, tmp_path):
    _, order, layouts = first
    text = demo_season.read_text("utf-8")
    demo_season.write_text(text.replace('"workshop"]', '"workshop", "own.toml"]', 1), "utf-8")
    packaged = PACKAGED / "workshop.toml"
    book, badge = demo_season.parent / "own.toml", demo_season.parent / "decals" / "heron.svg"
    book.write_bytes(packaged.read_bytes())

    def content_hash(path):
        return make_proof(load_season(path), order, layouts).content_hash

    hashes = [content_hash(demo_season)]
    moved = tmp_path.with_name(f"{tmp_path.name}-elsewhere")
    shutil.copytree(tmp_path, moved)
    season = moved / demo_season.relative_to(tmp_path)
    assert content_hash(season) == hashes[0]
    for path, old, new in (
        (book, "Film on a rounded edge lifts", "Film on a sharp edge lifts"),
        (badge, "</svg>", "<!-- redrawn --></svg>"),
        (demo_season, '"laws", ', ""),
        (demo_season, '"white cast vinyl"', '"clear cast vinyl"'),
    ):
        content = path.read_text("utf-8")
        assert old in content
        path.write_text(content.replace(old, new), "utf-8")
        hashes.append(content_hash(demo_season))
    assert len(set(hashes)) == 5


def test_a_change_is_shown_before_and_after(first):
    scheme, order, layouts = first
    before = make_proof(scheme, replace(order, quantity=1), layouts)
    after = make_proof(scheme, order, layouts)
    (change,) = find_changes(before, after)
    assert (change.subject, change.before, change.after) == ("Bats", "1", "2")
    gone = find_changes(after, replace(after, facts=after.facts[:-1]))
    assert gone[0].after == "" and gone[0].before
    text = words(proof_drawing(scheme, order, layouts, previous=before))
    assert f"Changes since revision {before.revision}" in text


def test_a_broken_limit_leads_the_table(first):
    scheme, order, layouts = first
    finding = replace(layouts[0].findings[-1], ok=False, text="Keep off: it does not")
    broken = replace(layouts[0], findings=(*layouts[0].findings, finding))
    text = words(proof_drawing(scheme, order, (broken, *layouts[1:])))
    assert "checks does not hold; it is listed first" in text
    assert text.index("Keep off") < text.index("stay within the top 9 in")


def test_the_card_measures_from_what_a_hand_can_feel(first):
    text = words(card_drawing(*first))
    assert f"Top {top_of_badge(first[2])} mm from the bottom of the grip. Centred" in text
    assert "mm from the toe." in text
    assert "panel's top seam" in text
    assert "Peel the protective film before any photograph." in text
    assert text.count("placed") == sum(len(layout.placements) for layout in first[2])


def test_a_long_name_stays_clear_of_the_boxes_to_tick(first, boxes):
    drawing = card_drawing(*with_player(first, LONG_NAME * 2))
    found = [box for page in drawing.pages for box in boxes(labels_of(page))]
    steps = [box for box in found if box[0] == 22.0]
    ticks = [box[0] for box in found if box[4] == "placed"]
    named = [box for box in steps if " mm" in box[4] or "…" in box[4]]
    assert max(box[2] for box in named) < min(ticks) - 4.6


def test_every_order_has_a_proof_and_a_card_of_its_own(season):
    scheme, layouts = season
    for order in scheme.orders:
        others = {other.key for other in scheme.orders} - {order.key}
        proof, card = (draw(scheme, order, layouts) for draw in (proof_drawing, card_drawing))
        assert len(proof.pages) >= 4
        for drawing in (proof, card):
            said = words(drawing)
            assert order.key in said and order.player in said
            assert not [key for key in others if key in said]


def test_an_order_without_layouts_is_refused(season):
    scheme, layouts = season
    with pytest.raises(ValueError, match="Q-999"):
        make_proof(scheme, replace(scheme.orders[0], key="Q-999"), layouts)
