"""What every page is given: the project, its services, units, look, long work, notices, a way elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

from retrofit_desk.desk.jobs import Jobs
from retrofit_desk.desk.notices import Notices
from retrofit_desk.desk.theme import TOKENS, Tokens, Tone
from retrofit_desk.records.project import Project
from retrofit_desk.values.place import Place
from retrofit_desk.values.quantity import Units

S = TypeVar("S")


class Bench(QObject):
    """What fields and drawings need, with or without a project: units, look, notices."""

    units_changed = Signal()
    theme_changed = Signal()

    def __init__(self, *, units: Units = Units.US, tone: Tone = Tone.LIGHT) -> None:
        super().__init__()
        self.units = units
        self.theme: Tokens = TOKENS[tone]
        self.notices = Notices()


class Desk(Bench):
    """The context of all pages, for one open project."""

    record_changed = Signal(frozenset)  # names of the tables that changed
    went_to = Signal(Place)
    papers_dropped = Signal(list)  # file paths, str
    restore_asked = Signal(object)  # a backup
    history_asked = Signal(tuple)  # table, row id, and what the thing is called
    _noted = Signal(frozenset)

    def __init__(self, project: Project, *, units: Units = Units.US, tone: Tone = Tone.LIGHT) -> None:
        super().__init__(units=units, tone=tone)
        self.project = project
        self.jobs = Jobs(self.notices.error)
        self._services: dict[type, object] = {}
        self._changed: frozenset[str] = frozenset()
        self._tell_change = QTimer(self)
        self._tell_change.setSingleShot(True)
        self._tell_change.setInterval(0)
        self._tell_change.timeout.connect(self._emit_change)
        self._noted.connect(self._note_change)
        # An action may end on a worker's thread; the signal brings the news to ours.
        self._stop_listening = project.on_change(self._noted.emit)
        self._has_left = False

    def service(self, kind: Callable[[Project], S]) -> S:
        """The project's one instance of a service class, made when first asked for."""
        assert isinstance(kind, type)
        if kind not in self._services:
            self._services[kind] = kind(self.project)
        return self._services[kind]  # type: ignore[return-value]

    def go_to(self, place: Place) -> None:
        """Open the page where something is dealt with, at that thing."""
        self.went_to.emit(place)

    def set_units(self, units: Units) -> None:
        if units is not self.units:
            self.units = units
            self.units_changed.emit()

    def set_tone(self, tone: Tone) -> None:
        if tone is not self.theme.tone:
            self.theme = TOKENS[tone]
            self.theme_changed.emit()

    def leave(self) -> None:
        """Stop long work and listening, then let go of the project. Leaving twice does no harm."""
        if self._has_left:
            return
        self._has_left = True
        self.jobs.stop_all()
        self._stop_listening()
        self.project.close()

    def _note_change(self, tables: frozenset[str]) -> None:
        # Several actions in one turn of the event loop are one piece of news.
        self._changed |= frozenset(tables)
        self._tell_change.start()

    def _emit_change(self) -> None:
        changed, self._changed = self._changed, frozenset()
        self.record_changed.emit(changed)
