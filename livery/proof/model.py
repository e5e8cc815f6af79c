"""What is put before a player to agree to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from livery.proof.likeness import Likeness


@dataclass(frozen=True, slots=True)
class Proof:
    """The content of a proof, by which two revisions are told apart.

    Attributes:
        order: the order's key.
        revision: the season's revision.
        content_hash: SHA-256, hex, over everything that decides what is made.
        facts: (subject, statement) pairs in document order, for the list of changes.
        likenesses: how it looked, where that was kept; for the drawn changes.
    """

    order: str
    player: str
    revision: int
    content_hash: str
    facts: tuple[tuple[str, str], ...]
    likenesses: tuple[Likeness, ...] = field(default=(), compare=False, repr=False)

    @property
    def short_hash(self) -> str:
        """The first twelve digits, in groups of four, as shown beside a signature."""
        return " ".join(self.content_hash[start : start + 4] for start in (0, 4, 8))


@dataclass(frozen=True, slots=True)
class Change:
    """One difference from an earlier revision; an empty side is something new or gone."""

    subject: str
    before: str
    after: str
