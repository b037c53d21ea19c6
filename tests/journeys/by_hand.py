"""Rows that the owner's program writes for them elsewhere: machines, holds, programmes, hazards, accounts."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project


def put(project: Project, title: str, *rows: m.Base) -> list[int]:
    """Record rows in one action; returns their ids."""
    with project.action(title) as work:
        work.session.add_all(rows)
        work.session.flush()
        return [row.id for row in rows]


def change(project: Project, title: str, model: type[m.Base], row_id: int, **values: Any) -> None:
    """Change columns of one row in one action."""
    with project.action(title) as work:
        row = work.session.get_one(model, row_id)
        for name, value in values.items():
            setattr(row, name, value)


def id_of(project: Project, model: type[Any], key: str) -> int:
    """The id of the row with this key."""
    with project.session() as session:
        found: int = session.scalars(select(model.id).where(model.key == key)).one()
        return found
