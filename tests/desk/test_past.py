"""Looking at a day of the past in the window, and back with one key; history and backups by the keyboard."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.app import Starter
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.backups import BackupsDialog
from retrofit_desk.desk.dialogs.history import HistoryDialog
from retrofit_desk.desk.dialogs.past_day import PastDayDialog
from retrofit_desk.desk.settings import Settings
from retrofit_desk.desk.theme import LIGHT, dress, load_fonts
from retrofit_desk.desk.window import Window
from retrofit_desk.records.project import Project
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.values.place import PageKey
from retrofit_desk.values.stated import StatedValue
from tests.services.test_past import Days


@pytest.fixture
def days() -> Days:
    return Days()


@pytest.fixture
def window(qapp: QApplication, qtbot: QtBot, tmp_path: Path, settings: Settings, days: Days) -> Window:
    load_fonts()
    dress(qapp, LIGHT)
    desk = Desk(Project.create(tmp_path / "house", clock=days))
    measures = MeasureService(desk.project)
    kept = measures.add("air_sealing", "Seal the attic")
    days.wait(30)
    measures.cost_it(kept, StatedValue(98_000), "Own costing")
    measures.add("induction_range", "Induction range")
    made = Window(desk, settings, lambda _how: None)
    qtbot.addWidget(made, before_close_func=lambda _window: desk.leave())
    made.show_page(PageKey.MEASURES)
    made.show()
    return made


def words_of(window: Window) -> str:
    return "\n".join(one.text() for one in window.findChildren(QLabel) if one.isVisible())


def test_a_typed_day_shows_every_page_as_it_stood_and_esc_comes_back(qtbot: QtBot, window: Window) -> None:
    def answer() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, PastDayDialog)
        qtbot.keyClicks(dialog.day, "3/10/2026")
        qtbot.mouseClick(dialog.look, Qt.MouseButton.LeftButton)

    QTimer.singleShot(50, answer)
    next(one for one in window.actions() if one.objectName() == "past-day").trigger()
    past = window.past_window
    assert past is not None
    assert not window.isVisible()
    assert "As it stood on Mar 10, 2026. For reading only." in words_of(past)
    for key in PageKey:
        past.show_page(key)
        qtbot.waitUntil(lambda: not past.desk.jobs.running, timeout=20_000)
    past.show_page(PageKey.MEASURES)
    assert [row.title for row in MeasureService(past.desk.project).rows()] == ["Seal the attic"]
    keys = {one.objectName() for one in past.actions()}
    assert keys.isdisjoint({"past-day", "backup", "restore"})
    qtbot.keyClick(past, Qt.Key.Key_Escape)
    assert window.past_window is None
    assert window.isVisible()


def test_a_past_day_without_its_savings_sum_says_that_none_is_kept(qtbot: QtBot, window: Window) -> None:
    window.show_page(PageKey.WORTH)
    window.look_at_day(date(2026, 3, 5))
    past = window.past_window
    assert past is not None
    qtbot.addWidget(past)
    told = [one.text() for one in past.findChildren(QLabel) if one.isVisibleTo(past)]
    assert any(one.startswith("No savings sum worked out by this day is kept") for one in told)
    assert not any("It takes about a minute" in one for one in told)


def test_nothing_is_changed_from_the_past_and_the_line_says_so(qtbot: QtBot, window: Window) -> None:
    window.look_at_day(date(2026, 3, 10))
    past = window.past_window
    assert past is not None
    told: list[str] = []
    past.desk.notices.told.connect(lambda line, _owner: told.append(line))
    with past.desk.notices.caught():
        MeasureService(past.desk.project).add("air_sealing", "Too late")
    assert len(told) == 1
    assert "a day of the past is only looked at" in told[0]
    assert "Come back to today first" in told[0]
    past.close()
    assert window.isVisible()


def test_a_day_that_cannot_be_shown_is_told_in_one_line(qtbot: QtBot, window: Window) -> None:
    told: list[str] = []
    window.desk.notices.told.connect(lambda line, _owner: told.append(line))
    window.look_at_day(date(2020, 1, 1))
    assert window.past_window is None
    assert "nothing was recorded on jan 1, 2020 yet" in told[0].casefold()


def test_the_history_tells_what_changed_and_puts_one_row_back(qtbot: QtBot, window: Window) -> None:
    dialog = HistoryDialog(window.desk, window)
    qtbot.addWidget(dialog)
    dialog.show()
    costing = next(row for row in dialog.table.model.rows if row.title == "Cost a measure")
    dialog.table.select(costing)
    shown = "\n".join(one.text() for one in dialog.changes.findChildren(QLabel))
    assert "Cost: nothing → $980.00" in shown
    QApplication.processEvents()
    back = [one for one in dialog.changes.findChildren(QPushButton) if one.isVisible()]
    qtbot.mouseClick(back[0], Qt.MouseButton.LeftButton)
    assert not MeasureService(window.desk.project).rows()[0].cost_cents.is_known


def test_the_history_leads_to_the_record_as_it_stood_then(qtbot: QtBot, window: Window) -> None:
    def answer() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, HistoryDialog)
        dialog.table.select(dialog.table.model.rows[-1])
        qtbot.mouseClick(dialog.look, Qt.MouseButton.LeftButton)

    QTimer.singleShot(50, answer)
    window.show_history_of(None)
    assert window.past_window is not None
    assert "after “Add Seal the attic”" in words_of(window.past_window)
    qtbot.keyClick(window.past_window, Qt.Key.Key_Escape)


def test_a_backup_is_put_back_from_the_window(
    qtbot: QtBot, tmp_path: Path, settings: Settings, qapp: QApplication
) -> None:
    with Project.create(tmp_path / "house") as project:
        MeasureService(project).add("air_sealing", "Seal the attic")
        project.backup_now()
        MeasureService(project).add("induction_range", "Induction range")
        folder = project.path
    starter = Starter(settings)
    starter.open_project(folder)
    qtbot.waitUntil(lambda: starter.window is not None, timeout=20_000)

    def answer() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, BackupsDialog)
        oldest = min(dialog.table.model.rows, key=lambda one: one.made_at)
        dialog.table.select(oldest)
        qtbot.mouseClick(dialog.put_back, Qt.MouseButton.LeftButton)

    first = starter.window
    assert first is not None
    qtbot.waitUntil(lambda: not first.desk.jobs.running, timeout=20_000)
    QTimer.singleShot(50, answer)
    next(one for one in first.actions() if one.objectName() == "restore").trigger()
    second = starter.window
    assert second is not None
    assert second is not first
    assert [row.title for row in MeasureService(second.desk.project).rows()] == ["Seal the attic"]
    qtbot.waitUntil(lambda: not second.desk.jobs.running, timeout=20_000)
    starter.leave()
    second.close()
    second.deleteLater()
