"""Each ink as the press prints it: how near it comes, and where it lies in the press's gamut."""

from __future__ import annotations

from livery.crew import Task
from livery.jobs.index import Figure, Section
from livery.jobs.making import Made
from livery.jobs.pages import svg_files
from livery.scheme.model import Ink, PrintProfile, Prints
from livery.sheet import SheetRun, build_ink, gamut_drawing


def ink_tasks(run: SheetRun) -> list[Task[Made]]:
    """What draws each process ink in the press's gamut."""
    inks = [ink for ink in run.palette.inks if ink.prints is Prints.PROCESS]
    return [Task(f"ink {ink.key}", make_gamut, (ink, run.profile)) for ink in inks]


def inks_section(run: SheetRun, figures: tuple[Figure, ...]) -> Section:
    """The part of the index page that says how each ink prints and how near it comes."""
    rows = []
    for ink in run.palette.inks:
        aim = " / ".join(f"{value:.1f}" for value in ink.lab)
        if ink.prints is Prints.SPOT:
            rows.append((ink.name, aim, "its own separation", "", "", f"{ink.tolerance_de00:g}"))
            continue
        build = build_ink(ink, run.profile)
        lab = " / ".join(f"{value:.1f}" for value in build.lab)
        said = f"{build.de00:.2f}" + ("" if build.in_gamut else ", out of gamut")
        how = f"C/M/Y/K {build.words} %"
        rows.append((ink.name, aim, how, lab, said, f"{ink.tolerance_de00:g}"))
    return Section(
        "inks",
        "Inks",
        (f"Process builds are predicted for {run.profile.output_condition}.",),
        figures=figures,
        head=("ink", "aim L*/a*/b*", "prints as", "predicted L*/a*/b*", "ΔE00", "tolerance"),
        rows=tuple(rows),
    )


def make_gamut(ink: Ink, profile: PrintProfile) -> Made:
    """A process ink in the press's gamut."""
    build = build_ink(ink, profile)
    name = f"inks/{ink.key}-gamut.svg"
    caption = f"{ink.name}: {build.words} %, ΔE00 {build.de00:.2f}"
    figure = Figure(name, name, caption, f"{ink.name} in the press's gamut")
    files = svg_files(gamut_drawing(ink, build, profile), name.removesuffix(".svg"))
    return Made(files, (figure,))
