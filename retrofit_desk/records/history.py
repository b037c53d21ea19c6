"""Writes down what each action changed, and turns it back exactly."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, event, func, insert, select
from sqlalchemy.orm import Mapper, ORMExecuteState, Session

from retrofit_desk.records.errors import HistoryDiffers
from retrofit_desk.records.models import Action, ActionKind, Base, Change

Columns = dict[str, Any]
"""Column -> value exactly as SQLite keeps it (int, float, str or None)."""


@dataclass(frozen=True)
class RowChange:
    """One row before and after; None where it was not there."""

    table: str
    row_id: int
    before: Columns | None
    after: Columns | None


@dataclass(frozen=True)
class HistoryLine:
    """One line of the history."""

    action_id: int
    title: str
    at: datetime
    kind: ActionKind


class Recorder:
    """Follows one session: for each row touched, how it stood before the action and how it stands after."""

    def __init__(self, session: Session, *, in_history: bool) -> None:
        self._in_history = in_history
        self._touched: dict[tuple[str, int], RowChange] = {}
        session.info["recorder"] = self

    def check(self, row: Base) -> None:
        """Recorded things are written in actions, results and habits outside of them; never mixed."""
        if type(row).in_history != self._in_history:
            where = "outside_history()" if self._in_history else "action()"
            raise RuntimeError(f"{type(row).__name__} is written with Project.{where}")

    def before(self, connection: Connection, row: Base) -> None:
        """The row is about to be updated or deleted."""
        key = (row.__tablename__, row.id)
        if key not in self._touched:
            self._touched[key] = RowChange(*key, before=stored_row(connection, *key), after=None)

    def after(self, connection: Connection, row: Base) -> None:
        """The row was just inserted, updated or deleted."""
        key = (row.__tablename__, row.id)
        known = self._touched.get(key)
        before = known.before if known else None
        self._touched[key] = RowChange(*key, before=before, after=stored_row(connection, *key))

    def changes(self) -> list[RowChange]:
        """What really differs, in the order in which rows were first touched."""
        return [change for change in self._touched.values() if repr(change.before) != repr(change.after)]


class ActionSession(Session):
    """The session of a unit of work: only whole objects, so that every change is seen."""

    def bulk_save_objects(self, *args: Any, **kwargs: Any) -> None:
        raise RuntimeError("bulk writes would bypass the history")

    bulk_insert_mappings = bulk_save_objects
    bulk_update_mappings = bulk_save_objects


@event.listens_for(ActionSession, "do_orm_execute")
def _refuse_bulk_statements(state: ORMExecuteState) -> None:
    if not state.is_select:
        raise RuntimeError("bulk writes would bypass the history")


def _recorder_of(row: Base) -> Recorder | None:
    session = Session.object_session(row)
    return session.info.get("recorder") if session else None


@event.listens_for(Base, "before_insert", propagate=True)
def _check_new(mapper: Mapper[Base], connection: Connection, row: Base) -> None:
    if recorder := _recorder_of(row):
        recorder.check(row)


@event.listens_for(Base, "before_update", propagate=True)
@event.listens_for(Base, "before_delete", propagate=True)
def _note_before(mapper: Mapper[Base], connection: Connection, row: Base) -> None:
    if recorder := _recorder_of(row):
        recorder.check(row)
        recorder.before(connection, row)


@event.listens_for(Base, "after_insert", propagate=True)
@event.listens_for(Base, "after_update", propagate=True)
@event.listens_for(Base, "after_delete", propagate=True)
def _note_after(mapper: Mapper[Base], connection: Connection, row: Base) -> None:
    if recorder := _recorder_of(row):
        recorder.after(connection, row)


def stored_row(connection: Connection, table: str, row_id: int) -> Columns | None:
    """A row exactly as it is stored, past all type conversion."""
    found = (
        connection.exec_driver_sql(f'SELECT * FROM "{table}" WHERE id = ?', (row_id,))
        .mappings()
        .one_or_none()
    )
    return None if found is None else dict(found)


def write_down(
    connection: Connection,
    title: str,
    at: datetime,
    changes: Iterable[RowChange],
    *,
    kind: ActionKind = ActionKind.DONE,
    of_id: int | None = None,
) -> int:
    """Add one history line with its changes; returns its id."""
    values = {"title": title, "at": at, "kind": kind, "of_id": of_id}
    action_id: int = connection.execute(insert(Action.__table__), values).inserted_primary_key[0]  # type: ignore[arg-type, index]
    rows = [
        {"action_id": action_id, "table": c.table, "row_id": c.row_id, "before": c.before, "after": c.after}
        for c in changes
    ]
    if rows:
        connection.execute(insert(Change.__table__), rows)  # type: ignore[arg-type]
    return action_id


def changes_of(connection: Connection, action_id: int) -> list[RowChange]:
    """The changes of one action, in order."""
    rows = connection.execute(_CHANGES.where(Change.action_id == action_id).order_by(Change.id))
    return [RowChange(*row) for row in rows]


def backwards(changes: Iterable[RowChange]) -> list[RowChange]:
    """The changes that take these back."""
    return [RowChange(c.table, c.row_id, before=c.after, after=c.before) for c in reversed(list(changes))]


def carry_out(connection: Connection, changes: Iterable[RowChange], title: str) -> None:
    """Put rows from `before` to `after`. Raises `HistoryDiffers` if one does not stand as `before` says."""
    # parents and children come back in any order; SQLite looks at the end of the transaction
    connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
    for change in changes:
        if repr(stored_row(connection, change.table, change.row_id)) != repr(change.before):
            raise HistoryDiffers(title)
        put_row(connection, change.table, change.row_id, change.after)


def put_row(connection: Connection, table: str, row_id: int, columns: Columns | None) -> None:
    """Make a stored row exactly this, or be gone. Columns that the table no longer has are left out."""
    if table not in Base.metadata.tables:
        raise HistoryDiffers(f"a change of '{table}'")
    connection.exec_driver_sql(f'DELETE FROM "{table}" WHERE id = ?', (row_id,))
    if columns is None:
        return
    there = {row[1] for row in connection.exec_driver_sql(f'PRAGMA table_info("{table}")')}
    kept = {name: value for name, value in columns.items() if name in there}
    names = ", ".join(f'"{name}"' for name in kept)
    marks = ", ".join("?" for _ in kept)
    connection.exec_driver_sql(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', tuple(kept.values()))


def lines(session: Session, *, newest: int | None = None) -> list[HistoryLine]:
    """The history, newest first; all of it or the `newest` so many lines."""
    rows = session.execute(
        select(Action.id, Action.title, Action.at, Action.kind).order_by(Action.id.desc()).limit(newest)
    )
    return [HistoryLine(*row) for row in rows]


def lines_of_row(session: Session, table: str, row_id: int) -> list[tuple[HistoryLine, RowChange]]:
    """What ever happened to one row, oldest first."""
    found = session.execute(
        select(
            Action.id,
            Action.title,
            Action.at,
            Action.kind,
            Change.table,
            Change.row_id,
            Change.before,
            Change.after,
        )
        .join(Change, Change.action_id == Action.id)
        .where(Change.table == table, Change.row_id == row_id)
        .order_by(Change.id)
    )
    return [(HistoryLine(*row[:4]), RowChange(*row[4:])) for row in found]


def last_action_at(session: Session, moment: datetime) -> int:
    """Id of the last action stamped at or before `moment`; 0 if there was none.

    Order is that of the ids: a clock that was set back never reorders what happened.
    """
    return session.scalar(select(func.max(Action.id)).where(Action.at <= moment)) or 0


def take_back_to(connection: Connection, action_id: int) -> None:
    """Put every row touched after an action to how it stood then."""
    first = (
        select(func.min(Change.id)).where(Change.action_id > action_id).group_by(Change.table, Change.row_id)
    )
    rows = connection.execute(_CHANGES.where(Change.id.in_(first))).all()
    for change in (RowChange(*row) for row in rows):
        put_row(connection, change.table, change.row_id, change.before)
    connection.exec_driver_sql('DELETE FROM "change" WHERE action_id > ?', (action_id,))
    connection.exec_driver_sql('DELETE FROM "action" WHERE id > ?', (action_id,))


_CHANGES = select(Change.table, Change.row_id, Change.before, Change.after)


class Steps:
    """Which actions can be undone and redone, worked out from the history in order."""

    def __init__(self, past: Iterable[tuple[int, str, ActionKind, int | None]] = ()) -> None:
        self._done: list[tuple[int, str]] = []
        self._undone: list[tuple[int, str]] = []
        for action_id, title, kind, of_id in past:
            self.note(of_id or action_id, title, kind)

    @classmethod
    def read(cls, session: Session) -> Steps:
        """From a stored history."""
        rows = session.execute(select(Action.id, Action.title, Action.kind, Action.of_id).order_by(Action.id))
        return cls((row.id, row.title, row.kind, row.of_id) for row in rows)

    def note(self, action_id: int, title: str, kind: ActionKind) -> None:
        """Follow one more line; for an undo or redo `action_id` is the action it was about."""
        if kind in (ActionKind.UPGRADED, ActionKind.GIVEN):
            # rows of an older form cannot be put back; what the project came with is no step of the owner
            self._done.clear()
            self._undone.clear()
        elif kind is ActionKind.UNDONE:
            self._undone.append(self._done.pop())
        elif kind is ActionKind.REDONE:
            self._done.append(self._undone.pop())
        else:
            self._done.append((action_id, title))
            self._undone.clear()

    @property
    def undo(self) -> tuple[int, str] | None:
        """Id and title of the action that undo would take back."""
        return self._done[-1] if self._done else None

    @property
    def redo(self) -> tuple[int, str] | None:
        """Id and title of the action that redo would do again."""
        return self._undone[-1] if self._undone else None
