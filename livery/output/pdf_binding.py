"""Binds written pages and symbols into one file, with what standards ask beside them."""

from __future__ import annotations

import hashlib
import math
from typing import TYPE_CHECKING, Any, BinaryIO

from livery.colour.press import press_profile
from livery.drawing import A4_MM, Drawing, LayerKind, Page, Spot
from livery.output.checking import drawing_date
from livery.output.lettering import without_controls
from livery.output.pdf_content import PACKED, Content, Form, Part, Stream
from livery.output.pdf_fonts import embed_font
from livery.output.pdf_metadata import Identity, set_metadata
from livery.output.pdf_names import font_name, form_name, picture_name
from livery.output.pdf_resources import (
    colour_spaces,
    embed_picture,
    graphics_states,
    optional_content,
)
from livery.units import mm_to_pt

if TYPE_CHECKING:
    import pikepdf

_LONGEST_PT = 14400.0  # 200 in, annex C.2 [source: iso-32000-1]
_EMPTY = Page(*A4_MM, ())  # of a document without pages [source: workshop-choice]


class Binder:
    """Puts one document together, part by part; it keeps no more of them than the file will hold.

    Args:
        head: title, date, language and output condition of the document.

    Raises:
        ColourError: no usable press profile for the output condition.
    """

    def __init__(self, head: Drawing) -> None:
        import pikepdf

        name = head.output_condition
        self._head = head
        self._press = press_profile(name, head.output_profile) if name else None
        self._pdf = pikepdf.Pdf.new()
        # What every stream may refer to; filled when all parts are there.
        self._shared = {
            key: self._pdf.make_indirect(pikepdf.Dictionary())
            for key in ("/ColorSpace", "/ExtGState", "/Properties", "/Font")
        }
        self._mixed = hashlib.sha256(head.title.encode("utf-8", "surrogatepass"))
        self._forms: dict[str, Any] = {}
        self._spots: dict[str, Spot] = {}
        self._layers: dict[tuple[str, LayerKind], None] = {}
        self._fonts: dict[str, set[str]] = {}
        self._pictures: dict[str, Any] = {}
        self._titles: list[str] = []

    def add(self, part: Part) -> None:
        """Add a part's symbols and pages, after those added before.

        Raises:
            ValueError: a spot has another colour than in an earlier part, or a symbol that the
                part uses is in none yet.
        """
        for form in part.forms:
            self._forms[form.key] = self._make_form(form)
        for page, content in part.pages:
            self._add_page(page, content)

    def bind(self, stream: BinaryIO) -> None:
        """Write the document; nothing can be added after."""
        import pikepdf

        if not self._titles:
            self._add_page(_EMPTY, Stream(()).finish())
        self._fill_shared()
        self._set_outline()
        head = self._head
        title = without_controls(head.title) or "untitled"
        pikepdf.settings.set_flate_compression_level(PACKED)
        facts = (head.language, drawing_date(head), self._mixed.digest(), self._press)
        set_metadata(self._pdf, Identity(title, *facts))
        self._pdf.save(
            stream,
            force_version="1.6",
            deterministic_id=True,
            compress_streams=True,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
        )
        self._pdf.close()

    def _make_form(self, form: Form) -> Any:
        from pikepdf import Name

        self._note(form.key, form.box, form.content)
        made = self._make_stream(form.content)
        made.Type, made.Subtype = Name.XObject, Name.Form
        made.BBox = [_real(side) for side in form.box]
        made.Resources = self._resources(form.content)
        return made

    def _add_page(self, page: Page, content: Content) -> None:
        import pikepdf
        from pikepdf import Dictionary, Name

        self._note(page.title, (page.width_mm, page.height_mm, page.trim_mm), content)
        made = Dictionary(
            Type=Name.Page,
            Contents=self._make_stream(content),
            Resources=self._resources(content),
        )
        _set_boxes(made, page)
        self._pdf.pages.append(pikepdf.Page(self._pdf.make_indirect(made)))
        self._titles.append(without_controls(page.title))

    def _note(self, name: str, box: object, content: Content) -> None:
        """Keep account of what the document holds and what it will have to explain."""
        self._mixed.update(f"{name!r} {box} {sorted(map(picture_name, content.pictures))}".encode())
        self._mixed.update(content.digest)
        for spot in content.spots:
            if self._spots.setdefault(spot.name, spot).lab != spot.lab:
                raise ValueError(f"spot {spot.name!r} has two colours in one drawing")
        self._layers.update(dict.fromkeys(content.layers))
        for font, characters in content.fonts:
            self._fonts.setdefault(font, set()).update(characters)

    def _make_stream(self, content: Content) -> Any:
        import pikepdf
        from pikepdf import Name

        return pikepdf.Stream(self._pdf, content.data, Filter=Name.FlateDecode)

    def _resources(self, content: Content) -> Any:
        from pikepdf import Dictionary

        shared = {k: v for k, v in self._shared.items() if k != "/Font" or content.fonts}
        resources = Dictionary(shared)
        inside = {form_name(key): self._form(key) for key in content.symbols}
        inside |= {picture_name(png): self._picture(png) for png in content.pictures}
        if inside:
            resources.XObject = Dictionary(inside)
        return resources

    def _form(self, key: str) -> Any:
        if key not in self._forms:
            raise ValueError(f"symbol {key!r} is used but in no part yet")
        return self._forms[key]

    def _picture(self, png: bytes) -> Any:
        name = picture_name(png)
        if name not in self._pictures:
            self._pictures[name] = embed_picture(self._pdf, png, self._press)
        return self._pictures[name]

    def _fill_shared(self) -> None:
        spots = [self._spots[name] for name in sorted(self._spots)]
        made: dict[str, pikepdf.Dictionary] = {
            "/ColorSpace": colour_spaces(self._pdf, spots),
            "/ExtGState": graphics_states(self._pdf),
            "/Properties": optional_content(self._pdf, self._layers),
        }
        for key, entries in made.items():
            for name, entry in entries.items():
                self._shared[key][name] = entry
        for font in sorted(self._fonts):
            self._shared["/Font"][font_name(font)] = embed_font(self._pdf, font, self._fonts[font])

    def _set_outline(self) -> None:
        from pikepdf import OutlineItem

        if len(self._titles) > 1 and any(self._titles):
            with self._pdf.open_outline() as outline:
                for number, title in enumerate(self._titles):
                    outline.root.append(OutlineItem(title or f"Page {number + 1}", number))


def user_unit(page: Page) -> float:
    """How many points one user unit of a page is: 1, or more for a page beyond 200 inches.

    Source:
        14.11.2 and annex C.2 [source: iso-32000-1]
    """
    longest = mm_to_pt(max(page.width_mm, page.height_mm))
    return float(max(1, math.ceil(round(longest / _LONGEST_PT, 9))))


def _set_boxes(holder: Any, page: Page) -> None:
    unit = user_unit(page)
    whole = (0.0, 0.0, page.width_mm, page.height_mm)
    trim = page.trim_mm or whole
    bleed = page.bleed_mm or (whole if page.trim_mm is None else trim)
    bleed = tuple(f(a, b) for f, a, b in zip((min, min, max, max), bleed, trim, strict=True))  # type: ignore[assignment]
    for key, box in (("/MediaBox", whole), ("/BleedBox", bleed), ("/TrimBox", trim)):
        holder[key] = [_real(mm_to_pt(side) / unit) for side in box]
    if unit != 1.0:
        holder["/UserUnit"] = int(unit)


def _real(value: float) -> Any:
    from decimal import Decimal

    return Decimal(f"{value:.4f}")
