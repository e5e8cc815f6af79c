"""What came before is found again by what it is, and never taken for what differs."""

from livery.crew.fingerprint import Digester
from livery.crew.parcels import Packer, unpack
from livery.jobs.player_papers import order_tasks
from livery.jobs.sheet_files import sheet_tasks
from livery.jobs.survey import Survey
from livery.placement import Layout
from livery.sheet import SheetRun


def test_shared_values_are_one_and_others_stay_apart(demo: Survey, demo_run: SheetRun) -> None:
    tasks = [*order_tasks(demo, "", {}), *sheet_tasks(demo_run)]
    sent = [[unpack(packer.pack(task.given)) for task in tasks] for packer in (Packer(), Packer())]
    for task, first, again in zip(tasks, *sent, strict=True):
        assert Digester().digest(first) == Digester().digest(again) == Digester().digest(task.given)
        for value, other in zip(_values(first), _values(again), strict=True):
            words = getattr(getattr(value, "decal", value), "texts", ())
            assert (value is other) == (not words)
    assert all(_values(given) for given in sent[0])
    known = {id(value): value for given in sent[0] for value in _values(given)}
    digests = [Digester().digest(value) for value in known.values()]
    assert len(set(digests)) == len(digests)


def _values(given: tuple[object, ...]) -> list[object]:
    """What may come again, of what a task is given."""
    found: list[object] = []
    for part in given:
        if isinstance(part, SheetRun):
            found += [part.palette, part.profile, *part.decals]
        elif isinstance(part, tuple):
            layouts = [one for one in part if isinstance(one, Layout)]
            found += [one.item for one in layouts]
            found += [place.decal for one in layouts for place in one.placements]
    return found
