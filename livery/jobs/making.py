"""What a task makes, and the folder it comes to lie in: made anew, or left as an earlier build's.

A task's files are left as they lie only when an earlier build made them by the same code of the
same values, by digest, and they are still what it wrote, by digest again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from contextlib import closing
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from livery.crew import Alone, Crew, Task, Watch, do_each, unwatched
from livery.crew.fingerprint import Digester, code_fingerprint
from livery.crew.memory import TIDIES, give_back
from livery.drawing import Drawing
from livery.jobs.index import Figure
from livery.writing import StagedFolder, write_streamed, write_whole

if TYPE_CHECKING:
    from livery.output import Binder, Part

RECORD = Path(".livery-build.json")
_FORMAT = 1


@dataclass(frozen=True, slots=True)
class Made:
    """What a task makes.

    Attributes:
        files: name relative to the results' folder, with ``/``, and the whole content.
        figures: what the index page shows of them.
        words: what was found, where that is to be told or reckoned with.
        part: pages of a document that many tasks make (see ``Bound``).
    """

    files: tuple[tuple[str, bytes], ...] = ()
    figures: tuple[Figure, ...] = ()
    words: str = ""
    part: Part | None = None


@dataclass(frozen=True, slots=True)
class Bound:
    """A PDF whose pages are the parts that tasks make, in their order.

    Attributes:
        name: the file's, relative to the results' folder, with ``/``.
        head: its title, date and output condition.
        given: all else that decides its content.
    """

    name: str
    head: Drawing
    given: object


@dataclass(frozen=True, slots=True)
class Kept:
    """What one task made, as it is recorded: files by name and SHA-256."""

    files: tuple[tuple[str, str], ...]
    figures: tuple[Figure, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True)
class Record:
    """What a build was given and what it made, to be left beside its results.

    Attributes:
        asked: digest of the options and the code.
        inputs: name relative to the season's folder and SHA-256 of every file read.
        limits_broken: how many it found.
        files: name and SHA-256 of every file it left but this.
        tasks: by digest of code and values.
    """

    asked: str = ""
    inputs: tuple[tuple[str, str], ...] = ()
    limits_broken: int = 0
    files: dict[str, str] = field(default_factory=dict)
    tasks: dict[str, Kept] = field(default_factory=dict)


class Workbench:
    """Where one build's tasks are done and its files laid down.

    Args:
        staged: the results' folder.
        crew: who works.
        watch: told of progress.
        earlier: what an earlier build in the same folder recorded.
    """

    def __init__(
        self,
        staged: StagedFolder,
        crew: Crew | None = None,
        watch: Watch = unwatched,
        earlier: Record | None = None,
    ) -> None:
        self._staged = staged
        self._crew = crew or Alone()
        self._watch = watch
        self._standing = staged.find_standing() if earlier is not None else {}
        noted = RECORD.as_posix() in self._standing  # a record that was changed tells nothing
        self._earlier = earlier.tasks if earlier is not None and noted else {}
        self._digester = Digester()
        self.made: dict[str, Kept] = {}

    def do(self, tasks: Sequence[Task[Made]], stage: str, bound: Bound | None = None) -> list[Kept]:
        """Have each task's files in the folder, made anew or left; in the tasks' order.

        Args:
            tasks: independent of one another.
            stage: what to tell of them.
            bound: what their parts make. Where it does not stand, none of its parts does: all
                tasks are done anew.

        Raises:
            LiveryError: a task failed, or a file cannot be written.
        """
        whole = "" if bound is None else self._key(bound)
        binder = None if bound is None or self._stands(whole) else _start(bound)
        keys = [self._key(task.call, task.given) for task in tasks]
        kept = {key: self._earlier[key] for key in keys if binder is None and self._stands(key)}
        fresh = [task for task, key in zip(tasks, keys, strict=True) if key not in kept]
        results = do_each(fresh, crew=self._crew, stage=stage, watch=self._watch)
        done = []
        with closing(results):
            for number, key in enumerate(keys):
                if number % TIDIES == 0:
                    give_back()
                one = self._leave(kept[key]) if key in kept else self._lay(next(results), binder)
                self.made[key] = one
                done.append(one)
        if bound is not None:
            self.made[whole] = (
                self._bind(bound, binder) if binder else self._leave(self._earlier[whole])
            )
        del binder
        give_back()
        return done

    def _key(self, *values: object) -> str:
        return self._digester.digest(code_fingerprint(), *values)

    def _bind(self, bound: Bound, binder: Binder) -> Kept:
        write_streamed(self._staged.path / bound.name, binder.bind)
        return Kept(((bound.name, self._staged.digest(Path(bound.name))),))

    def _stands(self, key: str) -> bool:
        if key not in self._earlier:
            return False
        return all(self._standing.get(name) == digest for name, digest in self._earlier[key].files)

    def _leave(self, kept: Kept) -> Kept:
        for name, digest in kept.files:
            self._staged.keep(Path(name), digest)
        return kept

    def _lay(self, made: Made, binder: Binder | None) -> Kept:
        if binder is not None and made.part is not None:
            binder.add(made.part)
        digests = []
        for name, data in made.files:
            write_whole(self._staged.path / name, data)
            digests.append((name, hashlib.sha256(data).hexdigest()))
        return Kept(tuple(digests), made.figures, made.words)


def _start(bound: Bound) -> Binder:
    from livery.output import Binder  # not for a build with nothing to do

    return Binder(bound.head)


def files_below(folder: Path) -> tuple[tuple[str, bytes], ...]:
    """Every file below a folder, by name, but what is hidden at its ends."""
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    shown = [path for path in found if not path.name.startswith(".")]
    return tuple((path.relative_to(folder).as_posix(), path.read_bytes()) for path in shown)


def record_text(record: Record) -> str:
    """A record as JSON text."""
    return json.dumps({"format": _FORMAT, **asdict(record)}, indent=1, ensure_ascii=False) + "\n"


def read_record(folder: Path) -> Record | None:
    """What the last build recorded in a folder; None where there is none to be understood."""
    try:
        data = json.loads((folder / RECORD).read_text("utf-8"))
        if data.pop("format") != _FORMAT:
            return None
        tasks = {key: _kept(one) for key, one in data.pop("tasks").items()}
        record = Record(**data, tasks=tasks)
        return replace(record, inputs=tuple((str(n), str(d)) for n, d in record.inputs))
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


def _kept(one: dict[str, Any]) -> Kept:
    files = tuple((str(name), str(digest)) for name, digest in one["files"])
    return Kept(files, tuple(Figure(**figure) for figure in one["figures"]), one["words"])
