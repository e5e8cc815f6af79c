"""Invented captures in any number: bats and gloves in three inks, near their aims and far."""

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import sqlalchemy as sa

from livery.match.model import Comparison
from livery.records import tables
from livery.records.history import Occasion, save_capture
from livery.records.store import Store
from livery.scheme.model import Palette


def captures(
    palette: Palette, count: int, items: tuple[str, ...] = ("bat", "glove")
) -> Iterator[str]:
    """Captures as JSON texts, the same for the same count and palette."""
    draw = np.random.default_rng(3)
    inks = palette.inks[:3]
    for number in range(count):
        ok = number % 10 != 9
        samples = [
            {
                "name": f"{item} {ink.key}",
                "item": item,
                "ink": ink.key,
                "lab": (np.array(ink.lab) + draw.normal(0, 0.9, 3)).tolist(),
                "cov": np.diag(draw.uniform(0.02, 0.3, 3) + 0.05).tolist(),
                "shared_cov": (np.eye(3) * 0.05).tolist(),
                "misfit_cov": None,
                "pixels": 4000,
                "source": f"{number:064x}",
                "material": "film" if item == "bat" else "leather",
                "withheld": "",
            }
            for item in items
            for ink in inks
        ]
        gate = {"gate": "focus", "ok": ok, "value": 1.0, "limit": 2.0, "advice": "Hold it still."}
        content = {"photo": f"{number}.jpg", "target": "t", "source": f"{number:064x}"}
        content |= {"absolute": True, "samples": samples, "gates": [gate]}
        yield json.dumps(content)


def write_files(folder: Path, texts: Iterator[str]) -> tuple[Path, ...]:
    """One file a capture."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for number, text in enumerate(texts):
        paths.append(folder / f"{number:05}.capture.json")
        paths[-1].write_text(text, "utf-8")
    return tuple(paths)


def enter(store: Store, number: int, text: str, verdicts: tuple[Comparison, ...]) -> int:
    """Enter one capture with its verdicts; its photograph is a few bytes."""
    photo = b"\xff\xd8\xff" + str(number).encode()
    occasion = Occasion(f"o-{number}", "bench 1", "", "2027-01-20")
    return save_capture(store, photo, f"{number}.jpg", json.loads(text), verdicts, occasion)


def read_comparisons(store: Store) -> tuple[dict[str, object], ...]:
    """Every verdict as entered, oldest first."""
    query = sa.select(tables.comparisons).order_by(tables.comparisons.c.id)
    with store.engine.connect() as connection:
        return tuple(dict(row) for row in connection.execute(query).mappings())


def keep_evidence(store: Store, data: bytes, name: str) -> str:
    """Keep bytes on which nothing rests; returns their SHA-256."""
    with store.keeping((data, name)) as (_, (digest,)):
        return digest
