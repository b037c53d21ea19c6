"""Fields, tables, lines and forms."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QPushButton
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.fields import DateField, MoneyField, QuantityField
from retrofit_desk.desk.widgets.lines import (
    LineButton,
    RunsOut,
    RunsOutBar,
    StackedLine,
    StackedList,
    hold_line,
)
from retrofit_desk.desk.widgets.notch import Notch
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.stated_field import StatedField
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Dimension, Units
from retrofit_desk.values.stated import Stated, StatedValue

PERMIT = Place(PageKey.PERMITS, "permit", 3)


@dataclass(frozen=True)
class Circuit:
    number: int
    serves: str
    load_w: float | None


CIRCUITS = (Circuit(1, "Range", 8000.0), Circuit(10, "Dryer", 5000.0), Circuit(2, "Den outlets", None))
COLUMNS = (
    Column[Circuit]("Circuit", lambda row: str(row.number), lambda row: row.number, is_number=True),
    Column[Circuit]("Serves", lambda row: row.serves),
    Column[Circuit](
        "Load, W",
        lambda row: "unknown" if row.load_w is None else f"{row.load_w:,.0f}",
        lambda row: row.load_w,
        is_number=True,
    ),
)


def heard(desk: Desk) -> list[str]:
    lines: list[str] = []
    desk.notices.told.connect(lambda line, _needs_owner: lines.append(line))
    return lines


class TestFields:
    def test_a_typed_quantity_becomes_si_and_is_shown_in_the_owners_units(
        self, qtbot: QtBot, empty_desk: Desk
    ) -> None:
        field = QuantityField(empty_desk, "Cavity depth", Dimension.THICKNESS)
        qtbot.addWidget(field)
        qtbot.keyClicks(field, "90 mm")
        qtbot.keyClick(field, Qt.Key.Key_Return)
        assert field.value() == pytest.approx(0.09)
        assert field.text() == "3.54 in"

    def test_changing_units_shows_other_words_and_keeps_the_exact_value(
        self, qtbot: QtBot, empty_desk: Desk
    ) -> None:
        field = QuantityField(empty_desk, "Cavity depth", Dimension.THICKNESS)
        qtbot.addWidget(field)
        field.set_value(0.0891)
        empty_desk.set_units(Units.SI)
        assert field.text() == "89 mm"
        field.settle()
        assert field.value() == 0.0891

    def test_what_cannot_be_read_is_told_in_one_line_and_the_old_value_stays(
        self, qtbot: QtBot, empty_desk: Desk
    ) -> None:
        field, lines = QuantityField(empty_desk, "Cavity depth", Dimension.THICKNESS), heard(empty_desk)
        qtbot.addWidget(field)
        field.set_value(0.0889)
        field.setText("3.5 inn")
        assert not field.settle()
        assert field.text() == "3.5 in"
        assert field.value() == 0.0889
        expected = (
            "Cavity depth: '3.5 inn': unit not known. The field kept '3.5 in'. Type e.g. 3.5 in or 90 mm."
        )
        assert lines == [expected]

    def test_a_number_out_of_reach_is_refused(self, qtbot: QtBot, empty_desk: Desk) -> None:
        field, lines = QuantityField(empty_desk, "Area", Dimension.AREA, low_si=0.0), heard(empty_desk)
        qtbot.addWidget(field)
        field.setText("-3 sq ft")
        assert not field.settle()
        assert field.value() is None
        assert lines == ["Area: '-3 sq ft' is below 0 ft². Check it."]

    def test_dates_and_sums_are_typed(self, qtbot: QtBot, empty_desk: Desk) -> None:
        day, sum_ = DateField(empty_desk, "Day", date(2026, 11, 20)), MoneyField(empty_desk, "Price")
        for field, typed in ((day, "dec 2"), (sum_, "1250.5")):
            qtbot.addWidget(field)
            field.setText(typed)
            assert field.settle()
        assert (day.value(), day.text()) == (date(2026, 12, 2), "Dec 2, 2026")
        assert (sum_.value(), sum_.text()) == (125050, "$1,250.50")

    def test_the_four_values_stay_apart(self, qtbot: QtBot, empty_desk: Desk) -> None:
        field = StatedField(MoneyField(empty_desk, "Price"))
        qtbot.addWidget(field)
        for stated in (
            StatedValue(0),
            StatedValue(None, Stated.UNKNOWN),
            StatedValue(None, Stated.NOT_STATED),
            StatedValue(None, Stated.EXCLUDED),
        ):
            field.set_stated(stated)
            assert field.stated() == stated

    def test_typing_a_value_makes_it_known_and_emptying_it_unknown(
        self, qtbot: QtBot, empty_desk: Desk
    ) -> None:
        field = StatedField(MoneyField(empty_desk, "Price"))
        qtbot.addWidget(field)
        field.set_stated(StatedValue(None, Stated.NOT_STATED))
        field.field.setText("0")
        field.settle()
        assert field.stated() == StatedValue(0)
        field.field.setText("")
        field.settle()
        assert field.stated() == StatedValue(None, Stated.UNKNOWN)


class TestTable:
    @pytest.fixture
    def table(self, qtbot: QtBot, empty_desk: Desk) -> RecordTable[Circuit]:
        made = RecordTable(empty_desk, "Circuits", COLUMNS)
        qtbot.addWidget(made)
        made.set_rows(CIRCUITS)
        made.show()
        return made

    def test_numbers_sort_as_numbers_and_unknown_last_both_ways(self, table: RecordTable[Circuit]) -> None:
        table.view.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        assert [row.number for row in table.shown_rows()] == [1, 2, 10]
        table.view.sortByColumn(2, Qt.SortOrder.AscendingOrder)
        assert [row.load_w for row in table.shown_rows()] == [5000.0, 8000.0, None]
        table.view.sortByColumn(2, Qt.SortOrder.DescendingOrder)
        assert [row.load_w for row in table.shown_rows()] == [8000.0, 5000.0, None]

    def test_words_give_way_to_the_last_column_but_numbers_and_too_narrow_a_table_keep_their_width(
        self, table: RecordTable[Circuit], qtbot: QtBot
    ) -> None:
        served = "The outlets of the den, the stairs and the landing"
        table.set_rows((*CIRCUITS, Circuit(12, served, 900.0)))

        def widths(across: int) -> list[int]:
            table.resize(across, 300)
            qtbot.wait(20)
            return [table.view.columnWidth(i) for i in range(3)]

        number, serves, load = whole = widths(50)
        assert sum(whole) > table.view.viewport().width()
        assert widths(number + serves // 2 + load) == [
            number,
            table.view.viewport().width() - number - load,
            load,
        ]

    def test_a_date_is_never_cut_and_the_name_gives_way_after_other_words(
        self, empty_desk: Desk, qtbot: QtBot
    ) -> None:
        columns = (
            Column[tuple[str, ...]]("Date", lambda row: row[0]),
            Column[tuple[str, ...]]("Title", lambda row: row[1], is_strong=True),
            Column[tuple[str, ...]]("Room", lambda row: row[2]),
        )
        table = RecordTable(empty_desk, "Papers", columns)
        qtbot.addWidget(table)
        table.set_rows([("Nov 18, 2026", "East side, boards on, tape missing", "Northeast bedroom, closet")])
        table.show()

        def widths(across: int) -> list[int]:
            table.resize(across, 300)
            qtbot.wait(20)
            return [table.view.columnWidth(i) for i in range(3)]

        date, name, room = widths(900)
        room = table.view.sizeHintForColumn(2)
        assert widths(date + name + room * 3 // 4)[:2] == [date, name]
        narrow = widths(date + name * 3 // 4 + room // 2)
        assert narrow[0] == date
        assert narrow[1] < name

    def test_every_word_typed_into_the_filter_must_stand_in_the_row(
        self, table: RecordTable[Circuit]
    ) -> None:
        table._filter.setText("DEN out")
        assert [row.serves for row in table.shown_rows()] == ["Den outlets"]

    def test_the_selection_stays_on_its_row_when_rows_are_read_again(
        self, table: RecordTable[Circuit]
    ) -> None:
        table.select(CIRCUITS[1])
        table.set_rows(tuple(reversed(CIRCUITS)))
        assert table.selected() == CIRCUITS[1]

    def test_selecting_a_row_that_the_filter_hides_takes_the_filter_off(
        self, table: RecordTable[Circuit]
    ) -> None:
        table._filter.setText("range")
        table.select(CIRCUITS[1])
        assert table.selected() == CIRCUITS[1]

    def test_enter_opens_the_row(self, table: RecordTable[Circuit], qtbot: QtBot) -> None:
        table.select(CIRCUITS[0])
        with qtbot.waitSignal(table.opened) as opened:
            qtbot.keyClick(table.view, Qt.Key.Key_Return)
        assert opened.args == [CIRCUITS[0]]

    def test_copy_makes_a_table_with_headings(self, table: RecordTable[Circuit], qtbot: QtBot) -> None:
        table.view.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        qtbot.keyClick(table.view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
        copied = QApplication.clipboard().text().splitlines()
        assert copied[0] == "Circuit\tServes\tLoad, W"
        assert copied[1] == "1\tRange\t8,000"
        assert "<td>Den outlets</td><td>unknown</td>" in QApplication.clipboard().mimeData().html()

    def test_export_keeps_numbers_as_numbers_and_words_as_words(
        self, table: RecordTable[Circuit], tmp_path: Path
    ) -> None:
        table.view.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        sheet = openpyxl.load_workbook(table.export_to(tmp_path / "circuits.xlsx")).active
        assert sheet is not None
        cells = [[cell.value for cell in row] for row in sheet.iter_rows()]
        assert cells[1:3] == [[1, "Range", 8000], [2, "Den outlets", "unknown"]]
        with table.export_to(tmp_path / "circuits.csv").open(encoding="utf-8", newline="") as file:
            assert next(csv.reader(file)) == ["Circuit", "Serves", "Load, W"]


class TestLines:
    def test_a_hold_line_always_carries_the_notch(self, qtbot: QtBot, empty_desk: Desk) -> None:
        stack = StackedList(empty_desk, "Not yet", "Nothing waits.")
        qtbot.addWidget(stack)
        stack.set_lines([hold_line("Not yet: don't cover the wall", "Frees it: photo set", PERMIT)])
        assert len(stack.findChildren(Notch)) == 1
        assert stack.rows[0].accessibleName() == "Not yet: don't cover the wall. Frees it: photo set"

    def test_enter_on_a_line_goes_to_its_place(self, qtbot: QtBot, empty_desk: Desk) -> None:
        stack = StackedList(empty_desk, "Ready to do", "Nothing is ready.")
        qtbot.addWidget(stack)
        stack.set_lines([StackedLine("Book the visit", place=PERMIT)])
        with qtbot.waitSignal(empty_desk.went_to) as went:
            qtbot.keyClick(stack.rows[0], Qt.Key.Key_Return)
        assert went.args == [PERMIT]

    def test_a_button_on_a_line_does_its_own_thing(self, qtbot: QtBot, empty_desk: Desk) -> None:
        asked: list[str] = []
        stack = StackedList(empty_desk, "Ready to do", "Nothing is ready.")
        qtbot.addWidget(stack)
        stack.set_lines(
            [StackedLine("Ask again", buttons=(LineButton("Copy message", lambda: asked.append("copied")),))]
        )
        button = stack.rows[0].findChild(QPushButton)
        assert isinstance(button, QPushButton)
        button.click()
        assert asked == ["copied"]

    def test_what_ran_out_says_since_when(self, qtbot: QtBot, empty_desk: Desk) -> None:
        bar = RunsOutBar(
            empty_desk, RunsOut("Permit B-114", "Nov 8, 2026", -12, 180, PERMIT, needs_owner=True)
        )
        qtbot.addWidget(bar)
        assert bar.accessibleName() == "Permit B-114, Nov 8, 2026, ran out 12 days ago"
        assert not bar.grab().isNull()


class Entry(FormDialog):
    """A form of three fields; records into a list."""

    def __init__(self, desk: Desk, recorded: list[str], trouble: DeskError | None = None) -> None:
        super().__init__(desk, None, "write-up of measure 4", "Write up the work")
        self._recorded, self._trouble_to_raise = recorded, trouble
        self.who, self.flow = QLineEdit(), QuantityField(desk, "Flow", Dimension.WATER_FLOW)
        self.price, self.notes = StatedField(MoneyField(desk, "Price")), QPlainTextEdit()
        self.add("Who", "who", self.who)
        self.add("Flow", "flow", self.flow)
        self.add("Price", "price", self.price)
        self.add("Notes", "notes", self.notes)
        self.begin()

    def record(self) -> None:
        if self._trouble_to_raise is not None:
            raise self._trouble_to_raise
        self._recorded.append(self.who.text())


class TestForm:
    def test_a_half_finished_entry_comes_back(self, qtbot: QtBot, empty_desk: Desk) -> None:
        recorded: list[str] = []
        first = Entry(empty_desk, recorded)
        qtbot.addWidget(first)
        first.who.setText("Ann")
        first.flow.setText("3 gpm")
        first.price.set_stated(StatedValue(None, Stated.EXCLUDED))
        first.notes.setPlainText("two lines\nof notes")
        first.reject()
        again = Entry(empty_desk, recorded)
        qtbot.addWidget(again)
        assert again.who.text() == "Ann"
        assert again.flow.value() == pytest.approx(3 * 6.30902e-5, rel=1e-5)
        assert again.price.stated() == StatedValue(None, Stated.EXCLUDED)
        assert again.notes.toPlainText() == "two lines\nof notes"
        assert recorded == []

    def test_a_recorded_entry_does_not_come_back(self, qtbot: QtBot, empty_desk: Desk) -> None:
        recorded: list[str] = []
        first = Entry(empty_desk, recorded)
        qtbot.addWidget(first)
        first.who.setText("Ann")
        first.keep_draft()
        first.accept()
        again = Entry(empty_desk, recorded)
        qtbot.addWidget(again)
        assert recorded == ["Ann"]
        assert again.who.text() == ""

    def test_trouble_keeps_the_form_open_with_everything_typed(self, qtbot: QtBot, empty_desk: Desk) -> None:
        trouble = DeskError(
            "the measure was dropped meanwhile", kept="the entry is kept", do="choose another"
        )
        form = Entry(empty_desk, [], trouble)
        qtbot.addWidget(form)
        form.show()
        form.who.setText("Ann")
        form.accept()
        assert form.isVisible()
        assert form._trouble.text() == trouble.line()
        assert form.who.text() == "Ann"

    def test_a_field_that_cannot_be_read_stops_the_recording_once(
        self, qtbot: QtBot, empty_desk: Desk
    ) -> None:
        recorded: list[str] = []
        form = Entry(empty_desk, recorded)
        qtbot.addWidget(form)
        form.show()
        form.flow.setText("3 gpn")
        form.accept()
        assert recorded == []
        assert "unit not known" in form._trouble.text()
        form.accept()
        assert recorded == [""]

    def test_begin_afresh_empties_the_form_for_good(self, qtbot: QtBot, empty_desk: Desk) -> None:
        form = Entry(empty_desk, [])
        qtbot.addWidget(form)
        form.who.setText("Ann")
        form.keep_draft()
        form.begin_afresh()
        form.reject()
        again = Entry(empty_desk, [])
        qtbot.addWidget(again)
        assert again.who.text() == ""

    def test_keeping_a_half_finished_entry_leaves_no_history(self, qtbot: QtBot, empty_desk: Desk) -> None:
        form = Entry(empty_desk, [])
        qtbot.addWidget(form)
        form.who.setText("Ann")
        form.reject()
        assert empty_desk.project.history() == []
