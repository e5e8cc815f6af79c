"""The written pages of a proof: inks, limits, changes, cautions, signature."""

from __future__ import annotations

from collections.abc import Sequence

from livery.artwork.typesetting import fit_line
from livery.drawing import Anchor, Label, LabPaint
from livery.limits.model import Finding
from livery.placement.model import Layout
from livery.proof.content import find_changes, inks_in_use, item_title
from livery.proof.model import Proof
from livery.proof.setting import (
    ALERT,
    FAINT,
    INK,
    MARGIN_MM,
    PAGE_MM,
    SOFT,
    Column,
    Flow,
    filled_box,
    rule_line,
)
from livery.scheme.model import Ink, ItemKind, Order, Prints, Scheme
from livery.sheet.builds import Build, build_ink
from livery.units import format_count, format_lb_oz

CAUTIONS = (
    "Approve colour from a physical sample under D50 light (ISO 3664), not from a screen or from "
    "this print.",
    "Whether a bat may be used is for the umpires and the competition to decide. Limits marked "
    "second-hand or from memory must be checked against the current edition.",
    "Gloves and pads are protective: no decal may cover a vent, a strap or a flex seam, and none "
    "may be cut on the item. Marks of a safety standard are never covered.",
    "Sizes are of the surface laid flat at true length; on a curved surface a tape reads the same.",
)
"""What a signer must know. Source: iso-3664, proof-cautions (read)."""

_INK_ROW_MM = 11.0
_INNER = PAGE_MM[0] - 2 * MARGIN_MM


def write_inks(flow: Flow, scheme: Scheme, layouts: Sequence[Layout], accent: LabPaint) -> None:
    """Each ink with its swatch, aim, tolerance, finish and where it is used."""
    flow.heading("Inks", accent)
    flow.paragraph(
        "Aims are CIELAB under D50, 2° observer, measurement condition M1 (ISO 13655). "
        "A match is within the tolerance in ΔE00 (CIEDE2000). Swatches are shown as well as this "
        "page's reproduction allows: the aim at the left, at the right what process inks on "
        f"{scheme.profile.output_condition} are predicted to give. Palette: {scheme.palette.name}. "
        f"{scheme.palette.source}",
        7.5,
        paint=SOFT,
    )
    for ink in inks_in_use(scheme, layouts):
        flow.need(_INK_ROW_MM)
        _ink_row(flow, ink, build_ink(ink, scheme.profile), _where_used(ink, layouts))


def _ink_row(flow: Flow, ink: Ink, build: Build, used: str) -> None:
    y = flow.y - _INK_ROW_MM + 1.4
    middle = MARGIN_MM + 12
    flow.add(
        filled_box(MARGIN_MM, y, middle, y + 8.4, LabPaint(ink.lab), FAINT),
        filled_box(middle, y, MARGIN_MM + 24, y + 8.4, LabPaint(build.lab), FAINT),
    )
    lightness, a, b = ink.lab
    aim = f"L* {lightness:.1f}   a* {a:.1f}   b* {b:.1f}"
    allowed = f"ΔE00 at most {ink.tolerance_de00:g}, {ink.finish}"
    x = MARGIN_MM + 28
    flow.add(
        fit_line(ink.name, x, y + 4.6, 10.0, 30, "text-bold"),
        fit_line(ink.key, x, y + 0.9, 7.0, 30, "text", SOFT),
        fit_line(aim, x + 33, y + 4.6, 8.5, 50),
        fit_line(allowed, x + 33, y + 0.9, 7.5, 50, "text", SOFT),
        fit_line(used, x + 86, y + 4.6, 7.0, _INNER - 28 - 86, "text", SOFT),
        _predicted(ink, build, x + 86, y + 0.9),
    )
    flow.y -= _INK_ROW_MM


def _predicted(ink: Ink, build: Build, x: float, y: float) -> Label:
    """What the print is predicted to be, and a warning where process inks cannot reach the aim."""
    how = "Own plate; in process inks" if ink.prints is Prints.SPOT else f"Printed {build.words}:"
    words = f"{how} ΔE00 {build.de00:.1f} from the aim"
    reached = build.de00 <= ink.tolerance_de00
    if not build.in_gamut:
        words += ", out of gamut" + ("" if reached else " and tolerance")
    warned = not reached and ink.prints is not Prints.SPOT
    paint, font = (ALERT, "text-bold") if warned else (SOFT, "text")
    return fit_line(words, x, y, 7.0, _INNER - 28 - 86, font, paint)


def _where_used(ink: Ink, layouts: Sequence[Layout]) -> str:
    kinds = []
    for kind, name in ((ItemKind.BAT, "bat"), (ItemKind.GLOVE, "gloves"), (ItemKind.PAD, "pads")):
        own = [layout for layout in layouts if layout.item.kind is kind]
        decals = any(ink.key in p.decal.inks for layout in own for p in layout.placements)
        panels = any(panel.ink == ink.key for layout in own for panel in layout.item.panels)
        how = [word for word, there in (("decals", decals), ("panels", panels)) if there]
        if how:
            kinds.append(f"{name} ({', '.join(how)})")
    return ", ".join(kinds)


def write_limits(flow: Flow, layouts: Sequence[Layout], accent: LabPaint) -> None:
    """Every broken rule, then each rule's tightest place on each kind of kit."""
    findings = [finding for layout in layouts for finding in layout.findings]
    broken = [finding for finding in findings if not finding.ok]
    flow.heading("Limits", accent)
    if broken:
        told = "does not hold; it is" if len(broken) == 1 else "do not hold; they are"
        words = f"{len(broken)} of {len(findings)} checks {told} listed first."
        flow.paragraph(words, 8.5, "text-bold", ALERT)
    else:
        flow.paragraph(f"All {len(findings)} checks hold. Each rule is shown where it is tightest.")
    columns = (
        Column("Rule and place", 74),
        Column("Measured", 17, Anchor.END),
        Column("Limit", 17, Anchor.END),
        Column("To spare", 17, Anchor.END),
        Column("", 3),
        Column("Source", 52),
    )
    rows = [_limit_row(finding) for finding in [*broken, *_tightest(findings)]]
    flow.table(columns, rows, 6.5)


def _tightest(findings: Sequence[Finding]) -> list[Finding]:
    """Of the findings that hold, the one with least to spare for each rule, in rule order."""
    least: dict[str, Finding] = {}
    for finding in findings:
        if finding.ok and (
            finding.rule not in least or finding.margin < least[finding.rule].margin
        ):
            least[finding.rule] = finding
    return list(least.values())


def _limit_row(finding: Finding) -> list[str]:
    title = finding.text.partition(":")[0]
    state = "" if finding.ok else ("BROKEN: " if finding.severity == "limit" else "Note: ")
    unit = f" {finding.unit}" if finding.unit else ""
    return [
        f"{state}{title}. {finding.subject}",
        f"{finding.measured:.2f}{unit}",
        f"{finding.limit:.2f}{unit}",
        f"{finding.margin:.2f}{unit}",
        "",
        finding.source,
    ]


def write_changes(
    flow: Flow,
    proof: Proof,
    previous: Proof | None,
    accent: LabPaint,
    drawn: tuple[int, int] = (1, 0),
) -> None:
    """What differs from the revision before; ``drawn`` is the first and last page of pictures."""
    if previous is None:
        return
    flow.heading(f"Changes since revision {previous.revision}", accent)
    changes = find_changes(previous, proof)
    if not changes:
        flow.paragraph("Nothing that is stated here has changed.")
        return
    if drawn[0] <= drawn[1]:
        pages = " to ".join(str(number) for number in dict.fromkeys(drawn))
        flow.paragraph(f"Before and after are drawn on page {pages}.", 7.5, paint=SOFT)
    columns = (Column("What", 50), Column("Before", 65), Column("Now", 65))
    rows = [[c.subject, c.before or "not there", c.after or "taken away"] for c in changes]
    flow.table(columns, rows)


def write_sizes(flow: Flow, order: Order, layouts: Sequence[Layout], accent: LabPaint) -> None:
    """What is made: each item, its size, measures and number."""
    flow.heading("Sizes and weight", accent)
    weight = "not stated" if order.weight_g is None else format_lb_oz(order.weight_g)
    rows = []
    for layout in layouts:
        dims = layout.item.dims
        if dims is None:
            count = len(layout.placements)
            measures = format_count(count, "decal")
        else:
            measures = (
                f"{dims.overall_length:.0f} mm long, {dims.width:.1f} wide, edges "
                f"{dims.edge_thickness:.0f}, spine {dims.spine_height:.0f}; "
                f"weight asked for {weight}"
            )
        rows.append([item_title(layout.item), str(layout.copies), measures])
    columns = (Column("Item", 66), Column("Made", 16, Anchor.END), Column("Measures", 98))
    flow.table(columns, rows)


def write_signature(flow: Flow, proof: Proof, accent: LabPaint) -> None:
    """Cautions, what is agreed to, and a place to sign."""
    flow.need(118.0)
    flow.heading("Before you sign", accent)
    for caution in CAUTIONS:
        flow.paragraph(f"–  {caution}", 8.5)
    flow.heading("Agreement", accent)
    flow.paragraph(
        f"I have seen revision {proof.revision} of order {proof.order} for {proof.player}, with "
        f"the content numbered {proof.short_hash}, and"
    )
    y = flow.y - 6.0
    for index, words in enumerate(("agree that it be made so.", "decline it, because:")):
        x = MARGIN_MM + 4 + index * 58
        flow.add(filled_box(x, y - 0.6, x + 4, y + 3.4, None, INK), Label(words, x + 6, y, 9.0))
    flow.add(rule_line(MARGIN_MM + 100, PAGE_MM[0] - MARGIN_MM, y - 0.6, INK))
    y -= 22.0
    spans = (("Signature", 0, 80), ("Name in full", 85, 140), ("Date", 145, 180))
    for name, start, end in spans:
        flow.add(rule_line(MARGIN_MM + start, MARGIN_MM + end, y, INK, 0.25))
        flow.add(Label(name, MARGIN_MM + start, y - 3.6, 7.0, SOFT))
    flow.y = y - 8.0
    flow.paragraph(f"Content (SHA-256): {proof.content_hash}", 6.0, paint=SOFT)
