"""What is signed and what the bench works from: proofs and bench cards."""

from livery.proof.card import card_drawing
from livery.proof.content import find_changes, make_proof
from livery.proof.model import Change, Proof
from livery.proof.pages import proof_drawing
from livery.proof.template import template_drawing

__all__ = [
    "Change",
    "Proof",
    "card_drawing",
    "find_changes",
    "make_proof",
    "proof_drawing",
    "template_drawing",
]
