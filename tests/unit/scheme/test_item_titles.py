"""What items are called where people read of them."""

from pathlib import Path

from livery.scheme import load_season


def test_items_go_by_their_names_and_by_key_where_two_share_one(demo_season: Path) -> None:
    assert load_season(demo_season).item_titles == {
        "sedge": "Sedge",
        "sedge-gloves": "Sedge gloves",
        "sedge-pads": "Sedge pads",
    }
    text = demo_season.read_text("utf-8").replace('name = "Sedge pads"', 'name = "Sedge gloves"')
    demo_season.write_text(text, "utf-8")
    titles = load_season(demo_season).item_titles
    assert titles["sedge-pads"] == "Sedge gloves (sedge-pads)"
    assert titles["sedge-gloves"] == "Sedge gloves (sedge-gloves)"
