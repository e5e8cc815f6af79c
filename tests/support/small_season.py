"""Seasons as small as they can be and still have of everything, to be changed by tests."""

from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path

_SEASON = """\
season = "Small"
workshop = "Invented"
revision = {revision}
palette = "inks.toml"
master_size = "harrow"
rules = ["laws"{book}]

[print]
stock_width = "{stock} mm"
stock_height = "300 mm"
price_stock_m2 = {price}

[[bats]]
key = "sedge"
name = "Sedge"
sizes = ["harrow"]

[[decals]]
key = "badge"
name = "Badge"
artwork = "badge.svg"
width = "{badge} mm"
role = "decoration"
thickness = "0.15 mm"
spares = {spares}

[[decals]]
key = "name"
name = "Name"
artwork = "name.svg"
width = "50 mm"
role = "lettering"
thickness = "0.15 mm"
text.player = "{{player}}"

[[placements]]
key = "badge-face"
decal = "badge"
item = "sedge"
surface = "face"
y = "100 mm"

[[placements]]
key = "name-back"
decal = "name"
item = "sedge"
surface = "back"
y = "{name_y} mm"
"""
_ORDER = """
[[orders]]
key = "{key}"
player = "{player}"
hand = "right"
items = [{{ item = "sedge", size = "harrow" }}]
"""
_PALETTE = """\
name = "Small"
source = "invented"

[[inks]]
key = "tarn"
name = "Tarn"
lab = [27, {a}, -30]

[[inks]]
key = "ember"
name = "Ember"
lab = [56, 56, 50]
prints = "{prints}"
"""
_BADGE = """\
<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="20mm" viewBox="0 0 30 20">
<rect data-ink="tarn" x="0" y="0" width="30" height="20"/>
<circle data-ink="ember" cx="15" cy="10" r="{r}"/>
<rect data-part="outline" x="0" y="0" width="30" height="20" fill="none"/>
</svg>
"""
_NAME = """\
<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="10mm" viewBox="0 0 50 10">
<text data-ink="tarn" data-field="player" x="2" y="8" font-size="7" data-font="text-bold"
 data-fit-width-mm="46">Name</text>
<rect data-part="outline" x="0" y="0" width="50" height="10" fill="none"/>
</svg>
"""


@dataclass
class SmallSeason:
    """What a test may change."""

    orders: dict[str, str] = field(default_factory=lambda: {"Q-1": "Ada Reed", "Q-2": "Bram Lo"})
    revision: int = 1
    stock: int = 210
    price: float = 1.0
    badge: int = 30
    spares: int = 1
    name_y: int = 120
    circle: int = 5
    lab_a: int = -3
    prints: str = "spot"
    own_book: bool = False

    def write(self, folder: Path) -> Path:
        """Write every file; returns the season's."""
        folder.mkdir(parents=True, exist_ok=True)
        season = _SEASON.format(
            revision=self.revision,
            stock=self.stock,
            price=self.price,
            badge=self.badge,
            spares=self.spares,
            name_y=self.name_y,
            book=', "own.toml"' if self.own_book else "",
        )
        orders = [_ORDER.format(key=key, player=name) for key, name in self.orders.items()]
        (folder / "season.toml").write_text(season + "".join(orders), "utf-8")
        palette = _PALETTE.format(a=self.lab_a, prints=self.prints)
        (folder / "inks.toml").write_text(palette, "utf-8")
        (folder / "badge.svg").write_text(_BADGE.format(r=self.circle), "utf-8")
        (folder / "name.svg").write_text(_NAME, "utf-8")
        book = resources.files("livery.data").joinpath("rules/workshop.toml").read_text("utf-8")
        (folder / "own.toml").write_text(book, "utf-8")
        return folder / "season.toml"


def cut_down(season: Path, orders: int = 1) -> Path:
    """Leave the demonstration season one size of each thing and its first orders, from Q-101 on."""
    text = season.read_text("utf-8")
    for first, *others in (("short-handle", "harrow", "size-5"), ("men", "youth")):
        for other in others:
            assert f', "{other}"' in text
            text = text.replace(f', "{other}"', "").replace(f'"{other}"', f'"{first}"')
    season.write_text("[[orders]]".join(text.split("[[orders]]")[: 1 + orders]), "utf-8")
    return season
