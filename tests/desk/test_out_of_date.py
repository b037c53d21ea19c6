"""The line over a kept answer that the record has left behind."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.out_of_date import OutOfDate

CHANGES = tuple(f"fact {number} was changed" for number in range(1, 6))


def test_it_is_seen_only_while_something_changed_and_starts_the_work_anew(
    empty_desk: Desk, qtbot: QtBot
) -> None:
    started: list[bool] = []
    line = OutOfDate(empty_desk, "sum", "Work it out again", lambda: started.append(True))
    qtbot.addWidget(line)
    assert line.isHidden()
    line.tell(CHANGES[:1])
    assert not line.isHidden()
    told = line.rows[0].accessibleName()
    assert told.startswith("This sum is out of date.")
    assert told.endswith("Since then: fact 1 was changed")
    (again,) = line.rows[0].findChildren(QPushButton)
    again.click()
    assert started == [True]
    line.tell(())
    assert line.isHidden()


def test_while_the_answer_is_worked_out_it_cannot_be_begun_once_more(empty_desk: Desk, qtbot: QtBot) -> None:
    line = OutOfDate(empty_desk, "sum", "Work it out again", lambda: None)
    qtbot.addWidget(line)
    line.tell(CHANGES[:1])
    line.set_free(False)
    assert line.rows[0].findChildren(QPushButton) == []
    line.set_free(True)
    assert [one.text() for one in line.rows[0].findChildren(QPushButton)] == ["Work it out again"]


def tell_all(line: OutOfDate) -> None:
    buttons = line.rows[0].findChildren(QPushButton)
    next(one for one in buttons if one.text() == "Tell all that changed").click()


def test_of_many_changes_the_first_are_told_and_the_rest_when_asked(empty_desk: Desk, qtbot: QtBot) -> None:
    line = OutOfDate(empty_desk, "sum", "Work it out again", lambda: None)
    qtbot.addWidget(line)
    line.tell(CHANGES)
    assert "fact 3" in line.rows[0].accessibleName()
    assert "fact 4" not in line.rows[0].accessibleName()
    tell_all(line)
    assert "fact 5" in line.rows[0].accessibleName()


def test_where_there_is_little_room_the_facts_are_told_when_asked(empty_desk: Desk, qtbot: QtBot) -> None:
    line = OutOfDate(empty_desk, "sum", "Work it out again", lambda: None)
    qtbot.addWidget(line)
    line.tell(["the equipment was changed (Pump: from 90 W to 100 W)"])
    line.resize(400, 200)
    line.show()
    assert line.rows[0].accessibleName().endswith("Since then: the equipment was changed")
    tell_all(line)
    assert "from 90 W to 100 W" in line.rows[0].accessibleName()
