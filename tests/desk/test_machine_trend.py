"""A machine's log, read in and looked at on the House page."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QInputDialog, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.machine_trend import TrendDialog
from retrofit_desk.desk.pages.house_equipment import EquipmentPane
from retrofit_desk.desk.pages.papers import PapersPage
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.services.machine_trend import MachineTrendService
from tests.services.test_machine_trend import a_log, machine


def test_a_log_of_the_pump_is_read_in_shown_and_marked_where_it_starts_too_often(
    sample_desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    # NEED-19: short cycling without a buffer, and a trend file that is kept
    pump = machine(sample_desk.project, "Ground-source heat pump")
    pane = EquipmentPane(sample_desk)
    qtbot.addWidget(pane)
    pane.refresh()
    pane.choose(pump)
    shown: list[TrendDialog] = []

    def look(dialog: TrendDialog) -> int:
        shown.append(dialog)
        return 1

    monkeypatch.setattr(TrendDialog, "exec", look)
    log = a_log(tmp_path, 4, 4)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_words, **_more: (str(log), ""))
    [one for one in pane.findChildren(QPushButton) if one.text() == "Read in its log …"][-1].click()
    (dialog,) = shown
    marked = [row for row in dialog.points.rows if row.findChildren(Notch)]
    assert ["It starts too often" in row.accessibleName() for row in marked] == [True]
    dialog.resize(900, 620)
    assert not dialog.grab().isNull()
    assert len(MachineTrendService(sample_desk.project).filed(pump)) == 1
    pane.refresh()
    pane.choose(pump)
    (line,) = [row for row in pane._about.rows if row.accessibleName().startswith("Log, ")]
    assert "Outside its limits: It starts too often" in line.accessibleName()
    sample_desk.project.undo()
    pane.refresh()
    pane.choose(pump)
    assert not [row for row in pane._about.rows if row.accessibleName().startswith("Log, ")]


def test_a_log_dropped_on_the_window_asks_for_its_machine_and_is_filed_with_it(
    sample_desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    trends, pump = MachineTrendService(sample_desk.project), machine(sample_desk.project, "Ground-source")
    page = PapersPage(sample_desk)
    qtbot.addWidget(page)
    page.refresh()
    asked: list[str] = []

    def choose(*words: object) -> tuple[str, bool]:
        names = [str(one) for one in words[3]]  # type: ignore[attr-defined]
        asked.extend(names)
        return next(one for one in names if "Ground-source heat pump" in one), True

    monkeypatch.setattr(QInputDialog, "getItem", choose)
    monkeypatch.setattr(TrendDialog, "exec", lambda _dialog: 1)
    sample_desk.papers_dropped.emit([str(a_log(tmp_path, 20, 10))])
    assert any("Heat-pump water heater" in one for one in asked)
    assert not any("Induction" in one or "sewer" in one for one in asked)
    (filed,) = trends.filed(pump)
    assert filed.sheet.readings == 360
    sample_desk.project.undo()
    assert trends.filed(pump) == ()
