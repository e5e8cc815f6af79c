"""What came before is found again by what it is, and never taken for what differs."""

import pickle
from pathlib import Path

from livery.jobs.sharing import known_layouts, known_run
from livery.jobs.survey import survey
from livery.sheet import make_sheets


def test_equal_decals_are_one_and_others_stay_apart(demo_season: Path) -> None:
    told: list[tuple[str, int, int]] = []
    found = survey(demo_season, lambda *stage: told.append(stage))
    laid_out = [(done, of) for stage, done, of in told if stage == "laying out"]
    assert laid_out == [(n + 1, len(found.layouts)) for n in range(len(found.layouts))]
    layouts = tuple(layout for layout in found.layouts if layout.order)[:2]
    first, again = (known_layouts(pickle.loads(pickle.dumps(layouts))) for _ in range(2))
    pairs = [
        (one.decal, other.decal)
        for layout, same in zip(first, again, strict=True)
        for one, other in zip(layout.placements, same.placements, strict=True)
    ]
    assert {one.key for one, other in pairs if one is other} == {
        one.key for one, _ in pairs if not one.texts
    }
    assert all(one.key == other.key for one, other in pairs)
    run = make_sheets(found.scheme, found.layouts)
    runs = [known_run(pickle.loads(pickle.dumps(run))) for _ in range(2)]
    for one, other, own in zip(runs[0].decals, runs[1].decals, run.decals, strict=True):
        assert (one is other) == (not own.decal.texts)
        assert (one.key, one.scale, one.mirrored) == (own.key, own.scale, own.mirrored)
