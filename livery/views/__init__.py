"""Drawings for the designer: every surface with its limits, every size at one scale, every rule."""

from livery.views.chart import count_chart_pages, grading_chart
from livery.views.plan import surface_plan
from livery.views.rules import RuleInForce, rules_in_force, rules_page

__all__ = [
    "RuleInForce",
    "count_chart_pages",
    "grading_chart",
    "rules_in_force",
    "rules_page",
    "surface_plan",
]
