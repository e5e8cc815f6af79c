"""Drawings for the designer: every surface with its limits, every size at one scale, every rule.

- ``plan`` draws an item in one size: a ``surface_cell`` for each surface with its ``limit_marks``,
  ``plan_notes`` beside them, ``facts`` of what the findings say;
- ``chart`` draws the range, as ``chart_pages`` lays out its ``columns``;
- ``rules`` lists the rules in force in ``rule_words``;
- ``frame`` and ``tables`` are what the pages share.
"""

from livery.views.chart import grading_chart
from livery.views.chart_pages import ChartPlan, plan_chart
from livery.views.plan import surface_plan
from livery.views.rules import RuleInForce, rules_in_force, rules_page

__all__ = [
    "ChartPlan",
    "RuleInForce",
    "grading_chart",
    "plan_chart",
    "rules_in_force",
    "rules_page",
    "surface_plan",
]
