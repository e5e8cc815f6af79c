import math
import time

import pytest

from livery.artwork import read_artwork
from livery.errors import ArtworkError

RECT = '<rect data-ink="tarn" width="2" height="2"/>'


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("", "nothing in it prints"),
        ('<rect width="2" height="2"/>', "no ink"),
        ("<script>1</script>", "script"),
        ("<style>@import url(x.css);</style>", "points out of the file"),
        ("<style>path { fill: none }</style>", "is not for a class"),
        ("<style>.a { fill: none </style>", "is not for a class"),
        ("<style>@media print { .a { fill: none } }</style>", "is not for a class"),
        ('<image href="data:image/png;base64,AA" width="2" height="2"/>', "separated into"),
        ('<use href="other.svg#a" data-ink="tarn"/>', "points out of the file"),
        ('<use href="#absent" data-ink="tarn"/>', "#absent"),
        ('<use data-ink="tarn"/>', "use refers"),
        ('<a href="https://example.org"><rect/></a>', "points out of the file"),
        ('<rect data-ink="tarn" onclick="x()" width="1" height="1"/>', "runs a script"),
        ('<rect data-ink="tarn" style="fill:url(http://x/y)" width="1" height="1"/>', "out of"),
        ('<rect data-ink="tarn" fill="url(#g)" width="1" height="1"/>', "gradient"),
        ('<rect data-ink="tarn" opacity=".5" width="1" height="1"/>', "ink is solid"),
        ('<rect data-ink="tarn" clip-path="url(#c)" width="1" height="1"/>', "clip-path"),
        ('<path data-ink="tarn" marker-end="url(#m)" d="M0 0H9"/>', "marker-end is not read"),
        ('<path data-ink="tarn" vector-effect="non-scaling-stroke" d="M0 0H9"/>', "vector-effect"),
        ('<g transform-origin="4 4" transform="rotate(9)"><rect/></g>', "transform-origin"),
        ('<rect data-ink="tarn" style="transform:scale(2)" width="1" height="1"/>', "attribute"),
        ('<style>.a{x:4px}</style><rect data-ink="tarn" class="a"/>', "x in a style"),
        ('<rect data-ink="tarn" fill="rgba(0, 0, 0, .5)" width="1" height="1"/>', "ink is solid"),
        ('<rect data-ink="tarn" fill="rgb(0 0 0 / 40%)" width="1" height="1"/>', "ink is solid"),
        ('<rect data-ink="tarn" fill="#12345680" width="1" height="1"/>', "ink is solid"),
        ('<g id="a"><use href="#a" data-ink="tarn"/></g>', "draws itself"),
        (f'<g id="a">{RECT}</g><g id="a"/><use href="#a"/>', "'#a', which several have"),
        ('<g data-part="outline"><rect width="9" height="9"/></g>', "stands on a g"),
        ('<text data-ink="tarn" letter-spacing="2">a</text>', "letter-spacing='2' of text"),
        ('<g style="text-decoration:underline"><text data-ink="tarn">a</text></g>', "decoration"),
        ('<text data-ink="tarn" dx="3">a</text>', "dx='3' of text"),
        ('<text data-ink="tarn" stroke="#000">a</text>', "a stroke on text"),
        ('<rect data-ink="tarn" width="50%" height="1"/>', "relative"),
        ('<rect data-ink="tarn" width="2em" height="1"/>', "relative"),
        ('<rect data-ink="tarn" width="nan" height="1"/>', "not a length"),
        ('<rect data-ink="tarn" width="1e300" height="1"/>', "too large"),
        ('<rect data-ink="tarn" width="1cm" height="1"/>', "come out as 75.59 mm"),
        ('<g style="stroke-width:1pt"><rect/></g>', "stroke-width='1pt' would come out as 2.667"),
        ('<text data-ink="tarn" font-size="4mm">a</text>', "Write 2, without a unit"),
        ('<text data-ink="tarn"><tspan x="1in">a</tspan></text>', "Write 12.7, without"),
        ('<circle data-ink="tarn" r="-1"/>', "negative"),
        ('<rect data-ink="tarn" x="90000" width="1" height="1"/>', "farther than"),
        ('<path data-ink="tarn" d="M0 0L1 NaN"/>', "NaN"),
        ('<path data-ink="tarn" d="M0 0L1 1e400 2 2"/>', "too large"),
        ('<polygon data-ink="tarn" points="0 0 1"/>', "not pairs"),
        ('<g transform="spin(3)"><rect/></g>', "spin"),
        ('<g transform="scale(0)"><rect/></g>', "nothing to draw"),
        ('<g transform="rotate(1 2)"><rect/></g>', "rotate takes 1 or 3"),
        ('<g transform="matrix(1 0 0 1 nan 0)"><rect/></g>', "nan"),
        ('<marquee data-ink="tarn"/>', "marquee elements are not read"),
        ('<text data-ink="tarn">a<tspan>b</tspan></text>', "other elements"),
        ("<text>a</text>", "no ink"),
        ('<text data-ink="tarn"><tspan>a</tspan><tspan>b</tspan></text>', "other elements"),
        ('<text data-ink="tarn" data-fit-width-mm="-4">a</text>', "is not a width"),
        ('<rect data-ink="tarn" stroke="#000" stroke-width="-1" width="1" height="1"/>', "negat"),
        ('<rect data-part="edge" width="1" height="1"/>', "data-part"),
        ('<rect data-part="outline" width="1" height="1"/>' + RECT, "2 elements"),
        ("<g>" * 70 + "</g>" * 70, "nested deeper"),
        ("<g/>" * 10_001, "more than 10000 elements"),
        ("<?xml-stylesheet href='a.css'?>" + RECT, "xml-stylesheet"),
    ],
)
def test_what_cannot_be_read_is_said(svg, body, words):
    with pytest.raises(ArtworkError, match=words) as caught:
        read_artwork(svg(body))
    assert all(fault.mend and fault.file.endswith("art.svg") for fault in caught.value.faults)


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        ("", "no cut line"),
        ('<path data-part="outline" d="M0 0H5V5"/>', "not closed"),
        ('<path data-part="outline" d=""/>', "not closed"),
        ('<path data-part="outline" d="M0 0H5V5Z M8 0H9V1Z"/>', "once round one area"),
        ('<line data-part="outline" x2="5"/>', "not closed"),
        ('<rect data-part="outline" data-ink="tarn" width="5" height="5"/>', "carries an ink"),
    ],
)
def test_a_cut_line_goes_once_round(svg, outline, words):
    with pytest.raises(ArtworkError, match=words):
        read_artwork(svg(RECT, outline))


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ('viewBox="0 0 20 10"', "width is not stated"),
        ('width="100%" height="100%" viewBox="0 0 20 10"', "relative"),
        ('width="-4mm" height="20mm" viewBox="0 0 20 10"', "no size"),
        ('width="40mm" height="20mm" viewBox="0 0 20 0"', "not four numbers"),
        ('width="40mm" height="20mm" viewBox="0 0 20"', "not four numbers"),
        ('width="40mm" height="20mm" viewBox="0 0 20 nan"', "nan"),
        ('width="40mm" height="20mm" viewBox="0 0 20 20"', "proportions"),
    ],
)
def test_a_file_states_its_size(svg, head, words):
    with pytest.raises(ArtworkError, match=words):
        read_artwork(svg(RECT, head=head))


DECLARED = "a document type is declared"
LAUGHS = "".join(f'<!ENTITY l{i} "{f"&l{i - 1};" * 10}">' for i in range(1, 10))
HOSTILE = {
    "laughs": (f'<!DOCTYPE svg [<!ENTITY l0 "ha">{LAUGHS}]><svg>&l9;</svg>'.encode(), DECLARED),
    "file": (b'<!DOCTYPE svg [<!ENTITY e SYSTEM "file:///etc/passwd">]><svg>&e;</svg>', DECLARED),
    "system": (b'<!DOCTYPE svg SYSTEM "http://127.0.0.1:1/x.dtd"><svg/>', DECLARED),
    "wide": ('<!DOCTYPE svg [<!ENTITY e "x">]><svg/>'.encode("utf-16"), "not UTF-8 text"),
    "empty": (b"", "the file is empty"),
    "blank": (b" \n ", "the file is empty"),
    "text": (b"not an svg at all", "not well-formed"),
    "png": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "a PNG picture"),
    "cut off": (b'<svg xmlns="http://www.w3.org/2000/svg"><rect', "not well-formed"),
    "html": (b"<html><body/></html>", "a web page"),
    "no namespace": (b'<svg width="1mm" height="1mm"/>', "not svg in the SVG namespace"),
    "attribute entity": (
        b'<!DOCTYPE svg [<!ENTITY e "M0 0">]><svg><path d="&e;"/></svg>',
        DECLARED,
    ),
    "odd encoding": (b'<?xml version="1.0" encoding="UTF-7"?><svg/>', "encoded in UTF-7"),
    "big": (
        b'<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0'
        + b"L1 1" * 2_600_000
        + b'"/></svg>',
        "larger than 2 MB",
    ),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_fails_at_once(tmp_path, name):
    path = tmp_path / "art.svg"
    data, words = HOSTILE[name]
    path.write_bytes(data)
    start = time.process_time()
    with pytest.raises(ArtworkError, match=words) as caught:
        read_artwork(path)
    assert time.process_time() - start < 2
    assert len(str(caught.value)) < 400
    assert "root:" not in str(caught.value)


USE_BOMB = (
    "<defs><g id='a0' data-ink='tarn'><rect width='1' height='1'/></g>"
    + "".join(f"<g id='a{i}'>" + f"<use href='#a{i - 1}'/>" * 10 + "</g>" for i in range(1, 12))
    + "</defs><use href='#a11'/>"
)
USE_RING = "<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/><use href='#a'/></g>"
TURNS = [i * 900 * math.tau / 1801 for i in range(1801)]
STAR = " ".join(f"{10 + 9 * math.cos(t):.4f},{5 + 4 * math.sin(t):.4f}" for t in TURNS)
ZIGZAG = "".join(f"L{2 + i / 300:.4f} {2 + 6 * (i % 2)}" for i in range(3000))
TO_AND_FRO = "l1 1-1-1"
SCRIBBLE = f"fill='none' stroke='#000' stroke-width='3' d='M2 2{ZIGZAG}'"
CROSSINGS = "cross or touch themselves more than 20000 times"
LARGE = {
    "use bomb": (USE_BOMB, "more than 10000 elements"),
    "use in a ring": (USE_RING, "draws itself"),
    "long path": (
        f"<path data-ink='tarn' d='M0 0{TO_AND_FRO * 200_000}'/>",
        "more than 50000 commands",
    ),
    "long run": (
        f"<path data-ink='tarn' d='M0 0{' 1 1' * 400_000}'/>",
        "more than 50000 commands",
    ),
    "long stroke": (
        f"<path data-ink='tarn' stroke='#000' d='M0 0{TO_AND_FRO * 24_000}'/>",
        CROSSINGS,
    ),
    "star": (f"<polygon data-ink='tarn' points='{STAR}'/>", CROSSINGS),
    "scribble": (f"<path data-ink='tarn' {SCRIBBLE}/>", CROSSINGS),
    "star to cut": (f"<polygon data-part='outline' points='{STAR}'/>", "once round one area"),
}


@pytest.mark.parametrize("name", LARGE)
def test_a_drawing_too_large_fails_in_good_time(svg, name):
    body, words = LARGE[name]
    start = time.process_time()
    with pytest.raises(ArtworkError, match=words):
        read_artwork(svg(body))
    assert time.process_time() - start < 2


def test_the_w3cs_document_type_is_let_pass(tmp_path, svg):
    path = svg(RECT)
    doctype = (
        '<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN"'
        ' "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    )
    path.write_text(doctype + path.read_text(encoding="utf-8"), encoding="utf-8")
    assert len(read_artwork(path).items) == 1


def test_a_missing_file_and_a_folder_are_said(tmp_path):
    with pytest.raises(ArtworkError, match="cannot be read"):
        read_artwork(tmp_path / "absent.svg")
    with pytest.raises(ArtworkError, match="not a file"):
        read_artwork(tmp_path)
