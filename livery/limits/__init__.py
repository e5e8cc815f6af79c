"""What is allowed where: rule books as data, and the checks that turn placements into findings.

``books`` reads rule books (``model``), ``profile`` makes one of a print profile; ``values`` takes a
rule's parameters. ``scene`` is an item with its decals in place, each a polygon by ``envelope``.
``report`` holds it against every rule: ``registry`` names the checks, which lie in
``checks_along``, ``checks_area``, ``checks_item`` and ``checks_print`` and measure, with
``distances``, a ``reading`` each; out go findings.
"""

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
