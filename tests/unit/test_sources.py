"""Every source key that code or data cites resolves in the list of sources."""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import livery

PACKAGE = Path(livery.__file__).parent
STANDINGS = {
    "read",
    "from memory",
    "second-hand",
    "common practice, no source",
    "workshop choice",
    "tried",
    "invented",
}


def _listed() -> dict[str, dict[str, str]]:
    listed: dict[str, dict[str, str]] = {}
    for path in sorted((PACKAGE / "data" / "sources").glob("*.toml")):
        for key, entry in tomllib.loads(path.read_text("utf-8")).items():
            assert key not in listed, f"{path.name}: {key} is listed twice"
            listed[key] = entry
    return listed


def test_every_source_has_a_title_and_a_standing() -> None:
    for key, entry in _listed().items():
        assert entry["title"], key
        assert entry["standing"] in STANDINGS, f"{key}: {entry['standing']!r}"


def test_every_cited_key_is_listed() -> None:
    listed = _listed()
    cited = {
        (path.name, key)
        for path in PACKAGE.rglob("*.py")
        for key in re.findall(r"\[source: ([a-z0-9-]+)\]", path.read_text("utf-8"))
    }
    assert len(cited) > 100
    missing = {(name, key) for name, key in cited if key not in listed}
    assert not missing


def _cited_sections() -> Iterator[tuple[str, str]]:
    """(Place, text) of every Source section of every docstring."""
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef)
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            docstring = ast.get_docstring(node) if isinstance(node, documented) else None
            sections = re.finditer(r"^Sources?:\s*(.*?)(?=\n\n|\Z)", docstring or "", re.S | re.M)
            place = f"{path.relative_to(PACKAGE)}: {getattr(node, 'name', 'module')}"
            yield from ((place, section[1]) for section in sections)


def test_every_source_section_names_a_listed_source() -> None:
    listed = set(_listed())
    sections = list(_cited_sections())
    assert len(sections) > 100
    for place, text in sections:
        words = set(re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)*", text))
        assert words & listed, f"{place}: {text!r} names no listed source"
        assert set(re.findall(r"\[([a-z0-9-]+)\]", text)) <= listed, f"{place}: {text!r}"
