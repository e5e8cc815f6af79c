"""Data flows one way: nothing on the left imports from its right, and each library has one room."""

import ast
import importlib
import re
from functools import cache
from pathlib import Path

import livery

PACKAGE = Path(livery.__file__).parent
ORDER = [
    "errors",
    "file_kinds",
    "units",
    "leftovers",
    "writing",
    "geometry",
    "drawing",
    "colour",
    "scheme",
    "kit",
    "artwork",
    "limits",
    "placement",
    "views",
    "sheet",
    "output",
    "capture",
    "rehearsal",
    "match",
    "proof",
    "records",
    "crew",
    "jobs",
    "web",
    "cli",
]
ROOMS = {
    "reportlab": {"output"},
    "svgwrite": {"output"},
    "pikepdf": {"output"},
    "resvg_py": {"output"},
    "cv2": {"capture", "rehearsal"},
    "lxml": {"artwork", "scheme"},
    "spyrrow": {"sheet"},
    "tree_sitter": {"scheme"},
    "tree_sitter_toml": {"scheme"},
    "colormath": {"colour"},
    "bidi": {"artwork"},
    "uharfbuzz": {"artwork"},
    "fontTools": {"artwork"},
    "pydantic": {"scheme", "limits", "capture", "match", "web"},
    "typer": {"cli"},
    "rich": {"cli"},
    "jinja2": {"jobs", "web"},
    "dask": {"crew"},
    "distributed": {"crew"},
    "sqlalchemy": {"records"},
    "alembic": {"records"},
    "argon2": {"records"},
    "cryptography": {"records"},
    "fastapi": {"web"},
    "starlette": {"web"},
    "uvicorn": {"web"},
}
MODULES = sorted(PACKAGE.rglob("*.py"))


def _room(path: Path) -> str:
    parts = path.relative_to(PACKAGE).parts
    return parts[0].removesuffix(".py")


@cache
def _imports(path: Path) -> list[str]:
    names: list[str] = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names.append(node.module or "")
    return names


def _shared_values(name: str) -> bool:
    """The season's value types are shared vocabulary; colour names none of them."""
    return name == "livery.scheme.model"


def test_imports_run_one_way() -> None:
    backwards = [
        f"{path} imports {name}"
        for path in MODULES
        if (room := _room(path)) not in ("__init__", "data", "__main__")
        for name in _imports(path)
        if name.startswith("livery.") and not _shared_values(name)
        if (other := name.split(".")[1]) != "data" and ORDER.index(other) > ORDER.index(room)
    ]
    assert backwards == []


def test_each_library_has_one_room() -> None:
    astray = [
        f"{path} imports {name}"
        for path in MODULES
        for name in _imports(path)
        if _room(path) not in ROOMS.get(name.split(".")[0], {_room(path)})
    ]
    assert astray == []


def test_no_module_outgrows_a_reader() -> None:
    lines = {path: len(path.read_text("utf-8").splitlines()) for path in MODULES}
    assert {path: count for path, count in lines.items() if count > 400} == {}


def test_every_room_names_its_modules_in_its_map() -> None:
    unnamed = [
        str(path)
        for path in MODULES
        if path.parent != PACKAGE and path.parent.name not in ("cli", "migrations", "versions")
        if (path.parent / "__init__.py").exists() and path.name not in ("__init__.py", "model.py")
        if f"``{path.stem}``" not in (path.parent / "__init__.py").read_text("utf-8")
    ]
    assert unnamed == []


def test_maps_name_no_module_that_is_gone() -> None:
    gone = []
    for room in sorted({path.parent for path in MODULES if path.name == "__init__.py"} - {PACKAGE}):
        own = importlib.import_module(".".join(("livery", *room.relative_to(PACKAGE).parts)))
        here = {path.stem for path in (*room.iterdir(), *PACKAGE.iterdir())} | {*vars(own)}
        named = re.findall(r"``([a-z_]+)``", own.__doc__ or "")
        gone += [f"{room.name}: {name}" for name in named if name not in here]
    assert gone == []
