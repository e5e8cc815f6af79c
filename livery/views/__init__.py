"""Drawings for the designer: every surface with its limits, every size at one scale, every rule."""

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
