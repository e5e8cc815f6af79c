"""Decals of a season: artwork with its inks looked up, its words set, at its nominal size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path as FilePath

from livery.artwork.lettering import fill_template, set_line
from livery.artwork.model import Artwork, Decal, Drawn, InkRegion, Lettering
from livery.artwork.reader import read_artwork
from livery.errors import ArtworkError, Fault
from livery.geometry import Affine
from livery.scheme.faults import suggest
from livery.scheme.model import DecalSpec, Palette


class DecalMaker:
    """Makes decals, reading each artwork file once and setting each wording once.

    An instance is the ``decal_for`` that layouts take.
    """

    def __init__(self, palette: Palette) -> None:
        self._palette = palette
        self._artworks: dict[FilePath, Artwork] = {}
        self._decals: dict[tuple[DecalSpec, tuple[tuple[str, str], ...]], Decal] = {}

    def __call__(self, spec: DecalSpec, fields: Mapping[str, str]) -> Decal:
        """A decal with an order's words, its outline ``spec.width_mm`` wide.

        Args:
            spec: the decal as the season names it.
            fields: values of player, size, weight, model, number, hand; absent ones are empty.

        Raises:
            ArtworkError: the file cannot be read, names an ink the palette has not, or cannot be
                set.
        """
        words = _words(spec, fields)
        if (spec, words) not in self._decals:
            if spec.artwork not in self._artworks:
                self._artworks[spec.artwork] = read_artwork(spec.artwork)
            artwork = self._artworks[spec.artwork]
            self._decals[spec, words] = make_decal(artwork, spec, self._palette, words)
        return self._decals[spec, words]


def make_decal(
    artwork: Artwork, spec: DecalSpec, palette: Palette, words: tuple[tuple[str, str], ...]
) -> Decal:
    """A decal from artwork already read.

    Args:
        artwork: as drawn.
        spec: the decal as the season names it.
        palette: the season's inks.
        words: (field, words) to set.

    Raises:
        ArtworkError: an ink the palette has not, or lettering that cannot be set or may mirror.
    """
    faults = [
        *_ink_faults(artwork, palette),
        *_field_faults(artwork, spec),
        *_mirror_faults(artwork, spec),
    ]
    if faults:
        raise ArtworkError(*faults)
    x0, y0, x1, y1 = artwork.outline.bounds()
    scale = spec.width_mm / (x1 - x0)
    nominal = Affine.scaling(scale) @ Affine.translation(-(x0 + x1) / 2, -(y0 + y1) / 2)
    regions = (_region(item, artwork, dict(words), nominal) for item in artwork.items)
    return Decal(
        key="#".join([spec.key, *filter(None, [" / ".join(text for _, text in words)])]),
        name=spec.name,
        regions=tuple(region for region in regions if region is not None),
        outline=artwork.outline.transformed(nominal),
        width_mm=spec.width_mm,
        height_mm=(y1 - y0) * scale,
        thickness_mm=spec.thickness_mm,
        role=str(spec.role),
        may_mirror=spec.may_mirror,
        texts=words,
    )


def _words(spec: DecalSpec, fields: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    words = []
    for field, template in spec.text:
        try:
            words.append((field, fill_template(template, fields)))
        except ValueError as error:
            place = f"decal {spec.key}, text.{field}"
            raise ArtworkError(
                Fault(str(spec.artwork), place, None, str(error), "Mend the template")
            ) from None
    return tuple(words)


def _ink_faults(artwork: Artwork, palette: Palette) -> list[Fault]:
    known = [ink.key for ink in palette.inks]
    faults = []
    for item in artwork.items:
        if item.ink not in known:
            mend = suggest(item.ink, known, "inks of the palette")
            found = f"the palette has no ink {item.ink[:40]!r}"
            faults.append(Fault(str(artwork.file), item.place, item.line, found, mend))
    return faults[:20]


def _field_faults(artwork: Artwork, spec: DecalSpec) -> list[Fault]:
    given = [field for field, _ in spec.text]
    faults = []
    for item in artwork.items:
        if isinstance(item, Lettering) and item.field and item.field not in given:
            found = f"decal {spec.key!r} says nothing for the field {item.field[:40]!r}"
            mend = f'Add text.{item.field[:40]} = "..." to the decal in the season'
            faults.append(Fault(str(artwork.file), item.place, item.line, found, mend))
    for field in given:
        if field not in artwork.fields:
            found = f"decal {spec.key!r} gives text.{field}, which the artwork does not show"
            mend = f"It shows {', '.join(artwork.fields) or 'no variable text'}"
            faults.append(Fault(str(artwork.file), "", None, found, mend))
    return faults


def _mirror_faults(artwork: Artwork, spec: DecalSpec) -> list[Fault]:
    lettering = [item for item in artwork.items if isinstance(item, Lettering)]
    if not spec.may_mirror or not lettering:
        return []
    found = f"decal {spec.key!r} may mirror, but this lettering would read backwards"
    mend = "Set may_mirror = false on the decal; its place still mirrors"
    return [Fault(str(artwork.file), item.place, item.line, found, mend) for item in lettering[:1]]


def _region(
    item: Drawn | Lettering, artwork: Artwork, words: Mapping[str, str], nominal: Affine
) -> InkRegion | None:
    """An item in its ink, at its nominal size, to which ``nominal`` scales and moves it.

    None where no words are to be set.
    """
    if isinstance(item, Drawn):
        return _drawn_region(item, nominal)
    try:
        return _set_region(item, words[item.field] if item.field else item.words, nominal)
    except ArtworkError as error:
        where = [
            replace(f, file=str(artwork.file), place=place, line=item.line)
            for f in error.faults
            for place in [", ".join(filter(None, (item.place, f.place)))]
        ]
        raise ArtworkError(*where) from None


@lru_cache(maxsize=1024)
def _set_region(item: Lettering, words: str, nominal: Affine) -> InkRegion | None:
    """What is set, once for all the decals that bear the same words: sizes and weights do."""
    line = set_line(item, words)
    if line is None:
        return None
    return InkRegion(item.ink, line.path.transformed(nominal), line.cap_height_mm * nominal.a)


@lru_cache(maxsize=1024)
def _drawn_region(item: Drawn, nominal: Affine) -> InkRegion:
    """What is drawn, once for all the words that may stand beside it."""
    thinnest = None if item.thinnest_mm is None else item.thinnest_mm * nominal.a
    return InkRegion(item.ink, item.path.transformed(nominal), None, thinnest, item.closed)
