"""What is allowed where: rule books as data, and the checks that turn placements into findings."""

from livery.limits.books import load_books, packaged_books, read_book
from livery.limits.envelope import envelop
from livery.limits.model import Finding, Rule, RuleBook, Severity
from livery.limits.registry import CHECKS, Check
from livery.limits.report import UMPIRES_DECIDE, check_scene, source_of, titles_of
from livery.limits.scene import Placed, Scene, set_in_place

__all__ = [
    "CHECKS",
    "UMPIRES_DECIDE",
    "Check",
    "Finding",
    "Placed",
    "Rule",
    "RuleBook",
    "Scene",
    "Severity",
    "check_scene",
    "envelop",
    "load_books",
    "packaged_books",
    "read_book",
    "set_in_place",
    "source_of",
    "titles_of",
]
