"""``livery position``: where decals are on a bat's face, and what is wrong with them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.screen import FINDINGS, JsonFlag, console, print_gates, print_json

if TYPE_CHECKING:
    from rich.table import Table

    from livery.capture.position_model import Positions


def position(
    photo: Path = typer.Argument(
        ..., metavar="PHOTO", help="The photograph: a bat, face up, between rails."
    ),
    target: Path = typer.Option(..., "--target", help="The rails' target.toml."),
    layout: Path = typer.Option(..., "--layout", help="The season file."),
    item: str = typer.Option("", "--item", help="Key of the bat; not needed if there is one."),
    size: str = typer.Option("", "--size", help="Its size; the master size or the order's."),
    hand: str = typer.Option("", "--hand", help="right or left; the order's if one is named."),
    order: str = typer.Option("", "--order", help="The order whose words it bears."),
    surface: str = typer.Option("face", "--surface", help="Only a face lies flat: face."),
    left: str | None = typer.Option(
        None, "--left", help="The blade's left side by hand: 'x,y x,y' in px of the photograph."
    ),
    right: str | None = typer.Option(None, "--right", help="Its right side, the same."),
    grip: str | None = typer.Option(None, "--grip", help="The grip's end, one point or more."),
    tolerance_mm: float = typer.Option(1.0, "--tolerance-mm", min=0.05, help="Moved from here on."),
    tolerance_deg: float = typer.Option(1.0, "--tolerance-deg", min=0.05, help="Turned, the same."),
    out: Path | None = typer.Option(
        None, "--out", "-o", help="Folder for the annotated and the difference picture."
    ),
    as_json: bool = JsonFlag,
) -> None:
    """Find each decal on a bat between rails. Exit 1 means: look at it again."""
    from livery.jobs.layout_choice import Choice
    from livery.jobs.position import find_on_photograph, positions_to_json

    given = [text for text in (left, right, grip) if text is not None]
    if given and len(given) < 3:
        raise typer.BadParameter("by hand needs --left, --right and --grip together")
    found = find_on_photograph(
        photo,
        target,
        Choice(layout, item, size, hand, order),
        out,
        surface=surface,
        by_hand=(given[0], given[1], given[2]) if given else None,
        tolerance_mm=tolerance_mm,
        tolerance_deg=tolerance_deg,
    )
    if as_json:
        print_json(positions_to_json(found))
    else:
        _show(found)
    if not found.ok:
        raise typer.Exit(FINDINGS)


def _show(found: Positions) -> None:
    from livery.capture.position_picture import describe_decal
    from livery.limits import UMPIRES_DECIDE

    out = console()
    print_gates(out, found.gates)
    for note in found.notes:
        out.print(note)
    if found.decals:
        out.print()
        out.print(_table(found))
    for one in found.decals:
        for line in describe_decal(one)[2 if one.offset else 0 :]:
            out.print(f"{one.key}: {line}")
        for flaw in one.flaws:
            out.print(f"  {flaw.kind}: {flaw.figures}")
    if found.findings:
        held = sum(f.ok for f in found.findings)
        out.print(f"{held} of {len(found.findings)} rules hold as applied.")
    for finding in found.broken:
        out.print(f"BROKEN: {finding.text}")
        out.print(f"  {finding.subject}")
        out.print(f"  source: {finding.source}")
    if found.findings:
        out.print(UMPIRES_DECIDE)


def _table(found: Positions) -> Table:
    from rich.table import Table

    table = Table(box=None, pad_edge=False)
    table.add_column("decal")
    table.add_column("")
    for name in ("across mm", "along mm", "turned °"):
        table.add_column(name, justify="right")
    for one in found.decals:
        cells = ["", "", ""]
        if one.offset is not None:
            o = one.offset
            pairs = ((o.dx_mm, o.dx_u95), (o.dy_mm, o.dy_u95), (o.turn_deg, o.turn_u95))
            cells = [f"{value:+.2f} ± {u95:.2f}" for value, u95 in pairs]
        table.add_row(one.key, str(one.standing), *cells)
    return table
