"""Our files carry what PDF/X-4 asks, and the checker sees each omission: one fault at a time."""

import io
import subprocess
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import pikepdf
import pytest
from drawings import picture_page, sheet, small_picture
from pdfx import pdfx_faults
from pikepdf import Array, Dictionary, Name
from press import darker_press

from livery.output import render_pdf

Mutation = Callable[[pikepdf.Pdf], None]


@pytest.fixture(scope="module")
def sound() -> bytes:
    return render_pdf(sheet())


def test_a_sheet_has_no_fault(sound: bytes) -> None:
    assert pdfx_faults(sound) == []


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "LA", "1", "P", "I;16"])
def test_a_picture_of_any_kind_has_no_fault(mode: str) -> None:
    assert pdfx_faults(render_pdf(picture_page(small_picture(mode), "FOGRA39L"))) == []


def test_a_printers_own_condition_has_no_fault() -> None:
    icc = darker_press()
    own = render_pdf(replace(sheet(), output_condition="Mill Lane coated", output_profile=icc))
    assert pdfx_faults(own) == []
    with pikepdf.open(io.BytesIO(own)) as pdf:
        intent = pdf.Root.OutputIntents[0]
        assert str(intent.OutputCondition) == str(intent.Info) == "Mill Lane coated"
        assert intent.DestOutputProfile.read_bytes() == icc


def test_qpdf_finds_it_sound(sound: bytes, tmp_path: Path, qpdf: str) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sound)
    subprocess.run([qpdf, "--check", str(path)], check=True, capture_output=True)


def _kiss_cut(pdf: pikepdf.Pdf) -> pikepdf.Object:
    return next(group for group in pdf.Root.OCProperties.OCGs if group.Name == "kiss cut")


def _at(find: Callable[[pikepdf.Pdf], pikepdf.Object], key: str, value: object = None) -> Mutation:
    """A change of one key of what is found; it is taken away where no value is given."""

    def change(pdf: pikepdf.Pdf) -> None:
        holder = find(pdf)
        if value is None:
            del holder[key]
        else:
            holder[key] = value

    return change


_information = partial(_at, lambda pdf: pdf.docinfo)
_root = partial(_at, lambda pdf: pdf.Root)
_intent = partial(_at, lambda pdf: pdf.Root.OutputIntents[0])
_page = partial(_at, lambda pdf: pdf.pages[0].obj)
_shown = partial(_at, lambda pdf: pdf.Root.OCProperties.D)
_layer = partial(_at, _kiss_cut)
_step = partial(_at, lambda pdf: _kiss_cut(pdf).GTS_Metadata)


def _xmp(old: str, new: str) -> Mutation:
    def change(pdf: pikepdf.Pdf) -> None:
        packet = pdf.Root.Metadata.read_bytes().decode()
        assert old in packet
        pdf.Root.Metadata.write(packet.replace(old, new).encode())

    return change


def _profile(start: int, code: bytes) -> Mutation:
    def change(pdf: pikepdf.Pdf) -> None:
        profile = pdf.Root.OutputIntents[0].DestOutputProfile
        data = profile.read_bytes()
        profile.write(data[:start] + code + data[start + len(code) :])

    return change


def _content(addition: bytes) -> Mutation:
    def change(pdf: pikepdf.Pdf) -> None:
        pdf.pages[0].contents_add(addition)

    return change


def _in_kiss_cut(paint: bytes) -> Mutation:
    def change(pdf: pikepdf.Pdf) -> None:
        groups = pdf.pages[0].Resources.Properties
        key = next(key for key in groups if groups[key].Name == "kiss cut")
        pdf.pages[0].contents_add(b"/OC " + key.encode() + b" BDC " + paint + b" 0 0 9 9 re f EMC")

    return change


def _unembed(pdf: pikepdf.Pdf) -> None:
    for item in pdf.objects:
        if isinstance(item, Dictionary) and item.get("/Type") == Name.FontDescriptor:
            del item["/FontFile2"]


def _spot_alternate(pdf: pikepdf.Pdf) -> None:
    spaces = pdf.pages[0].Resources.ColorSpace
    spots = [space for space in spaces.values() if space[0] == Name.Separation]
    next(spot for spot in spots if spot[1] != Name.All)[2] = Name.DeviceCMYK


def _no_overprint(pdf: pikepdf.Pdf) -> None:
    state = pdf.pages[0].Resources.ExtGState["/GSover"]
    state.OP = state.op = False


def _second_intent(pdf: pikepdf.Pdf) -> None:
    pdf.Root.OutputIntents.append(pdf.Root.OutputIntents[0])


def _layer_off(pdf: pikepdf.Pdf) -> None:
    pdf.Root.OCProperties.D.OFF = Array([pdf.Root.OCProperties.OCGs[0]])


def _rgb_picture(pdf: pikepdf.Pdf) -> None:
    picture = pikepdf.Stream(pdf, b"abc", Type=Name.XObject, Subtype=Name.Image)
    picture.Width = picture.Height = 1
    picture.ColorSpace, picture.BitsPerComponent = Name.DeviceRGB, 8
    resources = pdf.pages[0].Resources
    resources.XObject["/Im9"] = picture
    pdf.pages[0].contents_add(b"/Im9 Do")


def _javascript(pdf: pikepdf.Pdf) -> None:
    pdf.Root.OpenAction = Dictionary(S=Name.JavaScript, JS="0")


FAULTS: dict[str, tuple[Mutation, str]] = {
    "Info title": (_information("/Title"), "Info has no title"),
    "Info creation date": (_information("/CreationDate"), "CreationDate"),
    "Info modification date": (_information("/ModDate"), "ModDate"),
    "Info trapped": (_information("/Trapped"), "Trapped"),
    "language": (_root("/Lang"), "no language"),
    "XMP": (_root("/Metadata"), "no XMP"),
    "XMP version": (_xmp("PDF/X-4</pdfxid", "PDF/X-3</pdfxid"), "XMP lacks PDF/X-4"),
    "XMP namespace": (_xmp("http://www.npes.org/pdfx", "http://example.org/pdfx"), "namespace"),
    "XMP create date": (_xmp("<xmp:CreateDate>", "<xmp:CreateDate>x"), "create date"),
    "XMP modify date": (_xmp("<xmp:ModifyDate>", "<xmp:ModifyDate>x"), "modify date"),
    "XMP metadata date": (_xmp("<xmp:MetadataDate>", "<xmp:MetadataDate>x"), "metadata date"),
    "XMP document ID": (_xmp("<xmpMM:DocumentID>uuid:", "<xmpMM:DocumentID>"), "document ID"),
    "XMP version ID": (_xmp("<xmpMM:VersionID>1", "<xmpMM:VersionID>"), "version ID"),
    "XMP rendition": (_xmp(">default<", "><"), "rendition class"),
    "XMP trapped": (_xmp("<pdf:Trapped>False", "<pdf:Trapped>Unknown"), "XMP lacks trapped"),
    "XMP title": (_xmp("dc:title", "dc:name"), "XMP lacks title"),
    "output intent": (_root("/OutputIntents"), "0 PDF/X output intents"),
    "second intent": (_second_intent, "2 PDF/X output intents"),
    "intent's kind": (_intent("/S", Name.GTS_PDFA1), "0 PDF/X output intents"),
    "intent's condition": (_intent("/OutputConditionIdentifier"), "OutputConditionIdentifier"),
    "intent's registry": (_intent("/RegistryName"), "RegistryName"),
    "intent's profile": (_intent("/DestOutputProfile"), "no profile"),
    "profile's class": (_profile(12, b"mntr"), "no printer profile"),
    "profile's channels": (_profile(16, b"RGB "), "number of channels"),
    "trim box": (_page("/TrimBox"), "no TrimBox"),
    "art box too": (_page("/ArtBox", [0, 0, 9, 9]), "TrimBox and ArtBox"),
    "trim beyond bleed": (_page("/TrimBox", [0, 0, 540, 432]), "TrimBox is not within"),
    "bleed beyond media": (_page("/BleedBox", [-9, 0, 540, 432]), "BleedBox is not within"),
    "annotation": (_page("/Annots", Array([])), "annotations"),
    "configuration's name": (_shown("/Name"), "configuration has no name"),
    "automatic states": (_shown("/AS", Array([])), "/AS"),
    "layers off by default": (_shown("/BaseState", Name.OFF), "a layer is off"),
    "layer off": (_layer_off, "a layer is off"),
    "layer out of order": (_shown("/Order", Array([])), "not in the order"),
    "layer's name": (_layer("/Name", ""), "a layer has no name"),
    "step's type": (_step("/GTS_ProcStepsType"), "names no processing step"),
    "step's group": (_step("/GTS_ProcStepsGroup", Name.Braille), "no processing step"),
    "step in a process ink": (_in_kiss_cut(b"/GSover gs 0 0 0 1 k"), "not a spot of its own"),
    "step on all plates": (_in_kiss_cut(b"/GSover gs /CSall cs 1 scn"), "not a spot of its own"),
    "step that knocks out": (_no_overprint, "does not overprint"),
    "RGB": (_content(b"1 0 0 rg 0 0 9 9 re f"), "fill painted in DeviceRGB"),
    "RGB line": (_content(b"1 0 0 RG 0 0 9 9 re S"), "stroke painted in DeviceRGB"),
    "RGB picture": (_rgb_picture, "image painted in DeviceRGB"),
    "font": (_unembed, "not embedded"),
    "spot's alternate": (_spot_alternate, "alternate DeviceCMYK"),
    "script": (_javascript, "OpenAction"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_the_checker_sees_each_fault_alone(sound: bytes, fault: str) -> None:
    change, told = FAULTS[fault]
    faults = pdfx_faults(_changed(sound, change))
    assert faults
    assert all(told in one for one in faults), faults


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ({"force_version": "1.4"}, "version"),
        ({"encryption": pikepdf.Encryption(owner="x", user="")}, "encrypted"),
    ],
)
def test_the_checker_sees_faults_of_the_file(
    sound: bytes, options: dict[str, object], told: str
) -> None:
    assert any(told in one for one in pdfx_faults(_changed(sound, lambda _: None, **options)))


def test_the_checker_sees_a_trailer_without_id(sound: bytes) -> None:
    assert any("trailer" in one for one in pdfx_faults(sound.replace(b"/ID [", b"/Ix [")))


def test_without_a_condition_a_file_claims_no_standard() -> None:
    faults = pdfx_faults(render_pdf(replace(sheet(), output_condition="")))
    assert sorted(faults) == ["0 PDF/X output intents", "XMP lacks PDF/X-4"]


def _changed(sound: bytes, change: Mutation, **options: object) -> bytes:
    stream = io.BytesIO()
    with pikepdf.open(io.BytesIO(sound)) as pdf:
        change(pdf)
        if not options:
            options = {"force_version": "1.6"}
        pdf.save(stream, **options)  # type: ignore[arg-type]
    return stream.getvalue()
