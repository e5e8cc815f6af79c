"""Every reader of files that users give, and what it may make of any bytes.

A reader gives a value, or raises a ``LiveryError`` whose faults name the file, what was found
and how to mend it. Anything else is a fault of livery's own.
"""

import zlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import reader_seeds as seeds
from palette_file import load_palette

from livery.artwork import read_artwork, read_outline
from livery.artwork.decals import make_decal
from livery.capture import read_photograph, read_regions, read_target
from livery.capture.linear_light import linear_of
from livery.colour.camera_profile import read_rgb_profile
from livery.errors import InputError, LiveryError
from livery.jobs.photographs import parse_corners
from livery.jobs.recordkeeping import read_receipt
from livery.kit.outline import find_outline_faults, place_outline
from livery.limits.books import read_book
from livery.match import compare, read_capture
from livery.records.book import read_book as read_ledger_book
from livery.records.keys import SecretKey
from livery.records.ledger import entry_from_json, find_troubles
from livery.scheme import bat_sizes, load_season
from livery.scheme.exchange import read_light, settle
from livery.scheme.exchange.reading import read_colours
from livery.scheme.model import DecalSpec, Palette, Role
from livery.sheet.keeping import recall_placements
from livery.units import parse_length_mm, parse_weight_g


class UnclearError(AssertionError):
    """An error that does not say where, what or how to mend it."""


@dataclass(frozen=True)
class Reader:
    """One kind of file.

    Attributes:
        file: the name the bytes are written under.
        seeds: good files.
        read: reads the file and puts the value to its first use.
        refuses: errors beside LiveryError that the reader's own documentation promises.
    """

    name: str
    file: str
    seeds: tuple[bytes, ...]
    read: Callable[[Path], object]
    refuses: tuple[type[Exception], ...] = ()


def prepare(folder: Path) -> None:
    """Write the good files that others refer to."""
    (folder / "palette.toml").write_text(seeds.PALETTE, "utf-8")
    (folder / "decal.svg").write_text(seeds.DECAL, "utf-8")


def take(reader: Reader, folder: Path, data: bytes) -> bool:
    """Let a reader read some bytes: true for a value, false for a clear error.

    Raises:
        Exception: neither.
    """
    path = folder / reader.file
    path.write_bytes(data)
    try:
        reader.read(path)
    except LiveryError as error:
        check_clear(error)
        return False
    except reader.refuses:
        return False
    return True


def check_clear(error: LiveryError) -> None:
    """Insist that an error can be printed, and says where, what, and how to mend it.

    Raises:
        UnclearError: it does not.
    """
    text = str(error)
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise UnclearError("its text cannot be printed") from error
    strange = next((c for c in text if (ord(c) < 32 and c not in "\n\t") or c == "\x7f"), None)
    if strange is not None:
        raise UnclearError(f"its text would act on the terminal: {strange!r}") from error
    if isinstance(error, InputError) and not error.faults:
        raise UnclearError("it has no faults") from error
    for fault in getattr(error, "faults", ()):
        if not (fault.file and fault.found.strip() and fault.mend.strip()):
            raise UnclearError(f"a part is empty: {fault!r}") from error
        if fault.line is not None and fault.line < 1:
            raise UnclearError(f"there is no line {fault.line}") from error


@cache
def _palette(folder: Path) -> Palette:
    return load_palette(folder / "palette.toml")


def _read_decal(path: Path) -> object:
    artwork = read_artwork(path)
    words = tuple((field, "Tamsin Orrowby") for field in artwork.fields)
    spec = DecalSpec("mark", "Mark", path, 52.0, Role.LETTERING, 0.1, text=words)
    return make_decal(artwork, spec, _palette(path.parent), words)


def _read_outline(path: Path) -> object:
    dims = bat_sizes()["short-handle"]
    return find_outline_faults(dims, place_outline(dims, read_outline(path)))


def _read_capture(path: Path) -> object:
    capture = read_capture(path)
    if zlib.crc32(path.read_bytes()) % 8 == 0:  # judging takes far longer than reading
        compare([capture], _palette(path.parent))
    return capture


def _read_colours(path: Path) -> object:
    return settle(read_colours(path))


def _read_picture(path: Path) -> object:
    photograph = read_photograph(path)
    if photograph.profile is not None:
        linear_of(photograph)(photograph.codes[:2])
    return photograph


def _read_profile(path: Path) -> object:
    return read_rgb_profile(path.read_bytes()).linearise(np.linspace(0.0, 1.0, 30).reshape(-1, 3))


def _read_placements(path: Path) -> object:
    text = path.read_bytes().decode("utf-8", errors="replace")
    return recall_placements(text, "asked", ("mark",))


def _read_ledger(path: Path) -> object:
    text = path.read_bytes().decode("utf-8", errors="replace")
    entries = [entry_from_json(line) for line in text.splitlines()]
    return find_troubles(entries), read_ledger_book(entries)


def _read_flags(path: Path) -> object:
    lines = path.read_bytes().decode("utf-8", errors="replace").split("\n")
    corners, *lengths = lines
    for line in lengths:
        for read in (parse_length_mm, parse_weight_g):
            try:
                assert np.isfinite(read(line))
            except ValueError as error:
                assert str(error)
    return parse_corners(corners)


def _read_key(path: Path) -> object:
    return SecretKey.from_pem(path.read_bytes()).sign(b"")


def _text(*texts: str) -> tuple[bytes, ...]:
    return tuple(text.encode("utf-8") for text in texts)


_VALUE = (ValueError,)
READERS = {
    reader.name: reader
    for reader in (
        Reader("season", "season.toml", _text(seeds.SEASON), load_season),
        Reader("palette", "own.toml", _text(seeds.PALETTE), load_palette),
        Reader("decal", "own.svg", _text(seeds.DECAL), _read_decal),
        Reader("outline", "outline.svg", _text(seeds.OUTLINE), _read_outline),
        Reader("rules", "book.toml", _text(seeds.RULES), read_book),
        Reader("cgats", "m.txt", seeds.cgats(), _read_colours),
        Reader("cxf", "m.cxf", seeds.cxf(), _read_colours),
        Reader("light", "lamp.txt", _text(seeds.LIGHT), read_light),
        Reader("target", "target.toml", _text(seeds.TARGET), read_target),
        Reader("regions", "regions.toml", _text(seeds.REGIONS), read_regions),
        Reader("capture", "a.capture.json", seeds.captures(), _read_capture),
        Reader("jpeg", "a.jpg", seeds.jpegs(), _read_picture),
        Reader("png", "a.png", seeds.pngs(), _read_picture),
        Reader("tiff", "a.tif", seeds.tiffs(), _read_picture),
        Reader("profile", "a.icc", (seeds.profile(),), _read_profile),
        Reader("placements", "placements.json", seeds.placements(), _read_placements),
        Reader("ledger", "ledger.txt", seeds.ledgers(), _read_ledger, _VALUE),
        Reader("receipt", "receipt.json", seeds.receipts(), read_receipt),
        Reader("key", "key.pem", seeds.pems(), _read_key, _VALUE),
        Reader("flags", "flags.txt", _text(seeds.FLAGS), _read_flags),
    )
}
