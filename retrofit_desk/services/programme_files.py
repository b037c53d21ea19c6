"""Rule files of programmes that the owner wrote or got: checked whole, then kept in the record."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.exchange.programme_schema import programme_schema
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.rule_files import programme_of, read_programme, recorded_programme, rule_files
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.table_rows import text_of
from retrofit_desk.records.tables import NotInTable, TableDamaged, tables_of
from retrofit_desk.rules.programme_file import Programme
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError

SCHEMA_NAME = "programme.schema.json"
_ONLY_A_FILE = (
    "A file in the project's folder tables/programmes: it counts, but undo and a look at the past do not "
    "know it. “Take in” puts it into the record."
)
_HEAD = f"""# The rule file of a programme, to be changed and taken in again under Money, Rebates due.
# {SCHEMA_NAME} beside it says what each entry means. Keep the versions that are over: they answer for
# the work of their days. Each version names its source and the day on which it was last checked.
"""


class RuleFileUnclear(DeskError):
    """A rule file that cannot be taken in, taken out or written."""


@dataclass(frozen=True)
class OwnRule:
    """A rule that did not come with the program.

    `words`: when it was last checked and what it stands before; why it cannot be read, where `is_damaged`.
    `path`: of a file that only lies in the project's folder, outside the record and its history.
    """

    key: str
    name: str
    words: str
    path: Path | None = None
    is_damaged: bool = False


class RuleFileService:
    """What is taken in stands in the record, before a file or a shipped rule of the same programme."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def own(self) -> tuple[OwnRule, ...]:
        """Those in the record, then those that only lie in the project's folder."""
        with self._project.session() as session:
            rows = session.scalars(select(m.RuleFile).order_by(m.RuleFile.programme_key)).all()
        recorded = [_recorded(row) for row in rows]
        taken = {row.programme_key for row in rows}
        beside = (_beside(path) for path in rule_files(self._project.own_tables))
        return (*recorded, *(one for one in beside if one.key not in taken))

    def take_in(self, path: Path) -> str:
        """Record a rule file that holds what its schema asks for; returns a line for the owner.

        Raises `TableDamaged` with the entry that is wrong, `RuleFileUnclear` for a file that is not there.
        """
        try:
            text = text_of(path)
        except OSError as error:
            why = error.strerror or str(error)
            raise RuleFileUnclear(
                f"cannot be read: {why}", where=path.name, kept="nothing changed"
            ) from error
        programme = programme_of(text, path.name)
        before = self._counting(programme.key)
        with self._project.action(f"Take in the rule of {programme.name}") as work:
            row = _row(work.session, programme.key)
            if row is None:
                work.session.add(m.RuleFile(programme_key=programme.key, text=text))
            else:
                row.text = text
        word = "takes the place of the one before" if before else "counts from now on"
        return " ".join(
            (
                f"The rule of {programme.name}, last checked {_checked(programme)}, {word}.",
                *_days_lost(before, programme),
                "Undo takes it back; “Take out” below, under “Your own rules”, does so at any time.",
            )
        )

    def take_out(self, key: str) -> str:
        """Take a rule out of the record; what it stood before counts again. Returns a line for the owner."""
        with self._project.action(f"Take out the rule of {self._name(key)}") as work:
            row = _row(work.session, key)
            if row is None:
                raise RuleFileUnclear(
                    "this rule is not in the record", where=key, do="look at the list again"
                )
            work.session.delete(row)
        below = self._counting(key)
        if below is None:
            return f"The rule “{key}” is taken out; no other is known of this programme. Undo brings it back."
        again = f"the one last checked {_checked(below)} counts again"
        return f"The rule of {below.name} is taken out; {again}. Undo brings it back."

    def programmes(self) -> tuple[tuple[str, str], ...]:
        """Every programme with a rule: (key, name)."""
        return tuple((one.key, one.name) for one in tables_of(self._project).programmes)

    def write_out(self, key: str, path: Path) -> str:
        """Write the rule that counts, to be changed and taken in again, and the schema beside it."""
        text, schema = self._text(key), path.with_name(SCHEMA_NAME)
        try:
            path.write_text(_HEAD + text.removeprefix(_HEAD), encoding="utf-8")
            schema.write_text(programme_schema(), encoding="utf-8")
        except OSError as error:
            why = error.strerror or str(error)
            raise RuleFileUnclear(
                f"not written: {why}", where=str(path), do="choose another folder"
            ) from error
        return f"Written to {path.name}; {schema.name} beside it says what each entry means."

    def _text(self, key: str) -> str:
        with self._project.session() as session:
            row = _row(session, key)
        if row is not None:
            return row.text
        for folder in (self._project.own_tables, shipped_folder("shared")):
            for path in rule_files(folder):
                if read_programme(path).key == key:
                    return text_of(path)
        raise NotInTable(f"no rule '{key}'", where="programmes", do="choose another")

    def _counting(self, key: str) -> Programme | None:
        """The rule that counts now; none where there is none that can be read."""
        try:
            return tables_of(self._project).programme(key)
        except (NotInTable, TableDamaged):
            return None

    def _name(self, key: str) -> str:
        counting = self._counting(key)
        return counting.name if counting is not None else key


def _row(session: Session, key: str) -> m.RuleFile | None:
    return session.scalar(select(m.RuleFile).where(m.RuleFile.programme_key == key))


def _recorded(row: m.RuleFile) -> OwnRule:
    key = row.programme_key
    try:
        programme = recorded_programme(key, row.text)
    except TableDamaged as trouble:
        return OwnRule(key, key, trouble.line(), is_damaged=True)
    return OwnRule(key, programme.name, f"{programme.office}. Last checked {_checked(programme)}.")


def _beside(path: Path) -> OwnRule:
    try:
        programme = read_programme(path)
    except TableDamaged as trouble:
        return OwnRule(path.name, path.name, trouble.line(), path, is_damaged=True)
    words = f"{programme.office}. Last checked {_checked(programme)}. {_ONLY_A_FILE}"
    return OwnRule(programme.key, programme.name, words, path)


def _checked(programme: Programme) -> str:
    return day_text(max(one.checked_on for one in programme.versions))


def _days_lost(before: Programme | None, programme: Programme) -> tuple[str, ...]:
    """That it does not say what applied on days for which the rule before had an answer."""
    first = min(one.starts_on for one in programme.versions)
    if before is None or min(one.starts_on for one in before.versions) >= first:
        return ()
    return (f"It says nothing of days before {day_text(first)}, as the one before did.",)
