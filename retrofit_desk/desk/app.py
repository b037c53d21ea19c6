"""Starts the window: the application, its look, and the project on the desk."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QTimer
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication, QFileDialog, QMainWindow

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.first_start import FirstStart
from retrofit_desk.desk.jobs import Job, Jobs
from retrofit_desk.desk.log import start_log
from retrofit_desk.desk.notices import log
from retrofit_desk.desk.settings import Settings
from retrofit_desk.desk.theme import TOKENS, dress, load_fonts
from retrofit_desk.records.errors import ProjectInUse, ReadOnlyFolder
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import PageKey

SAMPLE = "--sample"
READING_ONLY = (
    "Open for reading only: another copy of the program has this project, or its folder cannot be written. "
    "Nothing is changed here; close the other copy and open the project again."
)


class Starter:
    """Brings a project onto the desk, and another one in its place."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._jobs = Jobs(self._failed)
        self._job: Job | None = None
        self.window: QMainWindow | None = None

    def first_start(self) -> None:
        """Ask how to begin."""
        self._show(FirstStart(self.choose))

    def open_project(self, folder: Path) -> None:
        """Open a project folder; when that fails the reason is shown and the desk stays as it was."""
        from retrofit_desk.desk.window import Window

        try:
            project = _open(folder)
        except DeskError as error:
            self._failed(error)
            return
        self.leave()
        choices = self._settings.read()
        desk = Desk(project, units=choices.units, tone=choices.tone)
        window = Window(desk, self._settings, self.choose)
        self._show(window)
        window.show_page(PageKey.AT_HAND)
        if project.is_read_only:
            desk.notices.warn(READING_ONLY)
        else:
            window.back_up_if_due()

    def choose(self, how: str) -> None:
        """One of the three ways to begin: "sample", "new" or "open"."""
        if how == "sample":
            self.open_sample()
        elif how == "new":
            from retrofit_desk.desk.dialogs.new_house import ask_new_house

            made = ask_new_house(self.window)
            if made is not None:
                self.open_project(made)
        else:
            picked = QFileDialog.getExistingDirectory(self.window, "Open a project folder")
            if picked:
                self.open_project(Path(picked))

    def open_sample(self) -> None:
        """Open the sample house; it is made in the background when it is not there yet."""
        from retrofit_desk.services.sample import sample_folder

        folder = sample_folder()
        if folder.exists():
            self.open_project(folder)
            return
        if self.window is None:
            self.first_start()
        if isinstance(self.window, FirstStart):
            self.window.tell("Making the sample house and its papers …", busy=True)
        self._job = self._jobs.start(
            "Making the sample house", lambda _report: _make_sample(folder), self.open_project
        )

    def _failed(self, error: BaseException) -> None:
        if not isinstance(error, DeskError):
            log.error("a fault of the program", exc_info=error)
        line = (
            error.line()
            if isinstance(error, DeskError)
            else f"The program made a mistake of its own: {error}"
        )
        desk = getattr(self.window, "desk", None)
        if isinstance(desk, Desk):
            desk.notices.warn(line)
            return
        if self.window is None:
            self.first_start()
        assert isinstance(self.window, FirstStart)
        self.window.tell(line)

    def leave(self) -> None:
        """Let go of the project on the desk."""
        desk = getattr(self.window, "desk", None)
        if isinstance(desk, Desk):
            desk.leave()

    def _show(self, window: QMainWindow) -> None:
        before, self.window = self.window, window
        window.show()
        if before is not None:
            before.close()
            before.deleteLater()

    def caught(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        """Whatever escapes a slot becomes one line; a fault of ours also goes to the log, whole."""
        desk = getattr(self.window, "desk", None)
        if issubclass(kind, KeyboardInterrupt) or not isinstance(desk, Desk):
            sys.__excepthook__(kind, error, trace)
            return
        desk.notices.error(error)


def _open(folder: Path) -> Project:
    """For writing; for reading only when another copy has it or the folder cannot be written."""
    try:
        return Project.open(folder)
    except (ProjectInUse, ReadOnlyFolder):
        return Project.open(folder, read_only=True)


def _make_sample(folder: Path) -> Path:
    from retrofit_desk.services.sample import make_sample

    with make_sample(folder) as project:
        return project.path


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
    return code


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
