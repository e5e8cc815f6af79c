"""An archive judged again: stored captures, each by itself, against a season's aims and tolerances.

Photographs are not touched: what was sampled is in the captures. A batch of captures is read when
its turn comes, so that memory does not grow with the archive.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Sequence
from pathlib import Path
from typing import overload

from livery.capture.model import Capture
from livery.crew import Crew, Task, Watch, do_each, unwatched
from livery.errors import Fault, InputError, TargetError
from livery.jobs.rejudged import Change, Held, Rejudged, Terms
from livery.match import compare, item_names
from livery.match.model import Comparison
from livery.match.reading import parse_capture, read_text
from livery.match.rulings import PairKey, Ruling, rule_each
from livery.records.judgements import KeptCapture, add_judgement, list_numbers, read_kept
from livery.records.store import Store
from livery.scheme.model import Scheme

BATCH = 50  # captures a task; workshop choice
_MOST_FILES = 1_000_000  # of one folder; workshop choice


def find_capture_files(paths: Sequence[Path]) -> tuple[Path, ...]:
    """Files as given, and every ``*.capture.json`` of the folders among them, by name.

    Raises:
        TargetError: a folder holds none, or cannot be looked through.
    """
    found: list[Path] = []
    for path in paths:
        if not path.is_dir():
            found.append(path)
            continue
        try:
            inside = sorted(one for one in path.glob("*.capture.json"))
        except OSError as error:
            raise _refusal(
                path, f"cannot be read ({error.strerror})", "Check its rights"
            ) from error
        if not inside or len(inside) > _MOST_FILES:
            what = f"holds {len(inside):,} captures (*.capture.json)"
            raise _refusal(path, what, "Name a folder that livery measure -o wrote to")
        found += inside
    return tuple(found)


def judge_files(
    scheme: Scheme, files: Sequence[Path], *, crew: Crew | None = None, watch: Watch = unwatched
) -> Generator[Rejudged, None, None]:
    """Judge capture files, each by itself; one that cannot be read is told and passed over."""

    def load(start: int, stop: int) -> tuple[Held, ...]:
        return tuple(_held_file(path) for path in files[start:stop])

    yield from _judge_all(_terms(scheme), len(files), load, crew, watch)


def judge_records(
    scheme: Scheme,
    store: Store,
    bat: str | None = None,
    *,
    keep_as_of: str = "",
    crew: Crew | None = None,
    watch: Watch = unwatched,
) -> Generator[Rejudged, None, None]:
    """Judge the records' captures, each by itself, and tell what changed.

    Args:
        scheme: the season as it is now.
        store: its records.
        bat: only captures of this one.
        keep_as_of: a date, ISO 8601: where something changed, all verdicts of that capture are
            entered beside the earlier ones; "" leaves the records as they are.
        crew: who works.
        watch: told of progress.

    Raises:
        InputError: the date is not later than a judgement that stands.
    """
    numbers = list_numbers(store, bat)

    def load(start: int, stop: int) -> tuple[Held, ...]:
        return tuple(_held_record(one) for one in read_kept(store, numbers[start:stop]))

    terms = _terms(scheme, in_full=bool(keep_as_of))
    for one in _judge_all(terms, len(numbers), load, crew, watch):
        if one.comparisons:
            add_judgement(store, [(int(one.name), one.comparisons)], keep_as_of)
        yield one


def judge_batch(terms: Terms, batch: Sequence[Held]) -> tuple[Rejudged, ...]:
    """Judge some captures, each by itself."""
    read = [_read(held) for held in batch]
    good = [(held, capture) for held, capture in zip(batch, read, strict=True) if capture]
    try:
        rulings = iter(_rule(terms, good))
    except InputError as error:  # one of them names what is no item: find out which
        if len(batch) > 1:
            return tuple(one for held in batch for one in judge_batch(terms, [held]))
        return (_troubled(batch[0], f"{batch[0].name}: {error}"),)
    return tuple(
        _troubled(held, held.trouble or _trouble(held))
        if capture is None
        else _conclude(terms, held, capture, next(rulings))
        for held, capture in zip(batch, read, strict=True)
    )


def _judge_all(
    terms: Terms,
    count: int,
    load: Callable[[int, int], tuple[Held, ...]],
    crew: Crew | None,
    watch: Watch,
) -> Generator[Rejudged, None, None]:
    def tell(stage: str, done: int, total: int) -> None:
        watch(stage, min(done * BATCH, count), count)

    batches = _Batches(terms, count, load)
    for judged in do_each(batches, crew=crew, stage="judging captures", watch=tell):
        yield from judged


class _Batches(Sequence[Task[tuple[Rejudged, ...]]]):
    """Tasks that hold nothing until they are asked for."""

    def __init__(
        self, terms: Terms, count: int, load: Callable[[int, int], tuple[Held, ...]]
    ) -> None:
        self._terms, self._count, self._load = terms, count, load

    def __len__(self) -> int:
        return -(-self._count // BATCH)

    @overload
    def __getitem__(self, index: int) -> Task[tuple[Rejudged, ...]]: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Task[tuple[Rejudged, ...]]]: ...
    def __getitem__(
        self, index: int | slice
    ) -> Task[tuple[Rejudged, ...]] | Sequence[Task[tuple[Rejudged, ...]]]:
        if isinstance(index, slice):
            return [self[at] for at in range(*index.indices(len(self)))]
        if not 0 <= index < len(self):
            raise IndexError(index)
        start, stop = index * BATCH, min((index + 1) * BATCH, self._count)
        name = f"captures {start + 1} to {stop}"
        return Task(name, judge_batch, (self._terms, self._load(start, stop)))


def _terms(scheme: Scheme, *, in_full: bool = False) -> Terms:
    names, titles = item_names(scheme), scheme.item_titles
    return Terms(scheme.palette, scheme.tolerances, names, titles, in_full)


def _held_file(path: Path) -> Held:
    try:
        return Held(str(path), read_text(path, str(path)))
    except TargetError as error:
        return Held(str(path), "", trouble=str(error))


def _held_record(one: KeptCapture) -> Held:
    return Held(str(one.number), one.text, one.bat, one.date, one.rulings)


def _read(held: Held) -> Capture | None:
    if held.trouble:
        return None
    try:
        return parse_capture(held.text, held.name)
    except TargetError:
        return None


def _trouble(held: Held) -> str:
    try:
        parse_capture(held.text, held.name)
    except TargetError as error:
        return str(error)
    return ""


def _rule(terms: Terms, good: Sequence[tuple[Held, Capture]]) -> tuple[tuple[Ruling, ...], ...]:
    known = [{ruling.pair: ruling for ruling in held.rulings or ()} for held, _ in good]
    captures = [capture for _, capture in good]
    return rule_each(captures, terms.palette, terms.tolerances, names=terms.names, known=known)


def _conclude(terms: Terms, held: Held, capture: Capture, rulings: tuple[Ruling, ...]) -> Rejudged:
    changes = () if held.rulings is None else tuple(_changes(held.rulings, rulings))
    comparisons: tuple[Comparison, ...] = ()
    if changes and terms.in_full:
        comparisons = compare(
            [capture], terms.palette, terms.tolerances, names=terms.names, titles=terms.titles
        )
    return Rejudged(held.name, held.bat, held.date, rulings, changes, comparisons)


def _changes(before: Iterable[Ruling], after: Iterable[Ruling]) -> Generator[Change, None, None]:
    old: dict[PairKey, Ruling] = {ruling.pair: ruling for ruling in before}
    new: dict[PairKey, Ruling] = {ruling.pair: ruling for ruling in after}
    for pair in dict.fromkeys([*new, *old]):
        change = Change(old.get(pair), new.get(pair))
        if change.words[0] != change.words[1]:
            yield change


def _troubled(held: Held, trouble: str) -> Rejudged:
    return Rejudged(held.name, held.bat, held.date, trouble=trouble)


def _refusal(path: Path, found: str, mend: str) -> TargetError:
    return TargetError(Fault(str(path), "", None, found, mend))
