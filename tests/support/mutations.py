"""Good files made bad: the same one for the same seed and number, whatever the machine."""

import random
import re

_TOKENS = (
    b"1e999", b"-1e999", b"nan", b"inf", b"-inf", b"-0", b"0", b"-1", b"1e-320", b"0x1p3", b"1_0",
    b"9" * 30, b"9" * 400, b"9" * 5000, b"1e308",
    b"1.7976931348623157e308", b'"1e999 mm"', b'"-4.25 in"',
    b'"4,25"', b"4294967296", b"2147483647", b"65536", b"true", b"null", b"''", b'""', b"[]", b"{}",
    b"\0", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\xed\xa0\x80", b'"\\ud800"', b"\\u0000",
    b"\r\n", b"\r", b"\n", b"\t", b"\x1b[31m", b"\x85", b"\xe2\x80\xa8", b"\xe2\x80\xae",
    b"../../../../etc/passwd", b"/dev/zero", b"/dev/stdin", b"C:\\con", b"file:///etc/passwd",
    b"[" * 2000, b"{" * 2000, b'{"a":' * 2000, b"(" * 500, b"a." * 800, b"<g>" * 300, b"%s%n{0}",
    b"<!DOCTYPE a [<!ENTITY b 'c'>]>", b"&b;", b"&#0;", b"&#xD800;", b"<![CDATA[", b"-->", b"<?a?>",
    b"#", b";", b",", b'"', b"'", b'"""', b"=", b"[[", b"]]", b"]", b"}", b"\\", b"BEGIN_DATA\n",
    b"END_DATA\n", b"NUMBER_OF_SETS 1\n", b"M0", b"D65", b"10", b"100", b"-0.0", b"1e-12", b"0.5",
    "\u0661\u0662".encode(), "½".encode(), "−3".encode(), "𝟙".encode(), b"\xcc\x81" * 50,
)  # fmt: skip
_LONG = (
    b"1", b"1,", b"1 ", b"a", b" ", b"M0 0 ", b".", b"\n", b"-", b'"', b"A", b"\t", b"0.",
    b"2", b"a.", b"/*", b"scale(1)", b"1 1 0 0 1 2 2 ", b"{}", b'a="1" ', b'"a",', b"; ", b"# ",
)  # fmt: skip
_PIECE = re.compile(rb'-?[0-9]+(?:\.[0-9]+)?|"[^"\n]*"|[A-Za-z_]+|[^\sA-Za-z0-9]')


def mutate(seeds: tuple[bytes, ...], seed: int, number: int) -> bytes:
    """The bad file of that number.

    Args:
        seeds: good files to begin with.
        seed: names the whole series.
        number: which of the series.
    """
    draw = random.Random(f"{seed} {number}")
    content = draw.choice(seeds)
    if draw.random() < 0.02:
        return draw.randbytes(draw.randrange(300))
    for _ in range(draw.choice((1, 1, 1, 2, 3, 6))):
        content = draw.choice(_CHANGES)(draw, content, seeds)
    return content


def change(content: bytes, seeds: tuple[bytes, ...], seed: int) -> bytes:
    """A file changed in one place, the same for the same seed."""
    draw = random.Random(seed)
    return draw.choice(_CHANGES)(draw, content, seeds)


def _span(draw: random.Random, content: bytes, most: int = 64) -> tuple[int, int]:
    start = draw.randrange(len(content) + 1)
    return start, min(len(content), start + draw.randrange(most))


def _cut(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    start, stop = _span(draw, content)
    return content[:start] + content[stop:]


def _end_early(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    return content[: draw.randrange(len(content) + 1)]


def _repeat(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    start, stop = _span(draw, content, 200)
    times = draw.choice((1, 2, 30))
    return content[:stop] + content[start:stop] * times + content[stop:]


def _flip(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    if not content:
        return b"\0"
    changed = bytearray(content)
    for _ in range(draw.choice((1, 1, 4))):
        changed[draw.randrange(len(changed))] ^= 1 << draw.randrange(8)
    return bytes(changed)


def _set_bytes(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    start, _ = _span(draw, content)
    wide = draw.choice((1, 2, 4))
    value = draw.choice((0, 1, 0x7F, 0x80, 0xFF, 0x7FFFFFFF, 0xFFFFFFFF, draw.randrange(1 << 32)))
    order = draw.choice(("little", "big"))
    data = (value & ((1 << 8 * wide) - 1)).to_bytes(wide, order)  # type: ignore[arg-type]
    return content[:start] + data + content[start + wide :]


def _insert(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    start, _ = _span(draw, content)
    return content[:start] + draw.choice(_TOKENS) + content[start:]


def _replace_piece(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    """A number, word, text or sign becomes another, of this file or a bad one."""
    pieces = [match.span() for match in _PIECE.finditer(content[:20_000])]
    if not pieces:
        return _insert(draw, content, seeds)
    start, stop = draw.choice(pieces)
    other = draw.choice(pieces)
    new = draw.choice((draw.choice(_TOKENS), content[other[0] : other[1]]))
    if content[start:stop].startswith(b'"') and not new.startswith(b'"'):
        new = b'"' + new + b'"'
    return content[:start] + new + content[stop:]


def _lines(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    """A line is dropped, doubled or moved; or the line ends change."""
    lines = content.split(b"\n")
    way = draw.randrange(5)
    at = draw.randrange(len(lines))
    if way == 0:
        del lines[at]
    elif way == 1:
        lines.insert(at, lines[at])
    elif way == 2:
        lines.insert(draw.randrange(len(lines)), lines.pop(at))
    return draw.choice((b"\r\n", b"\r")).join(lines) if way == 3 else b"\n".join(lines)


def _splice(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    other = draw.choice(seeds)
    return content[: draw.randrange(len(content) + 1)] + other[draw.randrange(len(other)) :]


def _lengthen(draw: random.Random, content: bytes, seeds: tuple[bytes, ...]) -> bytes:
    """Very much of one thing: what takes a time that grows with the square shows here."""
    if draw.random() > 0.05:
        return _flip(draw, content, seeds)
    start, _ = _span(draw, content)
    return content[:start] + draw.choice(_LONG) * draw.choice((3000, 60_000)) + content[start:]


_CHANGES = (
    _cut, _end_early, _repeat, _flip, _flip, _set_bytes, _insert, _insert, _replace_piece,
    _replace_piece, _replace_piece, _replace_piece, _lines, _splice, _lengthen,
)  # fmt: skip
