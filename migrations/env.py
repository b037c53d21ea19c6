"""Runs the migrations: at opening on the project's own connection, for a developer on a scratch record."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import context
from alembic.autogenerate.api import AutogenContext
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


given = context.config.attributes.get("connection")
if given is not None:
    run(given)
else:
    from alembic import command

    from retrofit_desk.records.upgrade import migrations_config

    with create_engine("sqlite://").begin() as scratch:
        if context.script.get_heads():
            config = migrations_config()
            config.attributes["connection"] = scratch
            command.upgrade(config, "head")
        run(scratch)
