"""Files made to break a reader: each is refused in words, at once.

Each is of a kind on which a reader can hang for longer than anyone waits, or end in a traceback.
"""

import json
import os
from pathlib import Path

import pytest
import reader_seeds as seeds
from palette_file import load_palette
from readers import READERS, check_clear, prepare, take

from livery.errors import LiveryError, visible
from livery.jobs.matching import name_item_and_ink
from livery.match.patch_names import parse_patch

MANY = 60_000
HUGE = "9" * 400
SEASON, DECAL, RULES = seeds.SEASON, seeds.DECAL, seeds.RULES
CGATS = seeds.cgats()[1].decode()
CXF = seeds.cxf()[0].decode()
CAPTURE = seeds.captures()[1].decode()
RECEIPT, LEDGER = (make()[0].decode() for make in (seeds.receipts, seeds.ledgers))
PLACEMENTS = seeds.placements()[0].decode()
TWICE = ",".join(f'"k{n}":1' for n in range(MANY)) + f',"k{MANY - 1}":1'
ATTRIBUTES = " ".join(f'a{n}="1"' for n in range(MANY))
REFUSED = {
    "a key of very many parts": ("season", "a." * MANY + "a = 1\n" + SEASON),
    "a table of very many parts": ("season", SEASON + "\n[" + "a." * MANY + "a]\n"),
    "a length of very many digits": ("season", SEASON.replace('"4.25 in"', f'"{"1" * MANY}!"')),
    "a length of very many blanks": ("season", SEASON.replace('"4.25 in"', f'"1{" " * MANY}!"')),
    "a length beyond floats": ("season", SEASON.replace("gap = 3.0", f"gap = {HUGE}")),
    "pounds beyond floats": ("season", SEASON.replace('"2 lb 9 oz"', f'"{HUGE} lb 9 oz"')),
    "grams beyond floats": ("season", SEASON.replace('"2 lb 9 oz"', HUGE)),
    "very many unknown keys": (
        "season",
        "".join(f"k{n} = 1\n" for n in range(MANY // 4)) + SEASON,
    ),
    "very many rule books": (
        "season",
        SEASON.replace('"laws"', ",".join(f'"b{n}.toml"' for n in range(MANY))),
    ),
    "a transform of blanks": ("decal", DECAL.replace("translate(1 1)", " " * MANY + "!")),
    "arc flags that are none": ("decal", DECAL.replace("M3 15q4", f"M3 15A{'2' * 400}q4")),
    "a size of very many digits": ("decal", DECAL.replace('width="20"', f'width="{"1" * MANY}!"')),
    "a size of very many blanks": ("decal", DECAL.replace('width="20"', f'width="1{" " * MANY}!"')),
    "a separator of files in a path": ("decal", DECAL.replace("q4-6", "\x85q4-6")),
    "very many attributes": ("decal", DECAL.replace("<rect", f"<rect {ATTRIBUTES}")),
    "a style sheet without an end": ("decal", DECAL.replace(".a {", "/*" * MANY + ".a{}b{")),
    "a count of very many digits": ("cgats", CGATS.replace("SETS 2", f"SETS {'9' * 5000}")),
    "a value longer than any": ("cgats", CGATS.replace("38,2", f'"{"3" * 200_000}"')),
    "a number of very many digits": ("cgats", CGATS.replace("38,2", "3" * MANY + "x")),
    "an observer of very many digits": ("cxf", CXF.replace("2_Degree", "2" * 5000)),
    "wavelengths without end": ("cxf", CXF.replace('StartWL="400"', 'StartWL="1e999"')),
    "an area beyond floats": ("rules", RULES.replace('"50 cm²"', HUGE)),
    "an area of very many blanks": ("rules", RULES.replace("50 cm²", f"50{' ' * MANY}x")),
    "a corner far away": (
        "regions",
        seeds.REGIONS.replace("[10, 10]", "[1e300, 0]"),
    ),
    "very many keys, one of them twice": ("capture", f"{{{TWICE}}}"),
    "a name that acts on the terminal": ("capture", CAPTURE.replace("bat tarn", "a\\u001b[2J")),
    "a name that cannot be written": ("capture", CAPTURE.replace("bat tarn", "\\ud800")),
    "a key of another kind": ("key", seeds.pems()[0].decode().replace("K2Vw", "K2Vv")),
    "a receipt nested very deeply": ("receipt", "[" * MANY),
    "a ledger nested very deeply": ("ledger", "[" * MANY),
    "placements beyond floats": ("placements", PLACEMENTS.replace("20.5", HUGE)),
    "placements that are no numbers": ("placements", PLACEMENTS.replace("20.5", "NaN")),
}
BY_EYE = 'title = "t"\ncheck = "by-eye"\nsource = "x"\nstanding = "y"\n'
READ = {
    "very many rules": (
        "rules",
        RULES + "".join(f'[[rules]]\nkey = "k{n}"\n{BY_EYE}' for n in range(3000)),
    ),
    "very many transforms": ("decal", DECAL.replace("translate(1 1)", "scale(1)" * MANY)),
    "very many classes": ("decal", DECAL.replace(".a {", ".a{}" * MANY + ".a {")),
    "an observer and very many blanks": (
        "cgats",
        CGATS.replace('OBSERVER "2"', f'OBSERVER "2{" " * MANY}x"'),
    ),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    prepare(tmp_path)
    return tmp_path


@pytest.mark.usefixtures("soon")
@pytest.mark.parametrize("case", REFUSED)
def test_it_is_refused_in_words(case: str, folder: Path) -> None:
    name, text = REFUSED[case]
    assert not take(READERS[name], folder, text.encode())


@pytest.mark.usefixtures("soon")
@pytest.mark.parametrize("case", READ)
def test_much_is_read(case: str, folder: Path) -> None:
    name, text = READ[case]
    assert len(text) > MANY
    assert take(READERS[name], folder, text.encode())


@pytest.mark.parametrize("depth", [50, 150, 250, 350, 450, 900])
@pytest.mark.parametrize("pair", ["[]", "{}"])
def test_deep_values_are_refused(depth: int, pair: str, folder: Path) -> None:
    opening = pair[0] if pair == "[]" else "{ a = "
    text = f"deep = {opening * depth}1{pair[1] * depth}\n{SEASON}"
    assert not take(READERS["season"], folder, text.encode())


def test_of_very_many_faults_the_first_are_told(folder: Path) -> None:
    path = folder / "season.toml"
    path.write_text("".join(f"k{n} = 1\n" for n in range(1000)) + SEASON, "utf-8")
    with pytest.raises(LiveryError) as caught:
        READERS["season"].read(path)
    lines = str(caught.value).splitlines()
    assert len(lines) < 70 and lines[-1].startswith("and ")
    assert any("800 more values are faulty" in str(fault) for fault in caught.value.faults)


_OF_PATHS = [n for n in READERS if READERS[n].read.__module__.startswith("livery.")]


@pytest.mark.usefixtures("soon")
@pytest.mark.parametrize("name", [*_OF_PATHS, "backup"])
@pytest.mark.parametrize("kind", ["folder", "absent", "pipe", "device", "loop", "nul", "long"])
def test_what_is_no_file_is_refused(name: str, kind: str, folder: Path) -> None:
    path = folder / f"odd-{READERS[name].file}"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    elif kind == "loop":
        path.symlink_to(path)
    elif kind != "absent":
        path = folder / ("a\0b" if kind == "nul" else "a" * 5000)
    with pytest.raises(LiveryError) as caught:
        READERS[name].read(path)
    check_clear(caught.value)


@pytest.mark.usefixtures("soon")
@pytest.mark.parametrize("piece", ["-", "a ", "sheet ", "@ a", "1", " ", "#a "])
def test_a_name_of_any_length_is_looked_at_in_no_time(piece: str, folder: Path) -> None:
    palette = load_palette(folder / "palette.toml")
    name = f"tarn{piece * 20_000}!"
    assert parse_patch(name, palette) is None
    assert name_item_and_ink(name, palette) is None


def test_a_text_that_acts_is_spelt_out() -> None:
    assert visible("Sedge Ħ න්\u200d බ") == "Sedge Ħ න්\u200d බ"
    assert visible("a\x1b[2J\ud800\u202e") == "a\\x1b[2J\\ud800\\u202e"
    assert json.dumps(visible("one\ntwo")) == '"one\\ntwo"'
