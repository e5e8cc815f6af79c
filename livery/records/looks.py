"""What kept photographs look like: copies of one, at another quality or size, look alike."""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from livery.capture.duplicate import is_fingerprint, unlikeness
from livery.capture.gates import LEAST_UNLIKE
from livery.records import tables
from livery.records.store import Store

_E, _C = tables.evidence.c, tables.captures.c
_OTHERS = sa.select(_E.sha256, _E.look).where(_E.look != "", _E.sha256 != sa.bindparam("photo"))
_FIRST = sa.select(_C.id, _C.bat).where(_C.photo == sa.bindparam("photo")).order_by(_C.id).limit(1)
_BY_PARTS = {"yield_per": 500}  # looks held at once, of all there are; workshop choice


@dataclass(frozen=True, slots=True)
class LookAlike:
    """A capture whose photograph looks just like another."""

    number: int
    bat: str

    @property
    def text(self) -> str:
        """What a person is to look at, in words."""
        return (
            f"This photograph looks just like number {self.number} of {self.bat}. A copy, at "
            "another quality or size, is no second piece of evidence: if it is one, take a new "
            "photograph."
        )


def find_look_alike(store: Store, photo: str, look: str) -> LookAlike | None:
    """The first capture of the photograph most like this one, if the two may be copies.

    Two photographs by a camera that stands fixed may look as much alike, so that it is for a
    person to say. Photographs kept before looks were noted are not found.

    Args:
        store: where they are.
        photo: SHA-256 of the photograph in question, which is not its own copy.
        look: its fingerprint; nothing is like one without.
    """
    likest, least = None, LEAST_UNLIKE
    with store.engine.connect() as connection:
        others = connection.execute(_OTHERS, {"photo": photo}, execution_options=_BY_PARTS)
        for part in others.partitions():
            unlike = unlikeness(look, [row.look for row in part])
            first = int(unlike.argmin())
            if unlike[first] < least:
                likest, least = part[first].sha256, float(unlike[first])
        row = connection.execute(_FIRST, {"photo": likest}).first() if likest else None
    return None if row is None else LookAlike(int(row.id), str(row.bat))


def note_look(connection: Connection, photo: str, look: object) -> None:
    """Note what a kept photograph looks like, by its capture's fingerprint."""
    if isinstance(look, str) and is_fingerprint(look):
        change = tables.evidence.update().where(_E.sha256 == photo, _E.look == "")
        connection.execute(change.values(look=look))
