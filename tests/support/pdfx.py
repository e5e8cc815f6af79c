"""What PDF/X-4 and ISO 19593-1 ask of a file's structure, as far as our files use them.

Rules from facts of ISO 15930-7 read in public sources or from memory: not a validator of all of
PDF/X-4. Every rule is proved by a file with that one fault.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

import pikepdf
from pdf_walk import walk

STEPS = {
    "Structural": {"Cutting", "PartialCutting", "ReversePartialCutting", "Creasing"},
    "White": {"White"},
    "Varnish": {"Varnish"},
}
PAINT_SPACES = {"DeviceCMYK", "DeviceGray", "Separation", "DeviceN", "Lab", "ICCBased"}
FORBIDDEN_SPOTS = {"All", "None", "Cyan", "Magenta", "Yellow", "Black", ""}
XMP_NEEDED = {
    "PDF/X-4": r"<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>",
    "create date": r"<xmp:CreateDate>\d{4}-\d\d-\d\dT[\d:]+[+-]\d\d:\d\d</xmp:CreateDate>",
    "modify date": r"<xmp:ModifyDate>\d{4}-\d\d-\d\dT",
    "metadata date": r"<xmp:MetadataDate>\d{4}-\d\d-\d\dT",
    "document ID": r"<xmpMM:DocumentID>uuid:[0-9a-f-]{36}</xmpMM:DocumentID>",
    "version ID": r"<xmpMM:VersionID>[^<]+</xmpMM:VersionID>",
    "rendition class": r"<xmpMM:RenditionClass>[^<]+</xmpMM:RenditionClass>",
    "title": r"<dc:title>.*<rdf:li[^>]*>[^<]+</rdf:li>.*</dc:title>",
    "trapped": r"<pdf:Trapped>(True|False)</pdf:Trapped>",
    "namespace": r"xmlns:pdfxid=\"http://www.npes.org/pdfx/ns/id/\"",
}


def pdfx_faults(pdf: bytes | Path) -> list[str]:
    """Every fault found in a file that claims PDF/X-4; none when it is sound."""
    data = pdf if isinstance(pdf, bytes) else pdf.read_bytes()
    with pikepdf.open(io.BytesIO(data)) as document:
        faults = [
            *_header(data, document),
            *_information(document),
            *_xmp(document),
            *_intent(document),
            *_layers(document),
            *_objects(document),
        ]
        for number, page in enumerate(document.pages):
            faults += [f"page {number + 1}: {fault}" for fault in _boxes(page.obj)]
    return faults + list(_painted(data))


def _header(data: bytes, document: pikepdf.Pdf) -> Iterator[str]:
    if not data.startswith(b"%PDF-1.6"):
        yield f"version is {data[5:8]!r}, not 1.6"
    if "/Encrypt" in document.trailer:
        yield "encrypted"
    identity = document.trailer.get("/ID")
    if identity is None or len(identity) != 2 or not all(len(bytes(part)) for part in identity):
        yield "trailer has no ID"


def _information(document: pikepdf.Pdf) -> Iterator[str]:
    information = document.trailer.get("/Info", pikepdf.Dictionary())
    if not str(information.get("/Title", "")).strip():
        yield "Info has no title"
    for key in ("/CreationDate", "/ModDate"):
        if not re.match(r"D:\d{14}", str(information.get(key, ""))):
            yield f"Info has no {key[1:]}"
    if str(information.get("/Trapped", "")) not in ("/True", "/False"):
        yield "Trapped is neither True nor False"
    if "/Lang" not in document.Root:
        yield "no language"


def _xmp(document: pikepdf.Pdf) -> Iterator[str]:
    if "/Metadata" not in document.Root:
        yield "no XMP"
        return
    stream = document.Root.Metadata
    if "/Filter" in stream:
        yield "XMP is compressed"
    packet = stream.read_bytes().decode("utf-8")
    for what, pattern in XMP_NEEDED.items():
        if not re.search(pattern, packet, re.DOTALL):
            yield f"XMP lacks {what}"


def _intent(document: pikepdf.Pdf) -> Iterator[str]:
    intents = [
        i for i in document.Root.get("/OutputIntents", []) if str(i.get("/S", "")) == "/GTS_PDFX"
    ]
    if len(intents) != 1:
        yield f"{len(intents)} PDF/X output intents"
        return
    intent = intents[0]
    custom = str(intent.get("/OutputConditionIdentifier", "")) == "Custom"
    place = "/OutputCondition" if custom else "/RegistryName"
    for key in ("/OutputConditionIdentifier", "/Info", place):
        if not str(intent.get(key, "")):
            yield f"output intent lacks {key[1:]}"
    profile = intent.get("/DestOutputProfile")
    if profile is None:
        yield "output intent has no profile"
        return
    icc = profile.read_bytes()
    if icc[12:16] != b"prtr" or icc[36:40] != b"acsp":
        yield "the profile is no printer profile"
    if int(profile.get("/N", 0)) != {b"CMYK": 4, b"GRAY": 1, b"RGB ": 3}.get(icc[16:20]):
        yield "the profile's N is not its number of channels"


def _layers(document: pikepdf.Pdf) -> Iterator[str]:
    content = document.Root.get("/OCProperties")
    if content is None:
        return
    shown = content.get("/D", pikepdf.Dictionary())
    if not str(shown.get("/Name", "")):
        yield "the layer configuration has no name"
    if "/AS" in shown:
        yield "the layer configuration has /AS"
    if str(shown.get("/BaseState", "/ON")) != "/ON" or len(shown.get("/OFF", [])):
        yield "a layer is off"
    ordered = {group.objgen for group in shown.get("/Order", [])}
    for group in content.OCGs:
        if not str(group.get("/Name", "")):
            yield "a layer has no name"
        if group.objgen not in ordered:
            yield f"layer {group.get('/Name')} is not in the order"
        step = group.get("/GTS_Metadata")
        if step is not None:
            name = str(step.get("/GTS_ProcStepsGroup", "/"))[1:]
            if str(step.get("/GTS_ProcStepsType", "/"))[1:] not in STEPS.get(name, set()):
                yield f"layer {group.get('/Name')} names no processing step"


def _boxes(page: pikepdf.Object) -> Iterator[str]:
    boxes = {
        key: [float(side) for side in page[key]]
        for key in ("/MediaBox", "/BleedBox", "/TrimBox", "/ArtBox")
        if key in page
    }
    if "/TrimBox" not in boxes and "/ArtBox" not in boxes:
        yield "no TrimBox"
    if "/TrimBox" in boxes and "/ArtBox" in boxes:
        yield "TrimBox and ArtBox both"
    for inner, outer in (("/TrimBox", "/BleedBox"), ("/BleedBox", "/MediaBox")):
        if inner in boxes and outer in boxes and not _within(boxes[inner], boxes[outer]):
            yield f"{inner[1:]} is not within {outer[1:]}"
    if "/AA" in page or "/Annots" in page:
        yield "annotations or actions"


def _within(inner: list[float], outer: list[float]) -> bool:
    slack = 1e-3
    low = all(i >= o - slack for i, o in zip(inner[:2], outer[:2], strict=True))
    return low and all(i <= o + slack for i, o in zip(inner[2:], outer[2:], strict=True))


def _objects(document: pikepdf.Pdf) -> Iterator[str]:
    for key in ("/OpenAction", "/AA", "/AcroForm"):
        if key in document.Root:
            yield f"catalogue has {key[1:]}"
    if "/JavaScript" in document.Root.get("/Names", {}):
        yield "scripts"
    for item in document.objects:
        if not isinstance(item, pikepdf.Dictionary | pikepdf.Stream | pikepdf.Array):
            continue
        if isinstance(item, pikepdf.Array):
            yield from _separation_faults(item)
        elif str(item.get("/Type", "")) == "/Font":
            yield from _font_faults(item)
        elif str(item.get("/Type", "")) == "/Action" or str(item.get("/S", "")) == "/JavaScript":
            yield "an action"


def _separation_faults(space: pikepdf.Array) -> Iterator[str]:
    if len(space) != 4 or str(space[0]) != "/Separation":
        return
    alternate = space[2]
    family = str(alternate[0]) if isinstance(alternate, pikepdf.Array) else str(alternate)
    if str(space[1]) != "/All" and family != "/Lab":
        yield f"spot {str(space[1])[1:]} has alternate {family[1:]}, not Lab"


def _font_faults(font: pikepdf.Object) -> Iterator[str]:
    if str(font.get("/Subtype", "")) == "/Type0":
        return  # its descendant is a font of its own
    descriptor = font.get("/FontDescriptor")
    files = ("/FontFile", "/FontFile2", "/FontFile3")
    if descriptor is None or not any(key in descriptor for key in files):
        yield f"font {font.get('/BaseFont')} is not embedded"


def _painted(data: bytes) -> Iterator[str]:
    told: dict[str, None] = {}
    for item in walk(data):
        if item.space not in PAINT_SPACES:
            told[f"{item.what} painted in {item.space}"] = None
        if item.step is not None:
            if item.space != "Separation" or item.ink in FORBIDDEN_SPOTS:
                ink = item.ink or item.space
                told[f"step layer {item.layer} paints {ink}, not a spot of its own"] = None
            elif not item.overprint:
                told[f"step layer {item.layer} does not overprint"] = None
    yield from told
