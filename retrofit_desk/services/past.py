"""What happened to the record: its history, a day of its past, one row put back, its backups."""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from pathlib import Path
from typing import Any

from sqlalchemy import Boolean

from retrofit_desk.estimate.fingerprint import TellFact, part
from retrofit_desk.records import models as m
from retrofit_desk.records.backup import Backup, restore
from retrofit_desk.records.history import Columns, HistoryLine, RowChange
from retrofit_desk.records.project import Project
from retrofit_desk.services.changed_words import tell_in
from retrofit_desk.services.days import today_of, zone_of
from retrofit_desk.services.names import names_in
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Units, count_text

NAMES = ("title", "name", "what", "programme_key", "text", "product", "quantity", "number", "key")
"""Columns by which a row is called, in this order."""
LONGEST = 90
NOTHING = "nothing"
_WORDS = {
    m.ActionKind.DONE: "",
    m.ActionKind.UNDONE: "undone",
    m.ActionKind.REDONE: "done again",
    m.ActionKind.GIVEN: "as given",
    m.ActionKind.UPGRADED: "by the program",
}


class NoSuchDay(DeskError):
    """A day is asked for that has not come, or on which nothing was recorded yet."""


@dataclass(frozen=True)
class PastLine:
    """One line of the history, in the time of the house."""

    action_id: int
    at: datetime
    title: str
    how: str
    """Undone, done again, given; empty for what the owner did."""


@dataclass(frozen=True)
class ChangedRow:
    """One row that an action changed. `what`: its table and name; `columns`: name, before, after in words."""

    action_id: int
    table: str
    row_id: int
    what: str
    is_new: bool
    is_gone: bool
    columns: tuple[tuple[str, str, str], ...]

    @property
    def change(self) -> str:
        return "added" if self.is_new else "taken out" if self.is_gone else "changed"


class PastService:
    """Reads the history; putting one row back is a step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)

    def lines(self) -> tuple[PastLine, ...]:
        """Every line, the newest first."""
        with self._project.session() as session:
            zone = zone_of(session)
        return tuple(_line(line, zone) for line in self._project.history())

    def lines_of(self, table: str, row_id: int) -> tuple[PastLine, ...]:
        """Lines that touched one thing, the newest first."""
        with self._project.session() as session:
            zone = zone_of(session)
        found = dict.fromkeys(line for line, _change in self._project.history_of(table, row_id))
        return tuple(_line(line, zone) for line in reversed(found))

    def changed(self, action_id: int, units: Units = Units.US) -> tuple[ChangedRow, ...]:
        """What one action changed, row by row, in the owner's words and these units."""
        with self._project.session() as session:
            tell = tell_in(units, names_in(session))
        return tuple(_changed(action_id, one, tell) for one in self._project.changes(action_id))

    def put_back(self, row: ChangedRow) -> str:
        """Put one row to how it stood before; returns the line. Raises `NothingTo`, `HangsTogether`."""
        title = f"Put back: {row.what}"
        self._project.put_back(row.action_id, row.table, row.row_id, title)
        return title

    def look_at(self, day: date) -> Project:
        """The record as it stood at the end of a day. Raises `NoSuchDay`, `PastOutOfReach`."""
        with self._project.session() as session:
            zone, today = zone_of(session), today_of(session)
        today = max(today, self._project.now().astimezone(zone).date())  # a story may be ahead of the clock
        if day > today:
            raise NoSuchDay(f"{day_text(day)} has not come yet", do="choose today or a day before")
        lines = self._project.history()
        if not lines or lines[-1].at.astimezone(zone).date() > day:
            first = (
                f" The first line is of {day_text(lines[-1].at.astimezone(zone).date())}." if lines else ""
            )
            raise NoSuchDay(f"nothing was recorded on {day_text(day)} yet.{first}".rstrip("."))
        return self._project.as_of(datetime.combine(day + timedelta(days=1), time.min, zone) - _INSTANT)

    def look_after(self, line: PastLine) -> Project:
        """The record as it stood right after one line. Raises `PastOutOfReach`."""
        return self._project.as_of(line.at)

    def backups(self) -> tuple[Backup, ...]:
        """The newest first."""
        return tuple(self._project.backups())


def restored(folder: Path, backup: Backup) -> str:
    """Put a closed project's record back to a backup; returns what to tell the owner.

    Raises `BackupUnusable`, `ProjectInUse`, `ReadOnlyFolder`, `DiskFull`; the project then stands as before.
    """
    done = restore(folder, backup)
    lost = len(done.papers_missing)
    missing = (
        f" {count_text(lost, 'of its papers is', 'of its papers are')} gone from the papers folder."
        if lost
        else ""
    )
    kept = f"What it replaced is kept in {done.replaced_kept_in.name}."
    return f"The record stands as in the backup {backup.name}. {kept}{missing}"


_INSTANT = timedelta(microseconds=1)


def _line(line: HistoryLine, zone: tzinfo) -> PastLine:
    return PastLine(line.action_id, line.at.astimezone(zone), line.title, _WORDS[line.kind])


def _changed(action_id: int, one: RowChange, tell: TellFact) -> ChangedRow:
    before, after = one.before or {}, one.after or {}
    is_link = ("id", "position")
    names = [name for name in dict.fromkeys((*before, *after)) if not name.endswith(is_link)]
    changed = [
        name
        for name in names
        if before.get(name) != after.get(name) and not (name.endswith("_is") and name[:-3] in names)
    ]
    is_rule = one.table == m.RuleFile.__tablename__
    ticks = _ticks(one.table)
    old, new = (
        {name: _parsed(row.get(name), is_rule, name in ticks) for name in changed} for row in (before, after)
    )
    columns = _facts(old, new, tell)
    called = _called(one.table, after or before)
    return ChangedRow(
        action_id, one.table, one.row_id, called, one.before is None, one.after is None, columns
    )


def _facts(before: Columns, after: Columns, tell: TellFact) -> tuple[tuple[str, str, str], ...]:
    """Every fact that differs: what it is called, how it was, how it is; those within a column singly."""
    old, new = (dict(part("", row).facts) for row in (before, after))
    found = []
    for name in {**old, **new}:
        was, now = old.get(name, NOTHING), new.get(name, NOTHING)
        if was != now:
            words, was_shown = tell(name, was)
            found.append((words, _text(was_shown), _text(tell(name, now)[1])))
    return tuple(fact for fact in found if set(fact[1:]) != {NOTHING})


def _ticks(table: str) -> frozenset[str]:
    """Columns that say yes or no; the file holds them as 1 and 0."""
    columns = m.Base.metadata.tables[table].columns
    return frozenset(column.name for column in columns if isinstance(column.type, Boolean))


def _parsed(value: Any, is_rule: bool, is_tick: bool) -> Any:
    """Facts that the record holds as one text, taken apart; those of a rule file as it is written."""
    if is_tick and value is not None:
        return bool(value)
    if not isinstance(value, str) or not (is_rule or value[:1] in ("{", "[")):
        return value
    try:
        return tomllib.loads(value) if is_rule else json.loads(value)
    except ValueError:
        return value


def _called(table: str, row: Columns) -> str:
    word = table.replace("_", " ")
    name = next((str(row[name]) for name in NAMES if row.get(name)), "")
    return f"{word} “{name}”" if name else word


def _text(shown: str) -> str:
    text = shown or NOTHING
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
