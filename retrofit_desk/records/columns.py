"""Rows read as bare columns into typed tuples: for what is looked at by the hundred at every look."""

from __future__ import annotations

from typing import Any, NamedTuple, TypeVar

from sqlalchemy import select
from sqlalchemy.orm import InstrumentedAttribute, Session

from retrofit_desk.records.models.base import Base

Columns = TypeVar("Columns", bound=NamedTuple)
"""A named tuple whose fields are named after columns of one table."""


def all_as_tuples(
    session: Session, form: type[Columns], table: type[Base], *in_order: InstrumentedAttribute[Any]
) -> list[Columns]:
    """Every row of a table, only the columns that `form` names, ordered by `in_order`."""
    query = select(*(getattr(table, name) for name in form._fields)).order_by(*in_order)
    return [form._make(row) for row in session.execute(query)]


def one_as_tuple(form: type[Columns], row: Base) -> Columns:
    """One recorded row that is at hand already, in the same form."""
    return form._make(getattr(row, name) for name in form._fields)
