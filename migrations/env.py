"""Runs the migrations: at opening on the project's own connection, for a developer on a scratch record."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import context
from alembic.autogenerate.api import AutogenContext
from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection, Enum, create_engine

from retrofit_desk.records.models import Base, UtcDateTime


def plain_type(kind: str, item: Any, autogen: AutogenContext) -> str | bool:
    """A migration names plain column types only, so that it stays true when the models move on."""
    if kind == "type" and isinstance(item, UtcDateTime):
        return "sa.DateTime()"
    if kind == "type" and isinstance(item, Enum):
        return f"sa.String({item.length})"
    if kind == "type" and isinstance(item, sa.JSON):
        return "sa.JSON()"
    return False


def run(connection: Connection) -> None:
    """Apply what is asked for on this connection; whoever opened it commits."""
    context.configure(
        connection=connection, target_metadata=Base.metadata, render_as_batch=True, render_item=plain_type
    )
    with context.begin_transaction():
        context.run_migrations()


def bring_up(connection: Connection) -> None:
    """Every migration in turn. A second command run inside this one would take `context` away from it."""
    scratch = MigrationContext.configure(connection)
    with Operations.context(scratch):
        for step in reversed(list(context.script.walk_revisions())):
            step.module.upgrade()
    scratch.stamp(context.script, "head")


given = context.config.attributes.get("connection")
if given is not None:
    run(given)
else:
    with create_engine("sqlite://").begin() as scratch:
        bring_up(scratch)
        run(scratch)
