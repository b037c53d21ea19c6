"""The section "Before work begins" of a measure, as the owner reads it."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.measures import MeasuresPage
from retrofit_desk.desk.widgets.lines import StackedList
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.values.place import PageKey, Place


def told(desk: Desk, qtbot: QtBot, key: str) -> list[str]:
    page = MeasuresPage(desk)
    qtbot.addWidget(page)
    page.refresh()
    row = next(row for row in desk.service(MeasureService).rows() if row.key == key)
    page.show_item(Place(PageKey.MEASURES, "measure", row.id))
    return [
        line.accessibleName()
        for stack in page.sheet.findChildren(StackedList)
        if stack.accessibleName() == "Before work begins"
        for line in stack.rows
    ]


def test_finds_come_first_with_their_caution_then_what_to_look_for(sample_desk: Desk, qtbot: QtBot) -> None:
    lines = told(sample_desk, qtbot, "casements")
    assert lines[0].startswith("Lead paint: window sills, six of nine")
    assert "Work stops there" in lines[0]
    assert "Lead dust harms children" in lines[0]
    assert "lead-safe certified firm" in lines[1]
    assert any(line.startswith("Asbestos") and "nothing on record" in line for line in lines[2:])


def test_work_in_place_has_no_such_section(sample_desk: Desk, qtbot: QtBot) -> None:
    assert told(sample_desk, qtbot, "induction") == []
