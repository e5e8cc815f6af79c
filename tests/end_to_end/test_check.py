"""``livery check`` as a designer runs it."""

import json
from pathlib import Path

import pytest
from command_line import Run
from rich.cells import cell_len
from small_season import SmallSeason


def _edit(season: Path, old: str, new: str) -> None:
    text = season.read_text("utf-8")
    assert old in text
    season.write_text(text.replace(old, new, 1), "utf-8")


def test_the_demo_season_keeps_every_limit(spawn: Run, demo_season: Path) -> None:
    done = spawn("check", demo_season)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 limits broken" in done.stdout
    assert "Umpires and the competition decide" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_findings_are_data_with_the_fields_that_scripts_rely_on(
    run: Run, lean_season: Path
) -> None:
    done = run("check", lean_season, "--json")
    findings = json.loads(done.stdout)["findings"]
    assert len(findings) > 100
    fields = {"rule", "severity", "subject", "measured", "limit", "margin", "unit", "source"}
    assert all(fields | {"text"} <= set(finding) for finding in findings)


@pytest.mark.parametrize(
    ("key", "was", "small", "words"),
    [
        ("stock_width", "320 mm", "60 mm", "largest that fits the stock (60"),
        ("stock_height", "450 mm", "45 mm", "no room for decals on 320"),
    ],
)
def test_a_stock_that_cannot_hold_what_is_ordered_is_a_broken_limit(
    run: Run, lean_season: Path, key: str, was: str, small: str, words: str
) -> None:
    _edit(lean_season, f'{key} = "{was}"', f'{key} = "{small}"')
    done = run("check", lean_season)
    assert done.returncode == 1, done.stderr
    assert words in " ".join(done.stdout.split())
    assert "choose a larger stock in [print]" in " ".join(done.stdout.split())
    assert run("build", lean_season, "-o", "out").returncode == 2


def test_a_finding_is_told_once_with_the_orders_it_touches(run: Run, demo_season: Path) -> None:
    _edit(demo_season, 'y = "105 mm"', 'y = "205 mm"')
    _edit(demo_season, 'workshop = "Quillmere Bat Works"\n', "")
    findings = json.loads(run("check", demo_season, "--json").stdout)["findings"]
    told = [(f["rule"], f["subject"], f["text"]) for f in findings]
    assert len(set(told)) == len(told)
    orders = {
        f["subject"]: f["orders"]
        for f in findings
        if f["rule"] == "laws/face-identification" and not f["ok"] and "heron" in f["subject"]
    }
    assert orders["Sedge, short-handle, right-handed, face: heron-face"] == ["Q-101"]
    assert orders["Sedge, size-5, left-handed, face: heron-face"] == ["Q-106"]
    shown = run("check", demo_season).stdout
    assert max(map(len, shown.splitlines())) <= 80
    headings = [line for line in shown.splitlines() if line.startswith("Sedge")]
    assert len(set(headings)) == len(headings)
    assert shown.startswith("Season Reedlight, revision 1\n")
    assert "Sedge, size-5, for either hand, face: heron-face\n  orders: Q-105, Q-106" in shown
    assert "workshop-choice" not in shown and "(workshop choice)" in shown
    assert shown.index("BROKEN") < shown.index("advice  ") < shown.index("note  ")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('master_size = "short-handle"', 'master_size = "short-handel"', "short-handel"),
        ('hand = "right"', 'hand = "rigth"', "right"),
        ('role = "identification"', 'roll = "identification"', "role"),
        ('width = "58 mm"', 'width = "58 furlongs"', "furlongs"),
        ('artwork = "decals/heron.svg"', 'artwork = "decals/none.svg"', "none.svg"),
        ("[[bats]]", "[[bats]", "season.toml"),
    ],
)
def test_a_fault_is_named_with_its_line_and_its_mend(
    run: Run, demo_season: Path, old: str, new: str, words: str
) -> None:
    _edit(demo_season, old, new)
    line = 1 + demo_season.read_text("utf-8").split(new)[0].count("\n")
    done = run("check", demo_season)
    assert done.returncode == 2
    assert words in done.stderr
    assert f"season.toml:{line}" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_words_that_no_font_holds_are_told_with_their_order(run: Run, demo_season: Path) -> None:
    _edit(demo_season, "Idris Quellan-Marsh", "ᚠᚢᚦ")
    done = run("check", demo_season)
    assert done.returncode == 2
    said = " ".join(done.stderr.split())
    assert "for order Q-102: the font does not hold" in said


def test_every_fault_is_reported_at_once(run: Run, demo_season: Path) -> None:
    _edit(demo_season, 'hand = "right"', 'hand = "rigth"')
    _edit(demo_season, "revision = 1", "revision = 0.5")
    _edit(demo_season, 'width = "58 mm"', 'width = "-58 mm"')
    done = run("check", demo_season)
    assert done.returncode == 2
    for words in ("hand", "revision", "width"):
        assert words in done.stderr


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"\x00" * 100, b"[", b"season = 1e400"])
def test_what_is_no_season_is_one_clear_error(run: Run, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "season.toml").write_bytes(content)
    done = run("check", "season.toml")
    assert done.returncode == 2
    assert "season.toml" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_missing_season_is_one_clear_error(run: Run) -> None:
    done = run("check", "nowhere.toml")
    assert done.returncode == 2
    assert "nowhere.toml" in done.stderr
    assert "Traceback" not in done.stderr


def test_help_lists_every_command(spawn: Run) -> None:
    done = spawn("--help")
    assert done.returncode == 0
    for command in ("demo", "check", "build", "target", "measure", "match", "proof"):
        assert f" {command} " in done.stdout


def test_a_build_without_orders_says_why_there_are_no_sheets(run: Run, tmp_path: Path) -> None:
    done = run("build", SmallSeason(orders={}, spares=0).write(tmp_path / "s"), "-o", "out")
    assert done.returncode == 0, done.stderr
    assert "No sheets: the season has no orders" in done.stdout and "[[orders]]" in done.stdout
    folder = tmp_path / "out"
    assert {path.name for path in folder.iterdir() if path.is_dir()} == {"plans", "range"}
    page = (folder / "index.html").read_text("utf-8")
    assert "The season has no orders with decals: nothing prints." in page
    assert "Order papers" not in page and "0 decals" not in page
    proofs = run("proof", tmp_path / "s" / "season.toml", "-o", "proofs")
    assert proofs.returncode == 2 and "there are no orders. Add [[orders]]" in proofs.stderr
    again = run("build", SmallSeason().write(tmp_path / "s"), "-o", "out")
    assert "No sheets" not in again.stdout
    assert (folder / "orders" / "order-papers.pdf").is_file()


def test_wide_letters_keep_their_lines_under_one_another(spawn: Run, tmp_path: Path) -> None:
    name = "李小龍" * 12
    done = spawn("check", SmallSeason(orders={"Q-1": name}).write(tmp_path / "s"))
    assert done.returncode == 2  # its lettering cannot be set either
    season = SmallSeason(orders={"Q-1": "Ada"}).write(tmp_path / "t")
    _edit(season, 'workshop = "Invented"', f'workshop = "{name}"')
    lines = spawn("check", season).stdout.splitlines()
    first = next(n for n, line in enumerate(lines) if line.startswith("  advice  “李"))
    told = lines[first : next(n for n in range(first, len(lines)) if "source:" in lines[n])]
    assert len(told) > 2 and all(line.startswith(" " * 10) for line in told[1:])
    assert all(cell_len(line) <= 80 for line in told)
