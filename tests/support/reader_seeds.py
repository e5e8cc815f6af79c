"""Small good files, one or more for each reader: what a fuzzer starts from."""

import hashlib
import json
from dataclasses import asdict

import numpy as np
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from livery.capture.colour_model import Patches
from livery.colour import lab_to_xyz, spectrum_to_lab
from livery.records.keys import SecretKey
from livery.records.ledger import GENESIS, Act, Deed, Head, head_of, sign_entry
from livery.scheme.exchange import (
    Conditions,
    MeasurementCondition,
    Reading,
    render_cgats,
    render_cxf,
)
from livery.scheme.model import Spectrum

PALETTE = """name = "Two"
source = "invented"
tolerance = 2.0
[[inks]]
key = "tarn"
name = "Tarn"
lab = [38.0, -22.0, -18.0]
[[inks]]
key = "ember"
name = "Ember"
lch = [62.0, 81.0, 47.5]
finish = "gloss"
[[inks]]
key = "chalk"
name = "Chalk"
srgb = "#f2efe6"
prints = "process"
"""
SEASON = """season = "Small"
revision = 2
date = "2027-01-18"
palette = "palette.toml"
master_size = "short-handle"
rules = ["laws"]
[print]
stock_width = "320 mm"
gap = 3.0
white = true
inks = { tarn = "process" }
[[bats]]
key = "sedge"
name = "Sedge"
sizes = ["short-handle", "size-6"]
dims.short-handle = { width = "4.25 in", edge_thickness = 38 }
[[gloves]]
key = "sedge-gloves"
name = "Sedge gloves"
sizes = ["men"]
panels = [{ panel = "cuff", ink = "tarn", material = "leather" }]
[[decals]]
key = "mark"
name = "Mark"
artwork = "decal.svg"
width = "52 mm"
role = "lettering"
thickness = 0.1
text = { player = "{player} {number}" }
[[placements]]
key = "face-mark"
decal = "mark"
item = "sedge"
surface = "face"
y = "120 mm"
rotation = 90
[[placements]]
key = "below"
decal = "mark"
item = "sedge"
surface = "face"
align_to = "face-mark"
side = "below"
gap = 4
[[groups]]
key = "both"
placements = ["face-mark", "below"]
may_slide = 5
[[orders]]
key = "o-1"
player = "Tamsin Orrowby"
hand = "left"
items = [{ item = "sedge", size = "short-handle" }]
weight = "2 lb 9 oz"
quantity = 2
[[extras]]
key = "shirt"
name = "Shirt"
kind = "shirt"
material = "polyester"
inks = ["ember"]
[tolerances]
default = 2.0
pairs = [{ between = ["bat", "leather"], tolerance = 3.0 }]
"""
DECAL = """<svg xmlns="http://www.w3.org/2000/svg" width="52mm" height="20mm" viewBox="0 0 52 20">
<style>.a { stroke-width: 0.6 }</style>
<defs><g id="dot"><circle cx="4" cy="4" r="2"/></g></defs>
<path data-part="outline" d="M1 1H51V19A3 3 0 0 1 48 19.5L1 19Z" fill="none"/>
<g data-ink="tarn" transform="translate(1 1) rotate(5)"><rect x="2" y="2" width="20" height="6"/>
<use href="#dot" x="20"/></g>
<path class="a" data-ink="ember" fill="none" stroke="#000" d="M3 15q4-6 8 0t8 0"
 stroke-linecap="round"/>
<text data-field="player" data-ink="tarn" data-font="text" data-fit-width-mm="30" x="10" y="14"
 font-size="5" text-anchor="middle">Name</text></svg>
"""
OUTLINE = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="570mm"
 viewBox="0 0 120 570">
<path d="M44 3H76C78 60 114 70 114 100V540A20 20 0 0 1 94 562H26A20 20 0 0 1 6 542V100
C6 70 42 60 44 3Z"/>
</svg>
"""
RULES = """title = "Small book"
[[rules]]
key = "area-back"
title = "Area on the back"
check = "area-at-most"
parameters = { area = "50 cm²" }
surfaces = ["back"]
roles = ["identification"]
source = "invented"
standing = "invented"
[[rules]]
key = "on-face"
title = "Within the top of the face"
check = "confined-within"
parameters = { datum = "grip-bottom", within = "9 in", within_loose = 228.7 }
surfaces = ["face"]
severity = "advice"
source = "invented"
standing = "invented"
"""
TARGET = """id = "small"
width_mm = 100
height_mm = "80 mm"
[[markers]]
dictionary = "DICT_4X4_50"
id = 3
x_mm = 10
y_mm = 10
size_mm = 12
[[patches]]
name = "grey"
x_mm = 30
y_mm = 30
w_mm = 10
h_mm = 10
lab = [50.0, 0.0, 0.0]
measured = true
"""
REGIONS = """[[regions]]
name = "bat tarn"
ink = "tarn"
item = "bat"
polygon_mm = [[10, 10], [20, 10], [20, 20.5]]
material = "film"
[[regions]]
name = "glove tarn"
ink = "tarn"
item = "glove"
polygon_px = [[100.0, 100.0], [200.0, 100.0], [200.0, 200.0], [100, 200]]
"""
LIGHT = "# nm power\n" + "\n".join(f"{nm} {1 + nm / 1000:.3f}" for nm in range(380, 741, 20))
FLAGS = "10,10 90,10 90.5,70 10,70\n12.5,40,-90\n4.25 in\n2 lb 9 oz\n"
WORDS = ("Tamsin Orrowby", "\u017d\u00f3\u0142\u0107 \u0394 7", "o\u0301 \u0645\u062d\u0645\u062f")


def _sample(item: str, ink: str, lab: tuple[float, ...]) -> dict[str, object]:
    cov = [[0.1, 0.01, 0.0], [0.01, 0.12, 0.0], [0.0, 0.0, 0.15]]
    shared = [[0.05, 0.0, 0.0], [0.0, 0.05, 0.0], [0.0, 0.0, 0.05]]
    named = {"name": f"{item} {ink}", "item": item, "ink": ink, "lab": list(lab), "cov": cov}
    return {**named, "shared_cov": shared, "misfit_cov": shared, "pixels": 4000, "material": "film"}


def captures() -> tuple[bytes, ...]:
    """What ``livery measure --json`` says of a bat and a glove."""
    samples = [
        _sample("bat", "tarn", (38.5, -21.0, -18.2)),
        _sample("glove", "tarn", (40.1, -20.0, -17.0)),
    ]
    gate = {"gate": "focus", "ok": True, "value": 1.2, "limit": 2.0, "advice": "", "region": ""}
    model = {"method": "matrix", "loo_mean": 0.8, "loo_max": 1.9}
    content = {
        "photo": "a.jpg",
        "target": "small",
        "samples": samples,
        "gates": [gate],
        "characterisation": model,
        "scale_px_per_mm": 7.25,
        "homography_residual_mm": 0.02,
        "absolute": True,
    }
    return (json.dumps(content).encode(), json.dumps({"samples": samples[:1]}, indent=1).encode())


def bench_patches() -> Patches:
    """What a camera, a matrix away from XYZ, made of 24 colours."""
    count = np.arange(24)
    lab = np.stack([20.0 + 3.0 * count, 40.0 * np.sin(count), 40.0 * np.cos(count)], axis=-1)
    matrix = np.array([[1.9, -0.5, -0.3], [-0.9, 1.8, 0.1], [0.1, -0.2, 1.1]])
    place = np.stack([count / 12.0 - 1.0, count % 5 / 5.0], axis=-1)
    return Patches(lab_to_xyz(lab) @ matrix.T, place, lab, np.ones(24))


def bench() -> tuple[bytes, ...]:
    """A capture with what its target showed."""
    own = bench_patches()
    rows = [
        {
            "name": f"p{number}",
            "lab": np.round(own.lab[number], 3).tolist(),
            "light": np.round(own.rgb[number], 4).tolist(),
            "place": np.round(own.place[number], 3).tolist(),
        }
        for number in range(len(own.lab))
    ]
    content = {"source": "ab" * 32, "absolute": True, "gates": [{"ok": True}], "patches": rows}
    return (json.dumps(content).encode(),)


def _readings() -> tuple[Reading, ...]:
    waves = np.arange(400.0, 701.0, 20.0)
    found = []
    for index, peak in enumerate((450.0, 640.0)):
        curve = np.round(0.04 + 0.6 * np.exp(-(((waves - peak) / 50.0) ** 2)), 4)
        lab = tuple(float(v) for v in np.round(spectrum_to_lab(waves, curve), 2))
        condition = Conditions("D50", 2, MeasurementCondition.M1)
        name = ("Tarn", "Ember 50 %")[index]
        found.append(Reading(name, f"A{index}", lab, Spectrum(waves, curve), condition))
    return tuple(found)


def cgats() -> tuple[bytes, ...]:
    """Lab and spectra as text, with points and with commas."""
    text = render_cgats(_readings())
    short = (
        'CGATS.17\nILLUMINANT "D50"\nOBSERVER "2"\nMEASUREMENT_CONDITION "M1"\n'
        "NUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID;LAB_L;LAB_A;LAB_B\nEND_DATA_FORMAT\n"
        "NUMBER_OF_SETS 2\nBEGIN_DATA\n1;38,2;-22,0;-18,1\n2;60,1;55,5;60,0\nEND_DATA\n"
    )
    return text.encode(), short.encode(), short.replace(";", "\t").replace(",", ".").encode()


def cxf() -> tuple[bytes, ...]:
    """The same as XML."""
    return (render_cxf(_readings()),)


def placements() -> tuple[bytes, ...]:
    """Kept placements of two decals on one sheet."""
    spots = [[0, 20.5, 30.0, 0.0], [0, 80.5, 30.0, 90.0]]
    marks = [hashlib.sha256(b"mark").hexdigest()]
    content = {"format": 3, "request": "asked", "silhouettes": marks, "sheets": [spots]}
    return (json.dumps(content, indent=1).encode(),)


def ledgers() -> tuple[bytes, ...]:
    """Three signed entries, one a line."""
    key = SecretKey.from_pem(_PEM)
    hex_ = key.public.hex
    entries = [
        sign_entry(
            Deed(Act.TRUST, "Wren", 0, hex_, "Wren", "2027-01-01", "maker"), Head(0, GENESIS), key
        )
    ]
    entries.append(
        sign_entry(
            Deed(Act.OFFER, "o-1", 1, "ab" * 32, "Wren", "2027-01-02", "Wren"),
            head_of(entries),
            key,
        )
    )
    entries.append(
        sign_entry(
            Deed(Act.AGREE, "o-1", 1, "ab" * 32, "Wren", "2027-01-03"), head_of(entries), key
        )
    )
    return ("\n".join(entry.to_json() for entry in entries).encode(),)


def receipts() -> tuple[bytes, ...]:
    """One entry, as it is handed out."""
    key = SecretKey.from_pem(_PEM)
    deed = Deed(Act.AGREE, "o-1", 1, "ab" * 32, "Wren", "2027-01-03")
    return (json.dumps(asdict(sign_entry(deed, Head(2, GENESIS), key)), indent=1).encode(),)


def pems() -> tuple[bytes, ...]:
    """A key as it is kept."""
    return (_PEM,)


_PEM = SecretKey(Ed25519PrivateKey.from_private_bytes(bytes(range(32)))).to_pem()
