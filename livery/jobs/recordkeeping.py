"""Records: captures kept with their photographs and verdicts, looked over, copied and plotted."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from livery.capture import capture_to_json
from livery.capture.model import Capture
from livery.capture.report import capture_digest
from livery.errors import Fault, InputError
from livery.jobs.photographs import compare_in_season
from livery.jobs.season_records import records_folder
from livery.match import read_capture
from livery.match.model import Comparison
from livery.output import write_svg
from livery.records.canonical import sha256
from livery.records.evidence import kind_of
from livery.records.export import back_up, export_csv, export_json, restore
from livery.records.history import (
    Occasion,
    TrendPoint,
    read_trend,
    save_capture,
)
from livery.records.ledger import Entry, Trouble, entry_from_json
from livery.records.looks import LookAlike, find_look_alike
from livery.records.store import Store
from livery.records.trend_picture import MOST_POINTS, trend_drawing
from livery.scheme.model import Palette, Scheme
from livery.writing import StagedFolder, write_whole

_LARGEST_RECEIPT = 1_000_000  # bytes [source: workshop-choice]
_DIGEST = re.compile("[0-9a-f]{64}")  # of a photograph; a capture of none names a file instead
PHOTOGRAPHS = ("image/jpeg", "image/png", "image/tiff")


@dataclass(frozen=True, slots=True)
class Kept:
    """A capture as it was entered.

    Attributes:
        looks_like: another whose photograph this one may be a copy of.
    """

    number: int
    comparisons: tuple[Comparison, ...]
    looks_like: LookAlike | None = None


def keep_capture(
    scheme: Scheme, store: Store, photo: Path, capture_file: Path, occasion: Occasion
) -> Kept:
    """Enter a capture file with its photograph; the verdicts are reached anew.

    Args:
        scheme: the season it is judged by.
        store: its records.
        photo: the photograph, the very file that was measured.
        capture_file: as ``livery measure`` wrote it.
        occasion: bat, bench, batch and date.

    Raises:
        InputError: the photograph is not the one that was measured, the capture was changed
            since, or a file cannot be read.
    """
    capture = read_capture(capture_file)
    data = json.loads(capture_file.read_text("utf-8-sig"))
    if data.get("digest", "") not in ("", capture_digest(data)):
        found, mend = "it was changed since it was measured", "Keep what livery measure wrote"
        raise InputError(Fault(str(capture_file), "digest", None, found, mend))
    try:
        if photo.exists() and not photo.is_file():
            fault = Fault(str(photo), "", None, "this is not a plain file", "Give the photograph")
            raise InputError(fault)
        picture = photo.read_bytes()
    except OSError as error:
        fault = Fault(str(photo), "", None, f"cannot be read ({error.strerror})", "Check the path")
        raise InputError(fault) from error
    comparisons = compare_in_season(scheme, [capture])
    return enter_capture(store, (photo.name, picture), (capture, data), comparisons, occasion)


def keep_measured(
    store: Store,
    photo: tuple[str, bytes],
    capture: Capture,
    comparisons: tuple[Comparison, ...],
    occasion: Occasion,
) -> Kept:
    """Enter a capture just measured and judged; as ``keep_capture``."""
    return enter_capture(store, photo, (capture, capture_to_json(capture)), comparisons, occasion)


def enter_capture(
    store: Store,
    photo: tuple[str, bytes],
    capture: tuple[Capture, dict[str, object]],
    comparisons: tuple[Comparison, ...],
    occasion: Occasion,
) -> Kept:
    """Enter a capture: photograph (name, bytes), what it says as a value and as data, verdicts.

    Raises:
        InputError: the bytes are no photograph, not the one that was measured, or kept already
            as evidence of another bat.
    """
    name, picture = photo
    value, data = capture
    if kind_of(picture) not in PHOTOGRAPHS:
        raise InputError(Fault(name, "", None, "not a photograph", "Give a JPEG, PNG or TIFF"))
    digest = sha256(picture)
    sources = {sample.source for sample in value.samples if _DIGEST.fullmatch(sample.source)}
    if not sources | ({value.source} if value.source else set()) <= {digest}:
        found = "not the photograph that was measured"
        raise InputError(Fault(name, "", None, found, "Give that one, or measure this one"))
    if not occasion.bat.strip():
        raise InputError(Fault("--bat", "", None, "no bat is named", "Name the order or the bat"))
    dated = replace(occasion, date=_sortable(occasion.date))
    number = save_capture(store, picture, name, data, comparisons, dated)
    return Kept(
        number, comparisons, find_look_alike(store, digest, str(data.get("fingerprint", "")))
    )


def _sortable(date: str) -> str:
    """An ISO 8601 date in the one spelling whose order is that of time: UTC where it has a zone.

    Raises:
        InputError: it is none.
    """
    try:
        moment = datetime.fromisoformat(date)
    except ValueError as error:
        found = f"{date[:40]!r} is not an ISO 8601 date"
        raise InputError(Fault("--date", "", None, found, "Write 2027-01-18")) from error
    if moment.tzinfo is not None:
        return moment.astimezone(UTC).isoformat(timespec="seconds")
    timed = ":" in date or "T" in date
    return moment.isoformat(timespec="seconds") if timed else moment.date().isoformat()


def verify_records(store: Store, receipts: Sequence[Path] = ()) -> tuple[Trouble, ...]:
    """Everything wrong with ledger, evidence and captures, held also against receipts.

    Raises:
        InputError: a receipt cannot be read, or the ledger cannot.
    """
    return store.verify([read_receipt(path) for path in receipts])


def read_receipt(path: Path) -> Entry:
    """A receipt as ``livery sign agree`` wrote it.

    Raises:
        InputError: it cannot be read, or is none.
    """
    try:
        if path.exists() and not path.is_file():
            raise ValueError("it is not a plain file")
        if path.stat().st_size > _LARGEST_RECEIPT:
            raise ValueError(f"it has {path.stat().st_size:,} bytes")
        return entry_from_json(path.read_text("utf-8"))
    except (OSError, ValueError) as error:
        fault = Fault(str(path), "", None, f"not a receipt ({error})", "Choose another file")
        raise InputError(fault) from error


def export_records(store: Store, out: Path) -> tuple[Path, ...]:
    """Write every table as CSV and all of them as one JSON file, whole or not at all.

    Raises:
        OutputError: they cannot be written.
    """
    names = [Path("records.json")]
    with StagedFolder(out, "records") as staged:
        write_whole(staged.path / "records.json", export_json(store))
        for name, text in export_csv(store).items():
            names.append(Path(f"{name}.csv"))
            write_whole(staged.path / f"{name}.csv", text)
    return tuple(names)


def back_up_records(store: Store, path: Path) -> None:
    """Write everything to one file.

    Raises:
        InputError: some evidence is missing or changed.
        OutputError: it cannot be written.
    """
    back_up(store, path)


def restore_records(season: Path, backup: Path, database: str | None = None) -> Path:
    """Make a season's records from a backup; nothing is left behind when it does not stand.

    Raises:
        InputError: it is no backup, or its content does not stand.
        OutputError: there are records already.
    """
    folder = records_folder(season)
    restore(backup, folder, database).close()
    return folder


def plot_trends(
    store: Store, scheme: Scheme, out: Path, ink: str | None = None
) -> tuple[Path, ...]:
    """Write the colours of good captures over time as SVG, a page for each ink.

    Raises:
        InputError: the palette has no such ink.
        OutputError: they cannot be written.
    """
    drawing = trend_drawing(*trend_points(store, scheme, ink))
    with StagedFolder(out, "trends") as staged:
        files = write_svg(drawing, staged.path / "trends.svg")
        return tuple(path.relative_to(staged.path) for path in files)


def trend_points(
    store: Store, scheme: Scheme, ink: str | None
) -> tuple[tuple[TrendPoint, ...], Palette, dict[str, str]]:
    """What a plot of one ink or all takes: samples, palette, and the items' names by key.

    Raises:
        InputError: the palette has no such ink.
    """
    palette = scheme.palette
    if ink is not None and ink not in palette.keys:
        known = ", ".join(sorted(palette.keys))
        raise InputError(Fault("--ink", ink[:80], None, "no such ink", f"Choose of {known}"))
    return read_trend(store, ink, MOST_POINTS), palette, scheme.item_titles
