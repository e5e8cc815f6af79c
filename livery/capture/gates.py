"""What a photograph must be to count as evidence, each condition by itself, with what to change.

A gate is met where its number keeps to a limit; both are told, so that a bench can judge anew.
What the numbers are is said at each limit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from livery.capture.markers import Sighting
from livery.capture.model import Gate

# Every limit, unless it says otherwise: [source: workshop-choice]
LEAST_MARKERS = 4
LEAST_UNLIKE = 0.01  # share by which a photograph differs from those already had
CLIPPED_PATCH = 0.05  # share of a patch's pixels that are full or empty, from which it is left out
SPOTTED_PATCH = 0.01  # share of a patch's pixels that mirror a lamp, from which it is told
_LEAST_PX_ACROSS_PATCH = 12.0
_MOST_EDGE_OF_PATCH = 0.12  # width of an edge, in a patch's sides
_LEAST_SHARPNESS = 0.2  # of a picture without a target, 0 to about 1
_MOST_TILT_DEG = 40.0
_MOST_RESIDUAL_MM = 0.5  # root mean square
_MOST_CLIPPED_PATCHES = 0.25  # share
_MOST_SPOTTED_PATCHES = 0.05  # share
_LEAST_WHITE = 0.08  # linear light of a perfect white, full scale 1
_MOST_CAST = 10.0  # strongest channel over weakest
MOST_LIGHTS = 1.5  # of a*, b* from one end of the target to the other
_MOST_TAKEN_BACK = 0.04  # share of the surroundings' light
_MOST_VEIL = 0.05  # share of white
_MOST_SHADING = 0.45  # of the darkest place, by which the lightest is lighter
_MOST_LOO_DE00 = 4.0  # mean; about what ISO 19264-1 level C allows [source: iso-19264-1]
_MOST_REACH = 2.0  # from the target's middle, in halves of its longer side
_MOST_CLIPPED_PIXELS = 0.02  # share
_MOST_SPOTTED_PIXELS = 0.04  # share
_MOST_UNEVEN = 0.25  # lighter parts above darker ones, as a share of their mean
_LEAST_LIGHTNESS, _MOST_LIGHTNESS, _MOST_CHROMA = -2.0, 105.0, 140.0  # L*, C* of a surface
_MOST_NAMES = 12  # of patches that advice lists


def target_gate(seen: Sighting, needed: int) -> Gate:
    """Whether the target was seen, and once."""
    found = len(seen.corners_px)
    names = ", ".join(str(marker.id) for marker in seen.missing)
    if found >= needed and not seen.mirrored:
        advice = f"Markers not seen: {names}; uncover them for a better fit." if names else ""
        return Gate("target", True, float(found), float(needed), advice)
    if seen.mirrored:
        advice = "The photograph is mirrored. Turn off the camera's mirror setting."
    elif seen.doubled >= needed:
        advice = "The target is in the picture twice. Take one print of it away."
    elif seen.strangers >= needed:
        advice = "Another target is in the picture. Name the target.toml that was printed with it."
    elif found:
        advice = f"Markers not seen: {names}. Bring the whole target into the picture, uncovered."
    else:
        advice = "No target found. Lay it flat beside the work, whole, sharp and evenly lit."
    return Gate("target", False, float(found), float(needed), advice)


def corners_gate(ok: bool) -> Gate:
    """Whether four given corners make sense."""
    advice = (
        "The corners do not go round a target inside the picture. Give them in px as x,y: "
        "top-left, top-right, bottom-right, bottom-left as printed (on the rendition chart: by "
        "the dark-skin, bluish-green, black and white patches)."
    )
    return _at_least("target", 4.0 if ok else 0.0, 4.0, advice)


def patches_gate(ok: bool) -> Gate:
    """Whether a chart without markers was found by its patches."""
    advice = "No chart found. Bring all its patches into the picture, sharp, or give its corners."
    return _at_least("target", 1.0 if ok else 0.0, 1.0, advice)


def crumpled_gate(needed: int) -> Gate:
    """The markers were seen, but they lie in no plane."""
    return Gate("target", False, 0.0, float(needed), "The markers lie in no plane. Lay it flat.")


def picture_clipping_gate(share: float) -> Gate:
    """How much of a picture without a target is full or empty."""
    advice = "Much of the picture is white or black. Correct the exposure, and look for the target."
    return _at_most("clipping", share, _MOST_CLIPPED_PATCHES, advice)


def scale_gate(px_per_mm: float, least_patch_mm: float) -> Gate:
    """Whether a patch has pixels enough."""
    limit = _LEAST_PX_ACROSS_PATCH / least_patch_mm
    return _at_least("scale", px_per_mm, limit, "Come closer, or use more of the camera's pixels.")


def focus_gate(edge_mm: float, least_patch_mm: float) -> Gate:
    """Whether edges are sharp."""
    advice = "Clean the lens, tap the target to focus, hold still or rest the camera."
    return _at_most("focus", edge_mm, _MOST_EDGE_OF_PATCH * least_patch_mm, advice)


def sharpness_gate(value: float) -> Gate:
    """Whether a picture without a target is at least sharp."""
    return _at_least("focus", value, _LEAST_SHARPNESS, "Clean the lens, focus, and hold still.")


def tilt_gate(tilt_deg: float) -> Gate:
    """Whether the camera looks at the target squarely enough."""
    return _at_most("tilt", tilt_deg, _MOST_TILT_DEG, "Hold the camera more squarely above it.")


def geometry_gate(residual_mm: float) -> Gate:
    """Whether the markers lie in one plane."""
    advice = "Lay the target flat, and print it at full size (its rule must measure 100 mm)."
    return _at_most("geometry", residual_mm, _MOST_RESIDUAL_MM, advice)


def clipping_gate(clipped: Sequence[str], patches: int) -> Gate:
    """Whether most patches are within what the file can hold."""
    share = len(clipped) / max(1, patches)
    ok = share <= _MOST_CLIPPED_PATCHES
    advice = f"Left out as over- or underexposed: {_listed(clipped)}." if clipped else ""
    if not ok:
        advice += " Expose between the two, under whiter light."
    return Gate("clipping", ok, share, _MOST_CLIPPED_PATCHES, advice)


def exposure_gate(white: float) -> Gate:
    """Whether the whites are bright enough to stand above noise."""
    return _at_least("exposure", white, _LEAST_WHITE, "Too dark. Add light, or expose longer.")


def cast_gate(cast: float) -> Gate:
    """Whether the light's colour leaves every channel something."""
    advice = "The light is too coloured. Use daylight or a white lamp, and set the white balance."
    return _at_most("colour cast", cast, _MOST_CAST, advice)


def one_light_gate(drift: float) -> Gate:
    """Whether light of one colour falls on the whole target."""
    advice = (
        "Greys change colour from one end of the target to the other: two kinds of light, or a "
        "coloured thing close by. Use one light alone, and move what reflects on the work away."
    )
    return _at_most("one light", drift, MOST_LIGHTS, advice)


def tone_gate(taken_back: float) -> Gate:
    """Whether the camera leaves light as it is, whatever surrounds it."""
    advice = (
        "Patches read darker in light surroundings than in dark ones: the camera tones parts of "
        "the picture apart. Switch off HDR, scene modes and lifting of shadows, or use RAW."
    )
    return _at_most("tone", taken_back, _MOST_TAKEN_BACK, advice)


def veil_gate(veil: float) -> Gate:
    """Whether stray light is little enough to be corrected."""
    advice = "Stray light veils the blacks. Move the lamp aside, shade the lens, clean it."
    return _at_most("glare", veil, _MOST_VEIL, advice)


def spots_gate(spotted: Sequence[str], patches: int) -> Gate:
    """Whether lamps are mirrored in patches."""
    share = len(spotted) / max(1, patches)
    mend = "Move the lamp to the side, or peel the film off the target."
    advice = f"Reflexes on {_listed(spotted)}. {mend}"
    return _at_most("reflexes", share, _MOST_SPOTTED_PATCHES, advice)


def shading_gate(spread: float) -> Gate:
    """Whether light falls evenly enough over the target."""
    advice = (
        "Light falls unevenly, or a lamp is mirrored in the target. Peel off any film, move the "
        "lamp back and aside, or use two, or a window's light."
    )
    return _at_most("shading", spread, _MOST_SHADING, advice)


def characterisation_gate(loo_mean: float) -> Gate:
    """Whether the camera's colour could be corrected."""
    advice = (
        "Colours do not fit the target's values. Check that nothing covers or stains its patches "
        "and that the target.toml is this print's, switch off filters and scene modes, use one "
        "kind of light."
    )
    return _at_most("characterisation", loo_mean, _MOST_LOO_DE00, advice)


def fewest_gate(usable: int, least: int) -> Gate:
    """Whether enough patches can be used at all."""
    advice = "Too few patches can be read. Bring the whole target into the picture, well exposed."
    return _at_least("patches", float(usable), float(least), advice)


# Gates on a region: ``where`` tells in words where it lies, after a blank; "" if unknown.


def region_inside_gate(name: str, reach: float, where: str) -> Gate:
    """Whether a region lies in the picture and near the target; ``reach`` in half-lengths."""
    advice = (
        f"{name}{where} lies outside the picture or far off the target. Lay the target next to it."
    )
    return _at_most(f"place of {name}", reach, _MOST_REACH, advice, name)


def region_clipping_gate(name: str, share: float, where: str) -> Gate:
    """Whether a region is within what the file can hold."""
    advice = f"{name}{where} is over- or underexposed. Change the exposure, or move the lamp."
    return _at_most(f"clipping of {name}", share, _MOST_CLIPPED_PIXELS, advice, name)


def region_colour_gate(name: str, share: float, where: str) -> Gate:
    """Whether a region has one colour."""
    advice = f"{name}{where} has two colours. Draw the region inside one ink."
    return _at_most(f"one colour in {name}", share, 0.0, advice, name)


def region_spots_gate(name: str, share: float, where: str) -> Gate:
    """Whether a lamp is mirrored in a region."""
    advice = f"A lamp is mirrored in {name}{where}. Move it to the side, or peel the film off."
    return _at_most(f"reflexes in {name}", share, _MOST_SPOTTED_PIXELS, advice, name)


def region_evenness_gate(name: str, spread: float, where: str) -> Gate:
    """Whether light falls evenly within a region."""
    advice = f"{name}{where} is lit unevenly, or partly shiny, stained or in shadow. Move the lamp."
    return _at_most(f"evenness of {name}", spread, _MOST_UNEVEN, advice, name)


def region_lab_gate(name: str, lab: Sequence[float], where: str) -> Gate:
    """Whether a region's colour is one that a surface can have; the value is how far beyond."""
    lightness, a, b = lab
    chroma = (a * a + b * b) ** 0.5
    too_light, too_dark = lightness - _MOST_LIGHTNESS, _LEAST_LIGHTNESS - lightness
    beyond = max(0.0, too_light, too_dark, chroma - _MOST_CHROMA)
    beyond = beyond if math.isfinite(beyond) else math.inf
    advice = (
        f"{name}{where} reads L* {lightness:.0f}, chroma {chroma:.0f}, which no surface has. It "
        "is lit unlike the target: lay the two side by side, in even light without reflexes."
    )
    return _at_most(f"colour of {name}", beyond, 0.0, advice, name)


def duplicate_gate(unlike: float, name: str) -> Gate:
    """Whether the photograph is another than those already had; the value is 0 for a copy."""
    advice = f"This is {name} again. Take a new photograph, with the camera moved a little."
    return _at_least("duplicate", unlike, LEAST_UNLIKE, advice)


def _listed(names: Sequence[str]) -> str:
    """Names as advice lists them, the last ones left off where they are many."""
    return ", ".join([*names[:_MOST_NAMES], *(["..."] if len(names) > _MOST_NAMES else [])])


def _at_most(gate: str, value: float, limit: float, advice: str, region: str = "") -> Gate:
    ok = value <= limit
    return Gate(gate, ok, value, limit, "" if ok else advice, region)


def _at_least(gate: str, value: float, limit: float, advice: str) -> Gate:
    ok = value >= limit
    return Gate(gate, ok, value, limit, "" if ok else advice)
