"""``livery rules`` as a designer runs it."""

import json
from pathlib import Path

from command_line import Run


def test_every_rule_in_force_is_listed_within_80_columns(run: Run, demo_season: Path) -> None:
    done = run("rules", demo_season)
    assert done.returncode == 0, done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    for words in ("laws/face-identification", "workshop/gap", "print/smallest-text", "9.000 in"):
        assert words in done.stdout
    assert "from memory" in done.stdout
    assert "Umpires and the competition decide" in done.stdout


def test_rules_are_data_too(run: Run, demo_season: Path) -> None:
    rules = json.loads(run("rules", demo_season, "--json").stdout)["rules"]
    assert {rule["rule"].partition("/")[0] for rule in rules} == {"laws", "workshop", "print"}
    assert all(rule["standing"] and rule["asks"] and rule["source"] for rule in rules)


def test_the_unfilled_shape_of_a_competition_is_refused(run: Run, demo_season: Path) -> None:
    text = demo_season.read_text("utf-8")
    demo_season.write_text(text.replace('rules = ["laws"', 'rules = ["competition", "laws"', 1))
    done = run("rules", demo_season)
    assert done.returncode == 2
    assert "to be filled" in done.stderr
    assert "Traceback" not in done.stderr
