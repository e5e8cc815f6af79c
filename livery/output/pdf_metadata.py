"""What a PDF says about itself: dates, identity, output intent.

Source:
    PDF/X-4 [source: iso-15930-7], XMP [source: iso-16684-1]
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from livery.colour.press import PressProfile

if TYPE_CHECKING:
    import pikepdf

_PRODUCER = "livery"
# Output conditions as the registry names and describes them [source: icc-registry]; any other is
# Custom, described by its profile, 14.11.5 [source: iso-32000-1]
_CONDITIONS = {"FOGRA39L": ("FOGRA39", "Coated paper, offset, ISO 12647-2:2004, FOGRA39L")}
_REGISTRY = "http://www.color.org"

_XMP = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
 xmlns:pdfxid="http://www.npes.org/pdfx/ns/id/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>
<xmp:CreateDate>{date}</xmp:CreateDate>
<xmp:ModifyDate>{date}</xmp:ModifyDate>
<xmp:MetadataDate>{date}</xmp:MetadataDate>
<xmp:CreatorTool>{producer}</xmp:CreatorTool>
<xmpMM:DocumentID>uuid:{identity}</xmpMM:DocumentID>
<xmpMM:InstanceID>uuid:{identity}</xmpMM:InstanceID>
<xmpMM:VersionID>1</xmpMM:VersionID>
<xmpMM:RenditionClass>default</xmpMM:RenditionClass>
<pdf:Producer>{producer}</pdf:Producer>
<pdf:Trapped>False</pdf:Trapped>{conformance}
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>
"""
_CONFORMANCE = "\n<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>"


@dataclass(frozen=True, slots=True)
class Identity:
    """What the document information and the XMP packet both say.

    Attributes:
        digest: of the content; the document's ID is made from its first 16 bytes.
        press: the output condition's profile; None for a document that is no PDF/X.
    """

    title: str
    language: str
    date: datetime
    digest: bytes
    press: PressProfile | None


def set_metadata(pdf: pikepdf.Pdf, identity: Identity) -> None:
    """Write /Info, the XMP packet, language, title display and, for PDF/X, the output intent."""
    from pikepdf import Dictionary, Name, Stream

    stamp = _pdf_date(identity.date)
    for key in list(pdf.docinfo.keys()):
        del pdf.docinfo[key]
    pdf.docinfo["/Title"] = identity.title
    pdf.docinfo["/Creator"] = pdf.docinfo["/Producer"] = _PRODUCER
    pdf.docinfo["/CreationDate"] = pdf.docinfo["/ModDate"] = stamp
    pdf.docinfo["/Trapped"] = Name("/False")
    packet = _packet(identity).encode("utf-8")
    pdf.Root.Metadata = Stream(pdf, packet, Type=Name.Metadata, Subtype=Name.XML)
    pdf.Root.Lang = identity.language
    pdf.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
    if identity.press is not None:
        _set_intent(pdf, identity.press)


def _packet(identity: Identity) -> str:
    return _XMP.format(
        title=escape(identity.title),
        language=escape(identity.language),
        date=identity.date.isoformat(timespec="seconds"),
        producer=_PRODUCER,
        identity=uuid.UUID(bytes=identity.digest[:16], version=5),
        conformance=_CONFORMANCE if identity.press else "",
    )


def _set_intent(pdf: pikepdf.Pdf, press: PressProfile) -> None:
    from pikepdf import Array, Dictionary, Name, Stream

    registered = _CONDITIONS.get(press.key)
    identifier, information = registered or ("Custom", press.key)
    profile = Stream(pdf, press.data, N=4, Alternate=Name.DeviceCMYK)
    intent = Dictionary(
        Type=Name.OutputIntent,
        S=Name.GTS_PDFX,
        OutputConditionIdentifier=identifier,
        Info=information,
        DestOutputProfile=pdf.make_indirect(profile),
    )
    if registered:
        intent.RegistryName = _REGISTRY
    else:
        intent.OutputCondition = press.key
    pdf.Root.OutputIntents = Array([pdf.make_indirect(intent)])


def _pdf_date(date: datetime) -> str:
    zone = date.strftime("%z")
    return date.strftime("D:%Y%m%d%H%M%S") + f"{zone[:3]}'{zone[3:5]}'"
