"""A decal 5 mm below the face limit, as a designer would put it there."""

import json
import re
from pathlib import Path

import pymupdf
from command_line import Run


def _lower_the_face_badge(run: Run, season: Path, beyond_mm: float) -> None:
    """Move the badge so that its foot stands that far below the face limit on the master size."""
    findings = json.loads(run("check", season, "--json").stdout)["findings"]
    room = next(f["margin"] for f in findings if _is_of_the_badge(f))
    text = season.read_text("utf-8")
    block = re.search(r'\[\[placements\]\]\nkey = "heron-face".*?\n\n', text, re.S)
    assert block is not None
    y = re.search(r'\ny = "([0-9.]+) mm"', block[0])
    assert y is not None
    moved = block[0].replace(y[0], f'\ny = "{float(y[1]) + room + beyond_mm:.6f} mm"')
    season.write_text(text.replace(block[0], moved), "utf-8")


def _is_of_the_badge(finding: dict[str, str]) -> bool:
    subject = finding["subject"]
    return (
        finding["rule"] == "laws/face-identification"
        and "short-handle" in subject
        and "heron" in subject
    )


def test_a_badge_below_nine_inches_is_named_with_its_law_and_margin(
    run: Run, lean_season: Path
) -> None:
    _lower_the_face_badge(run, lean_season, 5.0)
    done = run("check", lean_season)
    assert done.returncode == 1, done.stdout + done.stderr
    said = " ".join(done.stdout.split())
    assert "Appendix B.6" in said
    assert "from memory" in said
    assert "5.00 mm (0.197 in)" in said
    data = json.loads(run("check", lean_season, "--json").stdout)
    margins = [f["margin"] for f in data["findings"] if _is_of_the_badge(f)]
    assert margins
    assert all(abs(margin + 5.0) < 0.01 for margin in margins)


def test_a_broken_limit_still_makes_a_proof_and_says_so(
    run: Run, lean_season: Path, tmp_path: Path
) -> None:
    _lower_the_face_badge(run, lean_season, 5.0)
    done = run("proof", lean_season, "-o", "out", "--order", "Q-101")
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    with pymupdf.open(tmp_path / "out" / "Q-101-proof.pdf") as pdf:
        words = " ".join(" ".join(page.get_text() for page in pdf).split())
    assert re.search(r"[1-9]\d* of \d+ checks do not hold; they are listed first", words)
