"""Every source key that code or data cites resolves in the list of sources."""

import re
import tomllib
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
    missing = {(name, key) for name, key in cited if key not in listed}
    assert not missing
