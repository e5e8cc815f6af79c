"""Lights, remedies, common aims and remarks as sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from livery.drawing import LabColour
from livery.match.lights import LightComparison
from livery.match.model import Remark
from livery.match.remedy import Build, CommonAim, Remedy

InkNames = Mapping[str, str]
"""What people call inks, by key; one that is not in it goes by its key."""

NO_INK_SEEN = "no sample shows an ink of the season"
"""Why nothing was judged."""


def say_lab(lab: LabColour, sign: str = "") -> str:
    """``56.0, −3.1, 20.4``; with ``sign="+"`` as a change."""
    rounded = [round(value, 1) + 0.0 for value in lab]  # no minus before a zero
    return ", ".join(f"{value:{sign}.1f}".replace("-", "−") for value in rounded)


def say_build(build: Build | None) -> str:
    """Process inks of a colour, or how far they stay from it."""
    if build is None:
        return ""
    parts = " ".join(f"{ink}{share:.0%}" for ink, share in zip("CMYK", build.cmyk, strict=True))
    if build.in_gamut:
        return f"As process inks: {parts}"
    return f"Process inks stay {build.left_de00:.1f} from it (nearest {parts}): keep a spot ink"


def say_remedy(remedy: Remedy, names: InkNames) -> str:
    """What to print, and the new aim."""
    ink = names.get(remedy.ink, remedy.ink)
    text = (
        f"{ink}: {remedy.words[0].lower()}{remedy.words[1:]}. New aim {say_lab(remedy.aim)} "
        f"({say_lab(remedy.change, '+')}). {say_build(remedy.build)}"
    )
    return text.rstrip(". ") + "."


def say_common(common: CommonAim, names: InkNames) -> str:
    """The best common aim of all items made."""
    ink = names.get(common.ink, common.ink)
    text = (
        f"{ink}: best common aim {say_lab(common.lab)}: no item is further from it than "
        f"{common.worst_de00:.1f} ({common.worst_item}). {say_build(common.build)}"
    )
    return text.rstrip(". ") + "."


def say_remarks(remarks: Iterable[Remark], names: InkNames) -> list[str]:
    """Remarks that say the same of several inks and items, as one."""
    found: dict[str, list[str]] = {}
    for one in remarks:
        subject = f"{names.get(one.ink, one.ink)} {one.item}".strip()
        found.setdefault(one.text, []).append(subject)
    said = {text: text if text.endswith("?") else f"{text}." for text in found}
    return [f"{', '.join(subjects)}: {said[text]}" for text, subjects in found.items()]


def say_light(one: LightComparison, names: InkNames) -> str:
    """One pair under the lights."""
    ink = names.get(one.ink, one.ink)
    worst = f"special index {one.worst.index:.1f}"
    return f"{ink}, {one.a} to {one.b}: {one.words}; {worst}."
