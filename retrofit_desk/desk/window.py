"""The window: rail, strip, notices, the page of the moment, running jobs, and the table of commands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from retrofit_desk.desk.bars import JobsBar, NoticeBar, PastBar
from retrofit_desk.desk.commands import Command, actions_of, fill_menus, update_enabled
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages import PAGES
from retrofit_desk.desk.rail import Rail
from retrofit_desk.desk.settings import TEXT_SCALES, Choices, Settings
from retrofit_desk.desk.strip import Strip
from retrofit_desk.desk.theme import Tone, dress
from retrofit_desk.records.project import Project
from retrofit_desk.services.kept import KeptService
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Units

HABITS = frozenset({"preference"})  # tables no page shows
ONLY_TODAY = frozenset(
    {"new", "open", "sample", "oil-sample", "backup", "restore", "past-day", "history", "put-away"}
)
"""Commands that a day of the past does not have."""


@dataclass(frozen=True)
class PastLook:
    """A window that shows the past: what its bar says, and the way back to today."""

    words: str
    back: Callable[[], None]


class Window(QMainWindow):
    """One project on the desk. `elsewhere` opens another project: "open", "new", "sample" or "oil sample".

    With `past` it shows a day of the past, and closing it comes back to today.
    """

    def __init__(
        self,
        desk: Desk,
        settings: Settings,
        elsewhere: Callable[[str], None],
        past: PastLook | None = None,
    ) -> None:
        super().__init__()
        self.desk, self._settings, self._elsewhere, self._past = desk, settings, elsewhere, past
        self.past_window: Window | None = None
        self._scale = settings.read().text_scale
        self._dress()
        self._pages: dict[PageKey, Page] = {}
        self._page_actions: list[QAction] = []
        self._stale: set[PageKey] = set()
        self._open_key: PageKey | None = None
        self.setObjectName("desk")
        self.setAcceptDrops(True)
        self.setMinimumSize(640, 400)
        self.table = self._command_table() if past is None else self._commands_of_the_past(past)
        self._actions = actions_of(self.table, self)
        self.addActions(list(self._actions.values()))
        fill_menus(self.menuBar(), self.table, self._actions)
        self._page_menu = self.menuBar().addMenu("&Page")
        self._page_menu.menuAction().setVisible(False)
        self._build()
        self._listen()
        kept = settings.geometry()
        if kept is None or not self.restoreGeometry(kept):
            self.resize(1280, 720)
        self._refresh_all()

    # -- what the window does ------------------------------------------------

    def show_page(self, key: PageKey) -> Page:
        """Open a page; its code is loaded when it is first shown."""
        page = self._pages.get(key)
        if page is None:
            entry = next(entry for entry in PAGES if entry.key is key)
            page = entry.load()(self.desk)
            self._pages[key] = page
            self._stack.addWidget(page)
            self._stale.add(key)
        self._open_key = key
        self._stack.setCurrentWidget(page)
        self._rail.mark(key)
        self._refresh_if_stale(key)
        self._fill_page_menu(page)
        page.setFocus(Qt.FocusReason.OtherFocusReason)
        return page

    def go_to(self, place: Place) -> None:
        """Open a page at one recorded thing."""
        page = self.show_page(place.page)
        if place.kind or place.item is not None:
            page.show_item(place)

    def all_commands(self) -> tuple[Command, ...]:
        """The window's commands and those of the open page, for the help list."""
        page = self._pages.get(self._open_key) if self._open_key else None
        return (*self.table, *(page.commands() if page else ()))

    def back_up_if_due(self) -> None:
        """The daily backup, in the background."""
        kept = self.desk.service(KeptService)

        def done(_answer: None) -> None:
            self._refresh_strip()

        self.desk.jobs.start("Daily backup", lambda _report: kept.back_up_if_due(), done)

    # -- building ------------------------------------------------------------

    def _build(self) -> None:
        self._rail = Rail(self.desk)
        self._strip = Strip(self.desk, self._actions)
        bars: list[QWidget] = []
        if self._past is not None:
            bars.append(PastBar(self.desk, self._past.words, self._past.back))
        self._notice = NoticeBar(self.desk)
        self._stack = QStackedWidget()
        self._jobs = JobsBar(self.desk)
        right = QVBoxLayout()
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(0)
        for part in (*bars, self._strip, self._notice):
            right.addWidget(part)
        right.addWidget(self._stack, 1)
        right.addWidget(self._jobs)
        whole = QWidget()
        row = QHBoxLayout(whole)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self._rail)
        row.addLayout(right, 1)
        self.setCentralWidget(whole)

    def _listen(self) -> None:
        self._rail.chosen.connect(self.show_page)
        self.desk.went_to.connect(self.go_to)
        self.desk.history_asked.connect(self.show_history_of)
        self.desk.record_changed.connect(self._record_changed)
        self.desk.units_changed.connect(self._look_changed)
        self.desk.theme_changed.connect(self._look_changed)
        self._clock = QTimer(self)
        self._clock.setInterval(60_000)
        self._clock.timeout.connect(self._refresh_strip)
        self._clock.start()

    def _command_table(self) -> tuple[Command, ...]:
        project = self.desk.project
        pages = tuple(
            Command(
                f"page-{entry.key}",
                entry.word.replace("&", "&&"),
                partial(self.show_page, entry.key),
                (str(digit), f"Alt+{digit}"),
                "&View",
            )
            for digit, entry in enumerate(PAGES, start=1)
        )
        return (
            Command("new", "New house …", lambda: self._elsewhere("new"), ("Ctrl+N",), "&File"),
            Command("open", "Open a project …", lambda: self._elsewhere("open"), ("Ctrl+O",), "&File"),
            Command("sample", "Open the sample house", lambda: self._elsewhere("sample"), (), "&File"),
            Command("oil-sample", "Open the oil house", lambda: self._elsewhere("oil sample"), (), "&File"),
            Command("backup", "Back up now", self._back_up, ("Ctrl+Shift+B",), "&File"),
            Command("restore", "Put back a backup …", self._put_back_backup, (), "&File"),
            Command("close", "Close", self.close, ("Ctrl+Q",), "&File"),
            Command("undo", "Undo", self._undo, ("Ctrl+Z",), "&Edit", lambda: bool(project.undo_title)),
            Command("redo", "Redo", self._redo, ("Ctrl+Shift+Z",), "&Edit", lambda: bool(project.redo_title)),
            Command("history", "History …", self._show_history, ("Ctrl+H",), "&Edit"),
            Command(
                "past-day", "Look at a day of the past …", self._ask_past_day, ("Ctrl+Shift+L",), "&Edit"
            ),
            Command(
                "inside", "Find what is inside a wall or floor …", self._show_inside, ("Ctrl+I",), "&View"
            ),
            Command("machine", "One machine on one page …", self._show_machine, ("Ctrl+Shift+I",), "&View"),
            Command("go-to", "Go to …", self._go_to_field, ("Ctrl+G",), "&Edit"),
            *pages,
            Command("units", "Other units (US customary, SI)", self._other_units, ("Ctrl+U",), "&View"),
            Command("tone", "Light or dark paper", self._other_tone, ("Ctrl+D",), "&View"),
            Command("larger", "Larger text", lambda: self._step_text(1), ("Ctrl++", "Ctrl+="), "&View"),
            Command("smaller", "Smaller text", lambda: self._step_text(-1), ("Ctrl+-",), "&View"),
            Command("put-away", "Put the notice away", self._put_notice_away, ("Esc",)),
            Command("again", "Read the record again", self._refresh_all, ("F5",), "&View"),
            Command("keys", "Commands and keys", self._show_keys, ("F1",), "&Help"),
            Command("cautions", "Cautions", self._show_cautions, (), "&Help"),
            Command("log", "Show the log", self._show_log, (), "&Help"),
        )

    def _commands_of_the_past(self, past: PastLook) -> tuple[Command, ...]:
        kept = tuple(command for command in self._command_table() if command.key not in ONLY_TODAY)
        return (*kept, Command("today", "Back to today", past.back, ("Esc",), "&Edit"))

    def _fill_page_menu(self, page: Page) -> None:
        for old in self._page_actions:
            self.removeAction(old)
            old.deleteLater()
        self._page_menu.clear()
        commands = page.commands()
        actions = actions_of(commands, self)
        update_enabled(commands, actions)
        self._page_actions = list(actions.values())
        self.addActions(self._page_actions)
        self._page_menu.addActions(self._page_actions)
        self._page_menu.setTitle(page.title.replace("&", "&&"))
        self._page_menu.menuAction().setVisible(bool(commands))

    # -- following the record ------------------------------------------------

    def _record_changed(self, tables: frozenset[str]) -> None:
        if tables <= HABITS:
            return
        self._stale.update(self._pages)
        self._refresh_strip()
        if self._open_key is not None:
            self._refresh_if_stale(self._open_key)
            self._fill_page_menu(self._pages[self._open_key])

    def _look_changed(self) -> None:
        self._dress()
        choices = Choices(self.desk.units, self.desk.theme.tone, self._scale, str(self.desk.project.path))
        self._settings.write(choices)
        self._refresh_all()

    def _dress(self) -> None:
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        dress(app, self.desk.theme, self._scale)

    def _refresh_all(self) -> None:
        self._stale.update(self._pages)
        self._refresh_strip()
        self._rail.update()
        if self._open_key is not None:
            self._refresh_if_stale(self._open_key)

    def _refresh_if_stale(self, key: PageKey) -> None:
        if key in self._stale:
            self._stale.discard(key)
            with self.desk.notices.caught():
                self._pages[key].refresh()

    def _refresh_strip(self) -> None:
        project = self.desk.project
        kept = self.desk.service(KeptService)
        name = kept.name()
        self.setWindowTitle(f"{name} · Retrofit Desk")
        self._strip.refresh(name, project.undo_title or "", project.redo_title or "", kept.line())
        update_enabled(self.table, self._actions, "&Edit")

    # -- commands ------------------------------------------------------------

    def _undo(self) -> None:
        with self.desk.notices.caught():
            self.desk.notices.tell(f"Undone: {self.desk.project.undo()}. Redo brings it back.")

    def _redo(self) -> None:
        with self.desk.notices.caught():
            self.desk.notices.tell(f"Done again: {self.desk.project.redo()}.")

    def _back_up(self) -> None:
        def done(line: str) -> None:
            self.desk.notices.tell(line)
            self._refresh_strip()

        kept = self.desk.service(KeptService)
        self.desk.jobs.start("Backing up", lambda _report: kept.back_up(), done)

    def _show_inside(self) -> None:
        from retrofit_desk.desk.dialogs.inside import InsideDialog

        InsideDialog(self.desk, self).exec()

    def _show_machine(self) -> None:
        from retrofit_desk.desk.dialogs.machine_page import MachinePageDialog

        MachinePageDialog(self.desk, self).exec()

    def _put_back_backup(self) -> None:
        from retrofit_desk.desk.dialogs.backups import BackupsDialog

        dialog = BackupsDialog(self.desk, self)
        if dialog.exec() and dialog.chosen is not None:
            self.desk.restore_asked.emit(dialog.chosen)

    def _show_history(self) -> None:
        self.show_history_of(None)

    def show_history_of(self, of: tuple[str, int, str] | None) -> None:
        """The history, or that of one thing: its table, id and name."""
        from retrofit_desk.desk.dialogs.history import HistoryDialog
        from retrofit_desk.services.past import PastService

        dialog = HistoryDialog(self.desk, self, of)
        line = dialog.look_after if dialog.exec() else None
        if line is not None:
            words = f"{day_text(line.at.date())}, {line.at:%H:%M}, after “{line.title}”"
            with self.desk.notices.caught():
                self._look_at(self.desk.service(PastService).look_after(line), words)

    def _ask_past_day(self) -> None:
        from retrofit_desk.desk.dialogs.past_day import ask_past_day

        day = ask_past_day(self.desk, self)
        if day is not None:
            self.look_at_day(day)

    def look_at_day(self, day: date) -> None:
        """Every page as it stood at the end of a day, in a window that only reads."""
        from retrofit_desk.services.past import PastService

        with self.desk.notices.caught():
            self._look_at(self.desk.service(PastService).look_at(day), day_text(day))

    def _look_at(self, project: Project, words: str) -> None:
        desk = Desk(project, units=self.desk.units, tone=self.desk.theme.tone)
        told = f"As it stood on {words}. For reading only."
        past = Window(desk, self._settings, self._elsewhere, PastLook(told, self._back_to_today))
        past.setGeometry(self.geometry())
        past.show_page(self._open_key or PageKey.AT_HAND)
        past.show()
        self.past_window = past
        self.hide()

    def _back_to_today(self) -> None:
        past, self.past_window = self.past_window, None
        if past is not None:
            self.setGeometry(past.geometry())
            self.show()
            self._dress()
            past.desk.leave()
            past.close()
            past.deleteLater()

    def _put_notice_away(self) -> None:
        self._notice.hide()

    def _go_to_field(self) -> None:
        self._strip.go_to.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self._strip.go_to.selectAll()

    def _other_units(self) -> None:
        self.desk.set_units(Units.SI if self.desk.units is Units.US else Units.US)

    def _other_tone(self) -> None:
        self.desk.set_tone(Tone.DARK if self.desk.theme.tone is Tone.LIGHT else Tone.LIGHT)

    def _step_text(self, step: int) -> None:
        nearest = min(range(len(TEXT_SCALES)), key=lambda i: abs(TEXT_SCALES[i] - self._scale))
        self._scale = TEXT_SCALES[min(max(nearest + step, 0), len(TEXT_SCALES) - 1)]
        self._look_changed()

    def _show_keys(self) -> None:
        from retrofit_desk.desk.dialogs.help import KeysDialog

        KeysDialog(self, self.all_commands()).exec()

    def _show_cautions(self) -> None:
        from retrofit_desk.desk.dialogs.help import CautionsDialog

        CautionsDialog(self).exec()

    def _show_log(self) -> None:
        from retrofit_desk.desk.dialogs.help import LogDialog

        LogDialog(self).exec()

    # -- Qt's own ------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        paths = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        if paths:
            event.acceptProposedAction()
            self.show_page(PageKey.PAPERS)
            self.desk.papers_dropped.emit(paths)

    def closeEvent(self, event: QCloseEvent) -> None:
        if self._past is not None:
            self._past.back()
            event.accept()
            return
        if self.desk.jobs.running:
            self._notice.show_line(self.desk.jobs.stopping_line(), False)
            self.repaint()  # now: nothing is drawn while the window waits
            self.desk.jobs.stop_all()
        self._settings.keep_geometry(self.saveGeometry())
        event.accept()
