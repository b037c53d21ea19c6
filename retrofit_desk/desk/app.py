"""Starts the window: the application, its look, and the project on the desk.

The record's library takes longer to load than Qt, so the window is on the screen first and the record is
loaded and opened on a worker's thread: nothing here imports it at the top.
"""

from __future__ import annotations

import logging
import os
import shutil
import sys
import threading
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication, QFileDialog

from retrofit_desk.desk.first_start import FirstStart
from retrofit_desk.desk.jobs import Jobs, Report, still_at_work
from retrofit_desk.desk.log import start_log
from retrofit_desk.desk.notices import in_one_line
from retrofit_desk.desk.settings import Settings
from retrofit_desk.desk.theme import TOKENS, dress, load_fonts
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import PageKey

if TYPE_CHECKING:
    from retrofit_desk.desk.window import Window
    from retrofit_desk.records.backup import Backup
    from retrofit_desk.records.project import Project

SAMPLE = "--sample"
READING_ONLY = (
    "Open for reading only: another copy of the program has this project, or its folder cannot be written. "
    "Nothing is changed here; close the other copy and open the project again."
)


class Starter:
    """Brings a project onto the desk, and another one in its place."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self.jobs = Jobs(self._failed)
        self.beginning: FirstStart | None = None
        self.window: Window | None = None

    def first_start(self) -> FirstStart:
        """The window before there is a project: it asks how to begin, or says what is being opened."""
        if self.beginning is None:
            self.beginning = FirstStart(self.choose)
            kept = self._settings.geometry()
            if kept is not None:
                self.beginning.restoreGeometry(kept)
        self.beginning.show()
        return self.beginning

    def choose(self, how: str) -> None:
        """One of the ways to begin: "sample", "oil sample", "new" or "open"."""
        parent = self.window or self.beginning
        if how == "sample":
            self.open_sample()
        elif how == "oil sample":
            self.open_sample("oil")
        elif how == "new":
            from retrofit_desk.desk.dialogs.new_house import ask_new_house

            made = ask_new_house(parent, self._settings.read())
            if made is not None:
                self.open_project(made)
        else:
            picked = QFileDialog.getExistingDirectory(parent, "Open a project folder")
            if picked:
                self.open_project(Path(picked))

    def open_project(self, folder: Path) -> None:
        """Open a project folder; when that fails the reason is shown and the desk stays as it was."""
        if self.window is not None and self.window.desk.project.path == folder.absolute():
            self.window.desk.notices.tell("This project is on the desk already.")
            return
        self._load(f"Opening {folder.stem}", lambda _report: _open(folder))

    def open_sample(self, house: str = "gas") -> None:
        """Open a sample house; it is made first when it is not there yet."""
        self._load("Opening the sample house", partial(_open_sample, house=house))

    def put_back(self, backup: Backup) -> None:
        """Put the record of the project on the desk back to a backup, and open it again."""
        from retrofit_desk.services.past import restored

        window = self.window
        assert window is not None
        folder = window.desk.project.path
        window.desk.leave()
        try:
            told = restored(folder, backup)
        except DeskError as error:
            told = in_one_line(error)
        self._put_on_desk(_open(folder))
        assert self.window is not None
        self.window.desk.notices.tell(told)

    def leave(self) -> None:
        """Let go of the project on the desk."""
        self.jobs.stop_all()
        if self.window is not None:
            self.window.desk.leave()

    def caught(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        """Whatever escapes a slot becomes one line; a fault of ours also goes to the log, whole."""
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
        else:
            self._failed(error)

    def _load(self, doing: str, work: Callable[[Report], Project]) -> None:
        if self.window is not None:
            self.window.desk.jobs.start(doing, work, self._put_on_desk)
            return
        beginning = self.first_start()
        beginning.tell(f"{doing} …", busy=True)
        job = self.jobs.start(doing, work, self._put_on_desk)
        job.told.connect(lambda _share, words: beginning.tell(f"{words} …", busy=True))

    def _put_on_desk(self, project: Project) -> None:
        from retrofit_desk.desk.context import Desk
        from retrofit_desk.desk.window import Window
        from retrofit_desk.services.kept import KeptService

        self.leave()
        choices = self._settings.read()
        desk = Desk(project, units=choices.units, tone=choices.tone)
        before, self.window = self.window or self.beginning, Window(desk, self._settings, self.choose)
        self.beginning = None
        desk.restore_asked.connect(self.put_back)
        self.window.show()
        if before is not None:
            before.close()
            before.deleteLater()
        self.window.show_page(PageKey.AT_HAND)
        if project.is_read_only:
            desk.notices.warn(READING_ONLY)
        else:
            self.window.back_up_if_due()
            if line := desk.service(KeptService).clock_line():
                desk.notices.warn(line)

    def _failed(self, error: BaseException) -> None:
        if self.window is not None:
            self.window.desk.notices.error(error)
        else:
            self.first_start().tell(in_one_line(error))


def _open(folder: Path) -> Project:
    """For writing; for reading only when another copy has it or the folder cannot be written."""
    import retrofit_desk.desk.window  # noqa: F401 loaded here, beside the window that is shown meanwhile
    from retrofit_desk.records.errors import ProjectInUse, ReadOnlyFolder
    from retrofit_desk.records.project import Project

    try:
        return Project.open(folder)
    except (ProjectInUse, ReadOnlyFolder):
        return Project.open(folder, read_only=True)


def _open_sample(report: Report, house: str) -> Project:
    from retrofit_desk.services.sample import SAMPLES, make_sample, sample_folder

    chosen = SAMPLES[house]
    folder = sample_folder(chosen)
    if not folder.exists():
        report(0.1, "Making the sample house and its papers")
        unfinished = folder.with_name(f"{folder.stem} unfinished{folder.suffix}")
        shutil.rmtree(unfinished, ignore_errors=True)  # of a start that was closed in the middle
        make_sample(unfinished, chosen).close()
        unfinished.rename(folder)
    return _open(folder)


def main(argv: Sequence[str] | None = None) -> int:
    """Open the window on a project folder, on the sample house (`--sample`), or on the first choice."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    app = QApplication.instance() or QApplication(["retrofit-desk"])
    assert isinstance(app, QApplication)
    app.setApplicationName("retrofit-desk")
    app.setApplicationDisplayName("Retrofit Desk")
    app.setWindowIcon(QIcon(str(shipped_folder("assets") / "icons" / "desk.svg")))
    start_log()
    load_fonts()
    settings = Settings()
    choices = settings.read()
    dress(app, TOKENS[choices.tone], choices.text_scale)
    starter = Starter(settings)
    sys.excepthook = starter.caught
    # inside the event loop, so that whatever goes wrong is shown on the window instead of ending it
    QTimer.singleShot(0, partial(_begin, starter, arguments, choices.last_project))
    code = app.exec()
    starter.leave()
    _end_if_still_at_work(code)
    return code


def _end_if_still_at_work(code: int) -> None:
    """End the process under threads that compute on: they would run into a Qt that is being taken down.

    The record is closed by now; what a deaf job was writing is a transaction that never happened.
    """
    if threading.active_count() == 1:
        return
    left = still_at_work()
    if left:
        logging.getLogger(__name__).warning("closed while still at work: %s", ", ".join(left))
    logging.shutdown()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def _begin(starter: Starter, arguments: Sequence[str], last_project: str) -> None:
    if SAMPLE in arguments:
        starter.open_sample()
    elif arguments:
        starter.open_project(Path(arguments[0]))
    elif last_project and Path(last_project).is_dir():
        starter.open_project(Path(last_project))
    else:
        starter.first_start()


if __name__ == "__main__":
    sys.exit(main())
