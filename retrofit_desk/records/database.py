"""Opens the SQLite file of a project: one engine that may write, one that may only read, copies in memory."""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool, QueuePool

DATABASE = "project.sqlite"
_WAIT_MS = 4000


@dataclass(frozen=True)
class Copy:
    """A copy in memory that lives as long as `anchor` is open."""

    anchor: sqlite3.Connection
    uri: str


def database_of(folder: Path) -> Path:
    """The database file of a project folder."""
    return folder / DATABASE


def writing_engine(database: Path) -> Engine:
    """One connection at a time; the record is on disk when a commit returns."""
    engine = _engine(f"{database.absolute().as_uri()}?mode=rwc", _prepare_writing)
    # the write lock is taken at once, so that a step never starts on what another has just changed
    event.listen(engine, "begin", lambda connection: _begin(connection, "BEGIN IMMEDIATE"))
    return engine


def reading_engine(uri: str) -> Engine:
    """Any number of threads may read at once; a write is refused by SQLite itself."""
    engine = _engine(uri, _prepare_reading)
    event.listen(engine, "begin", lambda connection: _begin(connection, "BEGIN"))
    return engine


def unchecked_engine(uri: str) -> Engine:
    """Writes with foreign keys unchecked until the end: for upgrades, and for putting copies back."""
    engine = _engine(uri, lambda connection: None)
    event.listen(engine, "begin", lambda connection: _begin(connection, "BEGIN IMMEDIATE"))
    return engine


def reading_uri(database: Path) -> str:
    """Where a reader connects. A folder that cannot be written is read as it lies, if no write is pending."""
    plain = f"{database.absolute().as_uri()}?mode=ro"
    try:
        with_lock = sqlite3.connect(plain, uri=True)
        try:
            with_lock.execute("SELECT count(*) FROM sqlite_master").fetchone()
        finally:
            with_lock.close()
    except sqlite3.OperationalError as error:
        pending = database.with_name(database.name + "-wal")
        if (error.sqlite_errorcode & 0xFF) == sqlite3.SQLITE_CANTOPEN and not _has_bytes(pending):
            return f"{plain}&immutable=1"
        raise
    return plain


def copy_in_memory(source_uri: str) -> Copy:
    """The whole database copied at one moment; several connections may read the copy."""
    uri = f"file:copy-{uuid.uuid4().hex}?mode=memory&cache=shared"
    anchor = sqlite3.connect(uri, uri=True, isolation_level=None, check_same_thread=False)
    source = sqlite3.connect(source_uri, uri=True)
    try:
        source.backup(anchor)
    finally:
        source.close()
    return Copy(anchor, uri)


def leave_single_file(engine: Engine) -> None:
    """On closing: fold the write-ahead log back, so that the folder copies and syncs as plain files."""
    # if somebody still reads, or the file was damaged meanwhile, the log stays and is read with the file
    with suppress(sqlite3.Error, DBAPIError), closing(engine.raw_connection()) as raw:
        raw.cursor().execute("PRAGMA journal_mode = DELETE")


def _engine(uri: str, prepare: Callable[[sqlite3.Connection], None]) -> Engine:
    def connect() -> sqlite3.Connection:
        # no hidden transactions of the driver: BEGIN is ours (see `_begin`)
        connection = sqlite3.connect(uri, uri=True, isolation_level=None, check_same_thread=False)
        prepare(connection)
        return connection

    pool = NullPool if "mode=memory" in uri else QueuePool
    return create_engine("sqlite://", creator=connect, poolclass=pool)


def _prepare_writing(connection: sqlite3.Connection) -> None:
    connection.execute(f"PRAGMA busy_timeout = {_WAIT_MS}")
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")


def _prepare_reading(connection: sqlite3.Connection) -> None:
    connection.execute(f"PRAGMA busy_timeout = {_WAIT_MS}")
    connection.execute("PRAGMA query_only = ON")


def _begin(connection: Connection, statement: str) -> None:
    connection.exec_driver_sql(statement)


def _has_bytes(file: Path) -> bool:
    return file.exists() and file.stat().st_size > 0
