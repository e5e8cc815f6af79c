"""Every size and hand, written to a folder."""

from pathlib import Path

from livery.jobs.naming import file_stem
from livery.jobs.range_drawings import range_section, range_tasks
from livery.jobs.survey import survey


def test_chart_rules_and_a_plan_of_every_size_and_hand_are_written(
    demo_season: Path, tmp_path: Path
) -> None:
    found = survey(demo_season)
    out = tmp_path / "out"
    figures = tuple(figure for task in range_tasks(found, out) for figure in task())
    section = range_section(figures)
    for figure in figures:
        assert (out / figure.image).is_file(), figure.image
        assert (out / figure.href).is_file(), figure.href
    assert [figure.caption.partition(":")[0] for figure in section.figures[:1]] == ["Grading chart"]
    plans = sorted(path.name for path in (out / "plans").iterdir())
    assert {f"plans/{name}" for name in plans} <= set(section.files)
    assert (out / "range" / "grading.pdf").read_bytes().startswith(b"%PDF")
    assert (out / "range" / "rules.pdf").read_bytes().startswith(b"%PDF")
    assert len(plans) == len(found.of_range)
    assert "sedge-harrow-left.svg" in plans
    assert "sedge-gloves-men-right-left-glove.svg" in plans
    assert (out / "range" / "grading.svg").is_file()


def test_keys_that_differ_have_files_of_their_own() -> None:
    keys = ["Q-1", "Q_1", "Q.1", "q1", "a"]
    assert len({file_stem(key) for key in keys}) == len(keys)
    assert file_stem("../é") == "order"
    assert file_stem("a/b") == "a-b"
