"""Every size and hand, written to a folder."""

from livery.jobs.range_drawings import range_section, range_tasks
from livery.jobs.survey import Survey


def test_chart_rules_and_a_plan_of_every_size_and_hand_are_written(demo: Survey) -> None:
    made = [task() for task in range_tasks(demo)]
    files = {name: data for one in made for name, data in one.files}
    figures = tuple(figure for one in made for figure in one.figures)
    section = range_section(figures)
    for figure in figures:
        assert files[figure.image]
        assert files[figure.href]
    assert [figure.caption.partition(":")[0] for figure in section.figures[:1]] == ["Grading chart"]
    plans = [name for name in files if name.startswith("plans/")]
    assert set(plans) <= set(section.files)
    assert files["range/grading.pdf"].startswith(b"%PDF")
    assert files["range/rules.pdf"].startswith(b"%PDF")
    assert len(plans) == len(demo.of_range)
    assert "plans/sedge-harrow-left.svg" in plans
    assert "plans/sedge-gloves-men-right-left-glove.svg" in plans
    assert "range/grading.svg" in files
