"""An SVG file opened with nothing let in but its own elements.

No entities, no document type but the W3C's own (which is never fetched), no network, no
scripts, no references out of the file; and bounds on bytes, elements and depth, so that a hostile
file fails at once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from lxml import etree

from livery.errors import ArtworkError, Fault
from livery.file_kinds import kind_of_file

SVG = "{http://www.w3.org/2000/svg}"
XLINK_HREF = "{http://www.w3.org/1999/xlink}href"

MAX_BYTES = 2_000_000
"""Largest artwork file read (workshop choice)."""
MAX_ELEMENTS = 10_000
"""Most elements in a file (workshop choice)."""
MAX_ATTRIBUTES = 200
"""Most attributes of an element (workshop choice)."""
MAX_DEPTH = 64
"""Deepest nesting, in the file and through ``use`` (workshop choice)."""

_REFUSED = {
    "script": "Take the script out; artwork only draws",
    "image": "Draw it as paths; a picture cannot be separated into the season's inks",
    "foreignObject": "Draw it as paths",
    "video": "Draw it as paths",
    "audio": "Take it out",
    "iframe": "Take it out",
    "animate": "Take the animation out",
    "animateTransform": "Take the animation out",
    "animateMotion": "Take the animation out",
    "set": "Take the animation out",
}
_DOCTYPE = re.compile(
    rb"<!DOCTYPE(?!\s+svg\s+PUBLIC\s+['\"]-//W3C//DTD SVG [^\[>]*>)|<!ENTITY", re.I
)
_ENCODINGS = ("UTF-8", "ASCII", "US-ASCII", "ISO-8859-1", "WINDOWS-1252")
_OUTWARD = re.compile(r"@import|url\(\s*['\"]?(?!#)|expression\(|javascript:", re.IGNORECASE)


def open_svg(path: Path) -> etree._Element:
    """Parse an SVG file and refuse whatever it must not hold.

    Args:
        path: the file.

    Returns:
        The root ``svg`` element.

    Raises:
        ArtworkError: missing, unreadable, too large, not well-formed, not SVG, or holding
            anything that reaches outside or acts; every fault found, in file order.
    """
    root = _parse(path, _read(path))
    if root.tag != f"{SVG}svg":
        raise ArtworkError(
            Fault(
                str(path),
                str(root.tag)[:40],
                line_of(root),
                "the root element is not svg in the SVG namespace",
                'Save it as SVG with xmlns="http://www.w3.org/2000/svg"',
            )
        )
    faults = list(_faults(root, path))
    if faults:
        raise ArtworkError(*faults[:20])
    return root


def _read(path: Path) -> bytes:
    def fail(found: str, mend: str) -> ArtworkError:
        return ArtworkError(Fault(str(path), "", None, found, mend))

    try:
        if path.exists() and not path.is_file():
            raise fail("it is not a file", "Name an SVG file")
        with path.open("rb") as stream:
            data = stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise fail(f"cannot be read ({reason})", "Check the artwork's path") from error
    if len(data) > MAX_BYTES:
        raise fail(
            f"it is larger than {MAX_BYTES / 1e6:g} MB", "Simplify the paths, or take pictures out"
        )
    if not data.strip():
        raise fail("the file is empty", "Export the artwork again")
    return data


def _parse(path: Path, data: bytes) -> etree._Element:
    kind = kind_of_file(data)
    if kind and "SVG" not in kind and "XML" not in kind:
        mend = "Export the artwork as SVG; a picture cannot be separated into the season's inks"
        raise ArtworkError(Fault(str(path), "", None, f"this is {kind}", mend))
    if b"\x00" in data:
        raise ArtworkError(Fault(str(path), "", None, "it is not UTF-8 text", "Save it in UTF-8"))
    if match := _DOCTYPE.search(data):
        raise _doctype_error(path, data.count(b"\n", 0, match.start()) + 1)
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        huge_tree=False,
        remove_comments=True,
    )
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        line = error.lineno if error.lineno and error.lineno > 0 else None
        found = f"not well-formed XML ({error.msg or 'nothing in it'})"
        raise ArtworkError(
            Fault(str(path), "", line, found, "Export the artwork again as plain SVG")
        ) from None
    encoding = str(root.getroottree().docinfo.encoding or "UTF-8").upper()
    if encoding not in _ENCODINGS:
        found = f"it is encoded in {encoding[:20]}"
        raise ArtworkError(Fault(str(path), "", 1, found, "Save it in UTF-8"))
    return root


def _doctype_error(path: Path, line: int) -> ArtworkError:
    mend = "Export it as plain SVG without the editor's own data, or take DOCTYPE and entities out"
    return ArtworkError(Fault(str(path), "DOCTYPE", line, "a document type is declared", mend))


def _faults(root: etree._Element, path: Path) -> Iterator[Fault]:
    """Walk the whole tree without recursion, counting and checking."""
    count = 0
    stack = [(root, 1)]
    while stack:
        element, depth = stack.pop()
        count += 1
        if count > MAX_ELEMENTS or depth > MAX_DEPTH:
            what = f"more than {MAX_ELEMENTS} elements"
            if depth > MAX_DEPTH:
                what = f"elements nested deeper than {MAX_DEPTH}"
            yield Fault(str(path), "", line_of(element), what, "Simplify or flatten the drawing")
            return
        yield from _element_faults(element, path)
        stack.extend((child, depth + 1) for child in reversed(element))


def _element_faults(element: etree._Element, path: Path) -> Iterator[Fault]:
    line = line_of(element)
    if not isinstance(element.tag, str):
        target = getattr(element, "target", "entity reference")
        mend = "Take the processing instruction or entity out"
        yield Fault(str(path), str(target), line, "is not an element", mend)
        return
    name = etree.QName(element).localname
    if element.tag.startswith(SVG) and name in _REFUSED:
        yield Fault(str(path), name, line, f"{name} elements are not read", _REFUSED[name])
        return
    if element.tag == f"{SVG}style" and _OUTWARD.search(element.text or ""):
        mend = "Take imports and addresses out; artwork stands alone"
        yield Fault(str(path), name, line, "the style sheet points out of the file", mend)
    place = place_of(element)
    if len(element.attrib) > MAX_ATTRIBUTES:
        found = f"it has {len(element.attrib):,} attributes"
        yield Fault(str(path), place, line, found, f"Leave at most {MAX_ATTRIBUTES}")
        return
    for key, value in attributes_of(element).items():
        yield from _attribute_faults(key, value, place, line, path)


def _attribute_faults(
    key: str, value: str, place: str, line: int | None, path: Path
) -> Iterator[Fault]:
    local = key.rpartition("}")[2]
    shown = value if len(value) <= 40 else value[:37] + "..."
    if local.lower().startswith("on"):
        mend = "Take the script out; artwork only draws"
        yield Fault(str(path), place, line, f"{local} runs a script", mend)
    elif local in ("href", "src") and not value.startswith("#"):
        mend = "Refer to an element of the same file as #its-id, or draw it in place"
        yield Fault(str(path), place, line, f"{local}={shown!r} points out of the file", mend)
    elif local == "base" and key != local:
        yield Fault(str(path), place, line, "xml:base moves references", "Take xml:base out")
    elif _OUTWARD.search(value):
        mend = "Take the reference out; artwork stands alone"
        yield Fault(str(path), place, line, f"{local}={shown!r} points out of the file", mend)


def place_of(element: etree._Element) -> str:
    """How to say which element: its name and id."""
    name = etree.QName(element).localname
    identity = element.get("id")
    return f"{name}#{identity[:40]}" if identity else name


def line_of(element: etree._Element) -> int | None:
    """The line an element starts on, 1-based, or None where unknown."""
    line = element.sourceline
    return line if isinstance(line, int) and line > 0 else None


def attributes_of(element: etree._Element) -> dict[str, str]:
    """An element's attributes as text."""
    return {str(key): str(value) for key, value in element.attrib.items()}
