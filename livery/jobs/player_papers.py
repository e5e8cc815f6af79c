"""What goes with an order: the proof to sign, the bench's card, the template to cut out."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from livery.crew import Task, Watch, unwatched
from livery.errors import Fault, SeasonError
from livery.jobs.index import Figure, Section
from livery.jobs.making import Made
from livery.jobs.naming import file_stems
from livery.jobs.narrowing import only_order
from livery.jobs.survey import Survey
from livery.output import render_pdf, render_png, write_pdf
from livery.placement import Layout
from livery.proof import Proof, card_drawing, proof_drawing, template_drawing
from livery.scheme.model import Order, Scheme

LIBRARIES = (
    "livery.jobs.building",  # and all that the rest of a build takes
    *("pikepdf", "PIL.Image", "reportlab.pdfbase.ttfonts", "resvg_py"),
    *("scipy.spatial", "segno", "svgwrite", "uharfbuzz"),
)
_PREVIEW_PX_PER_MM = 3.0
_PICTURED_ORDERS = 12  # the index page lists the papers of more by name; workshop choice


def order_tasks(found: Survey, address: str, offered: Mapping[str, Proof]) -> list[Task[Made]]:
    """What draws each order's proof, card and template, given no more than it shows."""
    orders = found.scheme.orders
    stems = file_stems(order.key for order in orders)
    by_order: dict[str, list[Layout]] = {order.key: [] for order in orders}
    for layout in found.layouts:
        if layout.order:
            by_order[layout.order].append(layout)
    tasks = []
    for number, order in enumerate(orders):
        own = tuple(by_order[order.key])
        scheme = only_order(found.scheme, order, own)
        pictured = number < _PICTURED_ORDERS
        given = (scheme, order, own, offered.get(order.key), address, stems[order.key], pictured)
        tasks.append(Task(f"proof and card of {order.key}", make_order, given))
    return tasks


def make_order(
    scheme: Scheme,
    order: Order,
    layouts: tuple[Layout, ...],
    previous: Proof | None,
    address: str,
    stem: str,
    pictured: bool,
) -> Made:
    """An order's proof, bench card and template as PDF; of each its first page as a picture."""
    drawings = {
        "proof": proof_drawing(scheme, order, layouts, previous=previous),
        "card": card_drawing(scheme, order, layouts, address),
    }
    if any(layout.placements for layout in layouts):
        drawings["template"] = template_drawing(scheme, order, layouts)
    files, figures = [], []
    for kind, drawing in drawings.items():
        name = f"{kind}s/{stem}-{kind}"
        files.append((f"{name}.pdf", render_pdf(drawing)))
        if pictured:
            files.append((f"{name}.png", render_png(drawing, 0, _PREVIEW_PX_PER_MM)))
        caption = f"{kind.capitalize()} of {order.key}, {order.player}"
        figures.append(Figure(files[-1][0], f"{name}.pdf", caption, caption))
    return Made(tuple(files), tuple(figures))


def orders_section(figures: tuple[Figure, ...]) -> Section:
    """Pictures of the first orders' papers; the others by name."""
    words = (
        "One proof for each player to sign; one card for the bench, and a template at full size to "
        "cut out."
    )
    shown = tuple(figure for figure in figures if figure.image != figure.href)
    named = tuple(figure.href for figure in figures if figure.image == figure.href)
    return Section("orders", "Proofs and bench cards", (words,), figures=shown, files=named)


def build_proofs(
    found: Survey,
    out: Path,
    keys: tuple[str, ...],
    watch: Watch = unwatched,
    offered: Mapping[str, Proof] = MappingProxyType({}),
) -> tuple[Path, ...]:
    """Write the proofs of the orders named, or of all.

    Args:
        found: the season.
        out: folder for the proofs.
        keys: of orders; none means all.
        watch: told of progress.
        offered: by order, the revision to list and draw the changes from.

    Raises:
        SeasonError: the season has no orders, or not one of those named.
    """
    chosen = [order for order in found.scheme.orders if not keys or order.key in keys]
    place, known = str(found.scheme.path), sorted(order.key for order in found.scheme.orders)
    if not known:
        raise SeasonError(Fault(place, "orders", None, "there are no orders", "Add [[orders]]"))
    if missing := [key for key in keys if key not in known]:
        mend = f"The orders are {', '.join(known)}"
        raise SeasonError(
            *(
                Fault(place, "orders", None, f"no order has the key {key!r}", mend)
                for key in missing
            )
        )
    stems = file_stems(order.key for order in found.scheme.orders)
    names = []
    for number, order in enumerate(chosen):
        watch("proofs", number, len(chosen))
        name = Path(f"{stems[order.key]}-proof.pdf")
        previous = offered.get(order.key)
        layouts = found.of_order(order)
        write_pdf(proof_drawing(found.scheme, order, layouts, previous=previous), out / name)
        names.append(name)
    watch("proofs", len(chosen), len(chosen))
    return tuple(names)
