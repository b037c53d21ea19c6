"""Pictures of every page on chosen days of a project, as the window shows a day of the past."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import PAGES
from retrofit_desk.desk.settings import Settings
from retrofit_desk.desk.theme import LIGHT, dress, load_fonts
from retrofit_desk.desk.window import Window
from retrofit_desk.records.project import Project
from tests.journeys.two_year_story.clock import end_of

SETTLE_MS = 400
LONGEST_MS = 60_000


def draw_pages(project: Project, days: Iterable[date], folder: Path) -> list[Path]:
    """One PNG for each page and day, 1280 by 720; returns their paths."""
    app = QApplication.instance() or QApplication(["story"])
    assert isinstance(app, QApplication)
    load_fonts()
    dress(app, LIGHT)
    drawn = []
    for day in days:
        desk = Desk(project.as_of(end_of(day)))
        window = Window(desk, Settings(folder / "window.ini"), lambda _how: None)
        window.resize(1280, 720)
        window.show()
        for entry in PAGES:
            window.show_page(entry.key)
            _settle(desk)
            path = folder / f"{day} {entry.key}.png"
            window.grab().save(str(path))
            drawn.append(path)
        desk.leave()
        window.close()
        window.deleteLater()
    return drawn


def _settle(desk: Desk) -> None:
    """Until nothing runs any more, and what the last answer put on the page is laid out."""
    waited = 0
    while waited == 0 or (desk.jobs.running and waited < LONGEST_MS):
        _wait()
        waited += SETTLE_MS
    _wait()


def _wait() -> None:
    loop = QEventLoop()
    QTimer.singleShot(SETTLE_MS, loop.quit)
    loop.exec()
