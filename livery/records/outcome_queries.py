"""Queries for what captures came to: the worst verdict of each when last judged."""

from __future__ import annotations

from functools import cache
from typing import Any

import sqlalchemy as sa

from livery.records import tables


@cache
def newest_outcomes(of_bat: bool, limited: bool) -> sa.Select[Any]:
    """What captures came to: of ``bat`` or all, the newest ``most`` or all."""
    c = tables.captures.c
    chosen = sa.select(c.id).order_by(c.id.desc())
    if of_bat:
        chosen = chosen.where(c.bat == sa.bindparam("bat"))
    if limited:
        chosen = chosen.limit(sa.bindparam("most", type_=sa.Integer))
    return _outcomes(chosen.subquery())


@cache
def newest_of_each() -> sa.Select[Any]:
    """What the newest capture of each bat came to, and how many are kept."""
    c = tables.captures.c
    newest = sa.select(sa.func.max(c.id).label("id"), sa.func.count().label("kept"))
    return _outcomes(newest.group_by(c.bat).subquery(), "kept")


def _outcomes(chosen: sa.Subquery, *also: str) -> sa.Select[Any]:
    """The captures chosen, each with its worst verdict and what else was chosen, oldest first."""
    c, v = tables.captures.c, tables.comparisons.c
    rank = sa.case((v.verdict == "fail", 2), (v.verdict == "re-shoot", 1), else_=0)
    worst = (sa.func.max(rank).label("rank"), sa.func.count(v.id).label("verdicts"))
    own = (c.id, c.bat, c.date, c.bench, c.good, *(chosen.c[name] for name in also))
    return (
        sa.select(*own, *worst)
        .select_from(tables.captures)
        .join(chosen, chosen.c.id == c.id)
        .join(tables.comparisons, (v.capture == c.id) & is_latest(), isouter=True)
        .group_by(*own)
        .order_by(c.id)
    )


def is_latest() -> sa.ColumnElement[bool]:
    """Whether a verdict is of the latest judgement of its capture."""
    v, other = tables.comparisons.c, tables.comparisons.alias()
    latest = sa.select(sa.func.max(other.c.judged)).where(other.c.capture == v.capture)
    return v.judged == latest.scalar_subquery()
