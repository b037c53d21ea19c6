"""An open project: reading, units of work with undo, its history, and any day of its past."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType

from sqlalchemy import Engine, delete
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from retrofit_desk.records import backup, history, upgrade
from retrofit_desk.records.check_files import known_hashes
from retrofit_desk.records.clock import Clock, StoodAt, machine_clock
from retrofit_desk.records.database import (
    Copy,
    copy_in_memory,
    database_of,
    leave_single_file,
    reading_engine,
    reading_uri,
    writing_engine,
)
from retrofit_desk.records.errors import (
    HangsTogether,
    NothingTo,
    OnlyForReading,
    PastOutOfReach,
    ProjectExists,
    ProjectMissing,
    database_in_plain_words,
    in_plain_words,
)
from retrofit_desk.records.history import ActionSession, HistoryLine, Recorder, RowChange, Steps
from retrofit_desk.records.lock import WriteLock
from retrofit_desk.records.models import ActionKind, SavingsResult
from retrofit_desk.records.new_folder import whole_or_nothing
from retrofit_desk.records.papers_store import PapersStore
from retrofit_desk.records.unit_of_work import ReadingSession, Work

SUFFIX = ".retrofit"
Listener = Callable[[frozenset[str]], None]


class Project:
    """A project folder, open. Make one with `create` or `open`; a context manager that closes it."""

    def __init__(
        self,
        path: Path,
        reading: Engine,
        writing: Engine | None,
        lock: WriteLock | None,
        clock: Clock = machine_clock,
    ) -> None:
        self.path = path
        self.now = clock
        self.papers = PapersStore(path / "papers")
        self._reading, self._writing, self._lock = reading, writing, lock
        self._copy: Copy | None = None
        self._is_closed = False
        self._turn = threading.Lock()
        self._turn_of: int | None = None
        self._listeners: list[Listener] = []
        with self.session() as session:
            self._steps = Steps.read(session)

    # opening and closing

    @classmethod
    def create(cls, folder: Path, *, clock: Clock = machine_clock) -> Project:
        """Make a new, empty project. Its folder gets the ending .retrofit if it has none.

        Raises `ProjectExists`, `ReadOnlyFolder`, `DiskFull`. A failure leaves nothing behind.
        """
        path = folder if folder.suffix == SUFFIX else folder.with_name(folder.name + SUFFIX)
        if path.exists():
            raise ProjectExists(path)
        with in_plain_words(path.parent), whole_or_nothing(path) as part:
            upgrade.make_new(database_of(part))
        return cls.open(path, clock=clock)

    @classmethod
    def open(cls, folder: Path, *, read_only: bool = False, clock: Clock = machine_clock) -> Project:
        """Open a project; an older one is backed up, checked and brought to this version first.

        Raises `ProjectMissing`, `ProjectInUse`, `ProjectTooNew`, `ProjectDamaged`, `UpgradeFailed`,
        `ReadOnlyFolder`, `DiskFull`.
        """
        path = folder.absolute()
        with in_plain_words(path):
            if not database_of(path).is_file():
                raise ProjectMissing(path)
            return cls._open_for_reading(path, clock) if read_only else cls._open_for_writing(path, clock)

    @classmethod
    def _open_for_writing(cls, path: Path, clock: Clock) -> Project:
        lock = WriteLock(path)
        try:
            upgrade.bring_up_to_date(path)
            database = database_of(path)
            project = cls(path, reading_engine(reading_uri(database)), writing_engine(database), lock, clock)
            project.papers.sweep(project._known_hashes)
        except BaseException:
            lock.release()
            raise
        return project

    @classmethod
    def _open_for_reading(cls, path: Path, clock: Clock) -> Project:
        uri = reading_uri(database_of(path))
        if upgrade.is_current(path, uri):
            return cls(path, reading_engine(uri), None, None, clock)
        copy = copy_in_memory(uri)
        upgrade.upgrade_copy(path, copy)
        return cls._of_copy(path, copy, clock)

    @classmethod
    def _of_copy(cls, path: Path, copy: Copy, clock: Clock) -> Project:
        project = cls(path, reading_engine(copy.uri), None, None, clock)
        project._copy = copy
        return project

    def close(self) -> None:
        """Let go of the folder; everything is already kept. Closing twice does no harm."""
        if self._is_closed:
            return
        self._is_closed = True
        self._reading.dispose()
        if self._writing is not None:
            leave_single_file(self._writing)
            self._writing.dispose()
        if self._copy is not None:
            self._copy.anchor.close()
        if self._lock is not None:
            self._lock.release()

    def __enter__(self) -> Project:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()

    @property
    def own_tables(self) -> Path:
        """Where the project's own reference tables lie; they take the place of shipped ones by name."""
        return self.path / "tables"

    def _info(self) -> dict[str, object]:
        """What a session is told besides the record: the clock, and where the project's own tables lie."""
        return {"now": self.now, "own_tables": self.own_tables}

    @property
    def is_read_only(self) -> bool:
        return self._writing is None

    # reading

    @contextmanager
    def session(self) -> Iterator[Session]:
        """One consistent look at the record, from any thread. Writing in it is refused."""
        with (
            database_in_plain_words(self.path),
            ReadingSession(self._reading, expire_on_commit=False, info=self._info()) as session,
        ):
            yield session

    # writing

    @contextmanager
    def action(self, title: str, *, kind: ActionKind = ActionKind.DONE) -> Iterator[Work]:
        """One unit of work: one transaction, one history line `title`, one undo step.

        Any error rolls all of it back, papers included. An action inside an action is refused; an action that
        changes nothing leaves no line. `kind` is GIVEN for what a new project comes with: undo stops there.
        Raises `OnlyForReading`, `DiskFull`, `ProjectBusy`.
        """
        tables: frozenset[str] = frozenset()
        with self._own_turn(title), self._unit(in_history=True) as (work, recorder):
            yield work
            work.session.flush()
            changes = recorder.changes()
            if changes:
                connection, now = work.session.connection(), self.now()
                action_id = history.write_down(connection, title, now, changes, kind=kind)
                work.session.commit()
                work.keep_papers()
                self._steps.note(action_id, title, kind)
            else:
                work.take_back_papers()
            tables = frozenset(change.table for change in changes)
        self._tell(tables)

    @contextmanager
    def outside_history(self) -> Iterator[Work]:
        """Write worked-out results and habits of the window: no history line, no undo."""
        with self._own_turn("Keep a result"), self._unit(in_history=False) as (work, recorder):
            yield work
            work.session.flush()
            tables = frozenset(change.table for change in recorder.changes())
            work.session.commit()
        self._tell(tables)

    def undo(self) -> str:
        """Take the last action back; returns its title. Raises `NothingTo`, `HistoryDiffers`."""
        return self._step("undo", ActionKind.UNDONE)

    def redo(self) -> str:
        """Do again what was undone last; returns its title. Raises `NothingTo`, `HistoryDiffers`."""
        return self._step("redo", ActionKind.REDONE)

    def put_back(self, action_id: int, table: str, row_id: int, title: str) -> None:
        """Put one row to how it stood before an action: a step of its own, which undo takes back.

        Raises `NothingTo` when the action did not touch the row or it stands so already, and `HangsTogether`
        when other rows would be left in the air.
        """
        with self._own_turn("put back"), self._unit(in_history=True) as (work, _recorder):
            connection = work.session.connection()
            touched = [
                one
                for one in history.changes_of(connection, action_id)
                if (one.table, one.row_id) == (table, row_id)
            ]
            now = history.stored_row(connection, table, row_id)
            if not touched or repr(now) == repr(touched[0].before):
                raise NothingTo("put back")
            changes = [RowChange(table, row_id, before=now, after=touched[0].before)]
            history.carry_out(connection, changes, title)
            new_id = history.write_down(connection, title, self.now(), changes)
            try:
                work.session.commit()
            except IntegrityError as error:
                raise HangsTogether(title) from error
            self._steps.note(new_id, title, ActionKind.DONE)
        self._tell(frozenset({table}))

    @property
    def undo_title(self) -> str | None:
        """What undo would take back; None if there is nothing."""
        return None if self.is_read_only or self._steps.undo is None else self._steps.undo[1]

    @property
    def redo_title(self) -> str | None:
        """What redo would do again; None if there is nothing."""
        return None if self.is_read_only or self._steps.redo is None else self._steps.redo[1]

    def on_change(self, listener: Listener) -> Callable[[], None]:
        """Call `listener(tables)` after every commit, in the thread that made it; returns how to stop."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    # looking back

    def history(self) -> list[HistoryLine]:
        """Every line, newest first."""
        with self.session() as session:
            return history.lines(session)

    def history_of(self, table: str, row_id: int) -> list[tuple[HistoryLine, RowChange]]:
        """What ever happened to one row, oldest first."""
        with self.session() as session:
            return history.lines_of_row(session, table, row_id)

    def changes(self, action_id: int) -> list[RowChange]:
        """What one action changed."""
        with self.session() as session:
            return history.changes_of(session.connection(), action_id)

    def as_of(self, moment: datetime) -> Project:
        """The project as it stood at a moment: a copy in memory, for reading only. Close it after use.

        Its clock stands still at that moment.
        """
        with in_plain_words(self.path):
            copy = copy_in_memory(
                reading_uri(database_of(self.path)) if self._copy is None else self._copy.uri
            )
            with self.session() as session:
                last = history.last_action_at(session, moment)
            _take_back(copy, last, moment)
            return Project._of_copy(self.path, copy, StoodAt(moment))

    @property
    def last_saved(self) -> datetime | None:
        """When the last action was kept."""
        with self.session() as session:
            newest = history.lines(session, newest=1)
        return newest[0].at if newest else None

    # backups

    def backup_now(self) -> backup.Backup:
        """A checked copy of the record in `backups/`. Raises `DiskFull`, `BackupUnusable`."""
        with in_plain_words(self.path):
            return backup.make_backup(self.path, backup.Reason.ASKED)

    def backup_if_due(self) -> backup.Backup | None:
        """The daily backup, if today's has not been made yet; older daily ones are thinned out."""
        with in_plain_words(self.path):
            return backup.make_daily(self.path)

    def backups(self) -> list[backup.Backup]:
        """All backups, newest first."""
        return backup.list_backups(self.path)

    # inside

    @contextmanager
    def _own_turn(self, title: str) -> Iterator[None]:
        if self._writing is None:
            raise OnlyForReading(title, is_past=self._copy is not None)
        if self._turn_of == threading.get_ident():
            raise RuntimeError(f"'{title}' began inside another action")
        with self._turn:
            self._turn_of = threading.get_ident()
            try:
                yield
            finally:
                self._turn_of = None

    @contextmanager
    def _unit(self, *, in_history: bool) -> Iterator[tuple[Work, Recorder]]:
        with (
            database_in_plain_words(self.path),
            ActionSession(self._writing, expire_on_commit=False, info=self._info()) as session,
        ):
            work = Work(session, self.papers)
            recorder = Recorder(session, in_history=in_history)
            try:
                yield work, recorder
            except BaseException:
                session.rollback()
                work.take_back_papers()
                raise

    def _known_hashes(self) -> set[str]:
        with self.session() as session:
            return known_hashes(session)

    def _step(self, verb: str, kind: ActionKind) -> str:
        with self._own_turn(verb), self._unit(in_history=True) as (work, _recorder):
            step = self._steps.undo if kind is ActionKind.UNDONE else self._steps.redo
            if step is None:
                raise NothingTo(verb)
            action_id, title = step
            connection = work.session.connection()
            changes = history.changes_of(connection, action_id)
            if kind is ActionKind.UNDONE:
                changes = history.backwards(changes)
            history.carry_out(connection, changes, title)
            history.write_down(connection, title, self.now(), changes, kind=kind, of_id=action_id)
            work.session.commit()
            self._steps.note(action_id, title, kind)
        self._tell(frozenset(change.table for change in changes))
        return title

    def _tell(self, tables: frozenset[str]) -> None:
        if tables:
            for listener in tuple(self._listeners):
                listener(tables)


def _take_back(copy: Copy, last_action_id: int, moment: datetime) -> None:
    engine = upgrade.engine_of_copy(copy)
    try:
        with engine.begin() as connection:
            history.take_back_to(connection, last_action_id)
            # results are kept outside the history; those worked out later were not known then
            connection.execute(delete(SavingsResult).where(SavingsResult.made_at > moment))
    except IntegrityError as error:
        raise PastOutOfReach(f"{moment:%Y-%m-%d}") from error
    finally:
        engine.dispose()
