"""What is signed and what the bench works from: proofs, bench cards and templates to cut out.

``content`` says what a proof states (``model``), as facts and as bytes to hash; ``likeness`` keeps
how it looked. ``pages`` draws it: a ``cover``, ``surfaces``, ``statements``, and from an earlier
revision the ``difference`` on ``change_pages``. ``card`` tells the bench where decals go,
``template`` is cut out. ``pictures`` and ``setting`` are what the pages share.
"""

from livery.proof.card import card_drawing
from livery.proof.content import find_changes, make_proof
from livery.proof.likeness import (
    Likeness,
    likenesses_from_bytes,
    likenesses_of,
    likenesses_to_bytes,
)
from livery.proof.model import Change, Proof
from livery.proof.pages import changes_drawing, proof_drawing
from livery.proof.template import template_drawing

__all__ = [
    "Change",
    "Likeness",
    "Proof",
    "card_drawing",
    "changes_drawing",
    "find_changes",
    "likenesses_from_bytes",
    "likenesses_of",
    "likenesses_to_bytes",
    "make_proof",
    "proof_drawing",
    "template_drawing",
]
