"""Every reader of files that users give, and what it may make of any bytes.

A reader gives a value, or raises a ``LiveryError`` whose faults name the file, what was found
and how to mend it. Anything else is a fault of livery's own.
"""

import shutil
import zlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import page_reader
import picture_seeds as pictures
import reader_seeds as seeds
import record_readers as kept
import record_seeds
from palette_file import load_palette
from pydantic import TypeAdapter, ValidationError
from small_season import SmallSeason

from livery.artwork import read_artwork, read_outline
from livery.artwork.decals import make_decal
from livery.capture import read_bench, read_photograph, read_regions, read_target
from livery.capture.bench_profile import try_bench
from livery.capture.colour_fit import fit_form
from livery.capture.colour_model import Form
from livery.capture.linear_light import linear_of
from livery.colour.camera_profile import read_rgb_profile
from livery.colour.press import read_press_profile
from livery.drawing import Drawing, Label, Layer, LayerKind, Page
from livery.errors import InputError, LiveryError
from livery.jobs.colour_files import FileTerms, write_palette
from livery.jobs.photographs import parse_corners
from livery.jobs.recordkeeping import keep_capture, read_receipt
from livery.kit.outline import find_outline_faults, place_outline
from livery.limits.books import read_book
from livery.match import read_capture
from livery.match.patch_names import parse_patch
from livery.match.print_check import check_print
from livery.match.print_model import PatchReading
from livery.output import render_pdf, render_svg
from livery.output.paints import picture_transform
from livery.records.book import read_book as read_ledger_book
from livery.records.history import Occasion
from livery.records.keys import SecretKey
from livery.records.ledger import entry_from_json, find_troubles
from livery.scheme import bat_sizes, load_season
from livery.scheme.exchange import read_light, settle
from livery.scheme.exchange.reading import read_colours
from livery.scheme.fields import Name
from livery.scheme.model import DecalSpec, Palette, Role, Scheme
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
    if _one_in(8, path):  # judging and keeping take far longer than reading
        photo = path.with_name("kept.jpg")
        photo.write_bytes(pictures.jpegs()[0])
        season, store = _season(path.parent), kept.empty_store(path.parent)
        keep_capture(season, store, photo, path, Occasion("o-1", "", "", "2027-01-18"))
    return capture


def _one_in(count: int, path: Path) -> bool:
    return zlib.crc32(path.read_bytes()) % count == 0


@cache
def _season(folder: Path) -> Scheme:
    return load_season(SmallSeason().write(folder / "small"))


def _read_colours(path: Path) -> object:
    settled = settle(read_colours(path))
    palette = _palette(path.parent)
    named = [(parse_patch(one.name, palette), one.lab) for one in settled.readings]
    known = [PatchReading("1", p.inks, p.tint, lab, np.eye(3), p.place) for p, lab in named if p]
    if known:
        check_print(known, palette)
    if _one_in(8, path):
        made = path.with_name("made.toml")
        write_palette(path, made, "Made", FileTerms())
        try:
            load_palette(made)
        except LiveryError as error:
            raise AssertionError("a palette of livery's own cannot be read") from error
    return settled


def _read_bench(path: Path) -> object:
    folder = path.with_name("bench")
    folder.mkdir(exist_ok=True)
    shutil.copyfile(path, folder / path.name)
    shots = read_bench(folder)
    if shots and _one_in(4, path):
        own = seeds.bench_patches()
        names = [f"p{number}" for number in range(len(own.lab))]
        fit = fit_form(Form(0, 0, curve=False, roots=False), own)
        try_bench(fit, own, names, "own", [replace(shots[0], source=str(n)) for n in range(4)])
    return shots


def _read_press(path: Path) -> object:
    press = read_press_profile("own", path.read_bytes())
    press.cmyk_to_lab(np.linspace(0.0, 1.0, 40).reshape(-1, 4))
    if _one_in(16, path):
        press.lab_to_cmyk((50.0, 10.0, -20.0))
    return picture_transform(press)


def _read_words(path: Path) -> object:
    """A player's name as a decal shows it and as papers do."""
    name = TypeAdapter[str](Name).validate_python(path.read_bytes().decode("utf-8", "replace"))
    artwork = read_artwork(path.with_name("decal.svg"))
    words = tuple((field, name) for field in artwork.fields)
    spec = DecalSpec("mark", "Mark", path, 52.0, Role.LETTERING, 0.1, text=words)
    label = Label(name, 10.0, 10.0, 9.0)
    page = Page(100.0, 50.0, (Layer("words", LayerKind.INFORMATION, (label,)),))
    drawing = Drawing(name, (page,))
    made = make_decal(artwork, spec, _palette(path.parent), words)
    return made, render_pdf(drawing), render_svg(drawing, 0)


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
_NOT_SENT = (page_reader.NotSentError,)
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
        Reader("jpeg", "a.jpg", pictures.jpegs(), _read_picture),
        Reader("png", "a.png", pictures.pngs(), _read_picture),
        Reader("tiff", "a.tif", pictures.tiffs(), _read_picture),
        Reader("heic", "a.heic", pictures.heics(), _read_picture),
        Reader("raw", "a.dng", pictures.raws(), _read_picture),
        Reader("profile", "a.icc", (pictures.profile(),), _read_profile),
        Reader("placements", "placements.json", seeds.placements(), _read_placements),
        Reader("ledger", "ledger.txt", seeds.ledgers(), _read_ledger, _VALUE),
        Reader("receipt", "receipt.json", seeds.receipts(), read_receipt),
        Reader("key", "key.pem", seeds.pems(), _read_key, _VALUE),
        Reader("flags", "flags.txt", _text(seeds.FLAGS), _read_flags),
        Reader("press", "own.icc", pictures.presses(), _read_press),
        Reader("bench", "b.capture.json", seeds.bench(), _read_bench),
        Reader("words", "words.txt", _text(*seeds.WORDS), _read_words, (ValidationError,)),
        Reader("request", "request.txt", page_reader.requests(), page_reader.answer, _NOT_SENT),
        Reader("backup", "backup.tar", record_seeds.backups(), kept.read_backup),
        Reader("database", "records.sqlite", record_seeds.databases(), kept.read_database),
        Reader("head", "ledger-head.json", record_seeds.heads(), kept.read_head),
        Reader("likeness", "looks.json", record_seeds.likenesses(), kept.read_likeness, _VALUE),
        Reader("listing", ".livery-files.json", record_seeds.listings(), kept.read_listing),
        Reader("built", ".livery-build.json", record_seeds.build_records(), kept.read_build_record),
    )
}
