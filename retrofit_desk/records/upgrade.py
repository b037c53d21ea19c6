"""Makes new records and brings those of older versions up to date, after a checked backup."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine

from retrofit_desk.records import backup, history
from retrofit_desk.records.database import (
    Copy,
    database_of,
    reading_uri,
    unchecked_engine,
    writing_engine,
)
from retrofit_desk.records.errors import ProjectDamaged, ProjectTooNew, UpgradeFailed
from retrofit_desk.records.models import ActionKind, Base
from retrofit_desk.records.shipped import shipped_folder

if TYPE_CHECKING:
    from alembic.config import Config

SCHEMA_REVISION = "0005"
"""The newest migration. Kept here so that opening a current project need not load the migration tool."""

_VERSION_TABLE = """CREATE TABLE alembic_version (
    version_num VARCHAR(32) NOT NULL, CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"""


def make_new(database: Path) -> None:
    """Write an empty record of this version."""
    engine = writing_engine(database)
    with engine.begin() as connection:
        Base.metadata.create_all(connection)
        connection.exec_driver_sql(_VERSION_TABLE)
        connection.exec_driver_sql("INSERT INTO alembic_version VALUES (?)", (SCHEMA_REVISION,))
    engine.dispose()


def is_current(project: Path, uri: str) -> bool:
    """Whether a record has this version's form. Raises `ProjectDamaged`, `ProjectTooNew`."""
    revision = _checked_revision(project, uri)
    if revision != SCHEMA_REVISION and revision not in _known_revisions():
        raise ProjectTooNew(project)
    return revision == SCHEMA_REVISION


def bring_up_to_date(project: Path) -> None:
    """Check the record; an older one is backed up and upgraded in one transaction.

    Raises `ProjectDamaged`, `ProjectTooNew`, `UpgradeFailed`. Only while holding the write lock.
    """
    database = database_of(project)
    if is_current(project, reading_uri(database)):
        return
    made = backup.make_backup(project, backup.Reason.UPGRADE)
    engine = unchecked_engine(f"{database.absolute().as_uri()}?mode=rw")
    try:
        with engine.begin() as connection:
            _run(connection)
    except Exception as error:
        raise UpgradeFailed(project, type(error).__name__, made.name) from error
    finally:
        engine.dispose()


def upgrade_copy(project: Path, copy: Copy) -> None:
    """The same for a copy in memory, to read an older project without touching it. Raises `UpgradeFailed`."""
    engine = unchecked_engine(copy.uri)
    try:
        with engine.begin() as connection:
            _run(connection)
    except Exception as error:
        raise UpgradeFailed(
            project, type(error).__name__, "none was needed: only a copy was tried"
        ) from error
    finally:
        engine.dispose()


def engine_of_copy(copy: Copy) -> Engine:
    """For putting a copy back to a day of the past."""
    return unchecked_engine(copy.uri)


def migrations_config() -> Config:
    """Where the migration tool finds its scripts."""
    from alembic.config import Config  # slow to load, seldom needed

    config = Config()
    config.set_main_option("script_location", str(shipped_folder("migrations")).replace("%", "%%"))
    return config


def _run(connection: Connection) -> None:
    from alembic import command

    config = migrations_config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
    loose = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if loose is not None:
        raise ValueError(f"a row of {loose[0]} hangs in the air")
    history.write_down(
        connection, "Bring the record to this version", datetime.now(UTC), (), kind=ActionKind.UPGRADED
    )


def _known_revisions() -> set[str]:
    from alembic.script import ScriptDirectory

    return {script.revision for script in ScriptDirectory.from_config(migrations_config()).walk_revisions()}


def _checked_revision(project: Path, uri: str) -> str:
    connection = sqlite3.connect(uri, uri=True)
    try:
        finding = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
        if finding != "ok":
            newest = backup.list_backups(project)[:1]
            raise ProjectDamaged(project, finding, newest[0].name if newest else None)
        row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.OperationalError as error:
        if "no such table" not in str(error):
            raise
        newest = backup.list_backups(project)[:1]
        raise ProjectDamaged(
            project, "it is no record of Retrofit Desk", newest[0].name if newest else None
        ) from None
    finally:
        connection.close()
    return str(row[0]) if row else ""
