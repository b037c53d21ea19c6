"""One measure on the page: its rule, what lets it move on, what waits, what was done, papers, past."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.measure_forms import CostDialog, PlanStepsDialog
from retrofit_desk.desk.dialogs.over_the_years import OverTheYearsDialog
from retrofit_desk.desk.pages.measures_hazards import hazard_lines
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.notched_rule import draw_notched_rule, rule_state
from retrofit_desk.desk.widgets.button_row import ButtonRow
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.register import BEFORE_END, cost_words
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.rules.states import RULES, MeasureState
from retrofit_desk.services.hazards import HazardService
from retrofit_desk.services.holds import HoldView
from retrofit_desk.services.measure_inputs import MeasureInputsService
from retrofit_desk.services.measures import EntrySheet, MeasureSheet, TestLine
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import Found
from retrofit_desk.values.quantity import Dimension, show

if TYPE_CHECKING:
    from retrofit_desk.desk.pages.measures import MeasuresPage


class MeasureSheetPane(QScrollArea):
    """Everything about the chosen measure, stacked."""

    def __init__(self, desk: Desk, page: MeasuresPage) -> None:
        super().__init__()
        self._desk, self._page = desk, page
        self.sheet: MeasureSheet | None = None
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def show_sheet(self, sheet: MeasureSheet | None) -> None:
        self.sheet = sheet
        inside = QWidget()
        inside.setProperty("role", "body")
        self._column = QVBoxLayout(inside)
        self._column.setSpacing(6)
        if sheet is None:
            self._column.addWidget(soft_label("No measure is recorded yet. Write the first idea down."))
        else:
            self._fill(sheet)
        self._column.addStretch(1)
        at = self.verticalScrollBar().value()
        self.setWidget(inside)
        self.verticalScrollBar().setValue(at)

    def _fill(self, sheet: MeasureSheet) -> None:
        title = QLabel(sheet.row.title)
        title.setProperty("role", "section")
        title.setTextFormat(Qt.TextFormat.PlainText)
        title.setWordWrap(True)
        self._column.addWidget(title)
        if sheet.why:
            self._column.addWidget(soft_label(sheet.why))
        self._column.addWidget(self._rule(sheet))
        self._column.addWidget(soft_label(_rule_sentence(sheet)))
        self._column.addLayout(self._buttons(sheet))
        self._column.addWidget(soft_label(_numbers(sheet)))
        self._what_it_is(sheet)
        self._list(
            "What waits", "Nothing waits for this measure.", [self._hold(one) for one in _open_first(sheet)]
        )
        self._column.addWidget(
            ButtonRow(
                (
                    ("Usual holds …", self._page.usual_holds),
                    ("Write a hold …", self._page.write_hold),
                )
            )
        )
        before = self._desk.service(HazardService).before_work(sheet.row.id)
        if before is not None:
            lines = hazard_lines(before, self._page.settle_find, self._page.record_find)
            self._list("Before work begins", "Nothing to look for by its age.", lines)
            self._column.addWidget(ButtonRow((("Record a find …", self._page.record_find),)))
        where = [StackedLine(one.title, place=one.place) for one in sheet.places]
        self._list("Where", "No room is named yet.", where)
        entries = [line for entry in sheet.entries for line in self._entry(entry)]
        self._list("What was done", "No work is written up yet.", entries)
        around = (*sheet.quotes, *sheet.contracts, *sheet.permits)
        self._list("Quotes, contracts and permits", "None yet.", _found_lines(around))
        self._list("Papers and photos", "No paper serves this measure yet.", _found_lines(sheet.papers))
        past = [
            StackedLine(str(one.after), one.reason, aside=day_text(one.on)) for one in reversed(sheet.history)
        ]
        self._list("Its past", "Nothing yet.", past)
        if sheet.notes:
            self._column.addWidget(soft_label(sheet.notes))

    def _what_it_is(self, sheet: MeasureSheet) -> None:
        """The way to its facts, and what the sum cannot do without."""
        facts = self._desk.service(MeasureInputsService).sheet(sheet.row.id)
        if facts is None:
            return
        if facts.cannot_say and not sheet.row.state.is_over:
            self._column.addWidget(soft_label(facts.cannot_say))
        self._column.addWidget(
            ButtonRow(
                (
                    ("What it is …", self._page.edit_facts),
                    ("Before you buy …", self._page.before_you_buy),
                    ("Over the years …", lambda: self._open(OverTheYearsDialog(self._desk, self, sheet.row))),
                )
            )
        )

    def _rule(self, sheet: MeasureSheet) -> Picture:
        picture = Picture(lambda: self._desk.theme, "How far it is")
        state = rule_state(sheet.row.state, BEFORE_END[sheet.row.notches - 1])
        picture.set_drawing(
            lambda canvas: draw_notched_rule(canvas, state, with_words=True), lines=2.6, told=state.told()
        )
        return picture

    def _buttons(self, sheet: MeasureSheet) -> QHBoxLayout:
        row = QHBoxLayout()
        if sheet.next_move is not None:
            accepts = sheet.next_move.after is MeasureState.SIGNED_OFF and not sheet.needs_permit
            words = "Accept the work" if accepts else f"Move on: {sheet.next_move.after}"
            move = QPushButton(words)
            move.setEnabled(sheet.next_move.is_allowed or accepts)
            move.clicked.connect(self._page.move_on)
            row.addWidget(move)
        if sheet.may_reopen:
            self._button(row, "Reopen …", lambda: self._page.move_back(MeasureState.UNDER_WAY, "Reopen"))
        elif not sheet.row.state.is_over:
            self._button(row, "Drop …", lambda: self._page.move_back(MeasureState.DROPPED, "Drop"))
        if sheet.row.state in (MeasureState.IDEA, MeasureState.PRICED):
            self._button(row, "Your own costing …", lambda: self._open(CostDialog(self._desk, self, sheet)))
        if not sheet.row.state.is_over and not sheet.may_reopen:
            self._button(
                row, "Plan the steps …", lambda: self._open(PlanStepsDialog(self._desk, self, sheet))
            )
        row.addStretch(1)
        of = ("measure", sheet.row.id, sheet.row.title)
        self._button(row, "History …", lambda: self._desk.history_asked.emit(of))
        return row

    @staticmethod
    def _open(dialog: QDialog) -> None:
        dialog.exec()

    @staticmethod
    def _button(row: QHBoxLayout, words: str, run: object) -> None:
        button = QPushButton(words)
        button.clicked.connect(lambda _checked=False: run())  # type: ignore[operator]
        row.addWidget(button)

    def _list(self, title: str, nothing: str, lines: list[StackedLine]) -> None:
        self._column.addWidget(SectionHeading(title))
        stack = StackedList(self._desk, title, nothing)
        stack.set_lines(lines)
        self._column.addWidget(stack)

    def _hold(self, hold: HoldView) -> StackedLine:
        if hold.is_done:
            again = LineButton("Open again …", lambda: self._page.open_again(hold))
            covers = hold.answer.hold.action is HoldAction.COVER
            return StackedLine(
                hold.sentence, hold.answer.hold.because, aside="done", buttons=(again,) if covers else ()
            )
        words = "Done" if hold.answer.is_free else "Go on for a reason …"
        button = LineButton(words, lambda: self._page.do_step(hold))
        blocks = not hold.answer.may_go_on
        return StackedLine(hold.sentence, hold.answer.hold.because, needs_owner=blocks, buttons=(button,))

    def _entry(self, entry: EntrySheet) -> list[StackedLine]:
        hours = entry.hours.value
        spent = "" if hours is None else f", {show(hours, Dimension.TIME, self._desk.units)}"
        who = f"{entry.who}{spent}"
        parts = [entry.notes]
        parts += [f"Inside: {text}." for text in entry.inside]
        parts += [f"Closed with it: {text}." for text in entry.covered]
        parts += [_item_words(item.product, item.make, item.model, item.serial) for item in entry.items]
        parts += [f"{name}: {value}." for name, value in entry.settings]
        if entry.change_from_plan:
            parts.append(f"Not as planned: {entry.change_from_plan}")
        if entry.still_open:
            parts.append(f"Still open: {entry.still_open}")
        place = f" in {', '.join(entry.rooms)}" if entry.rooms else ""
        lines = [
            StackedLine(f"{who}{place}", "\n".join(part for part in parts if part), day_text(entry.worked_on))
        ]
        lines += [_test_line(test) for test in entry.tests]
        return lines


def _open_first(sheet: MeasureSheet) -> list[HoldView]:
    return sorted(sheet.holds, key=lambda one: one.is_done)


def _rule_sentence(sheet: MeasureSheet) -> str:
    now = f"{str(sheet.row.state).capitalize()}: {RULES[sheet.row.state]}."
    if sheet.next_move is None:
        return f"{now} Taken over by {sheet.replaced_by}." if sheet.replaced_by else now
    return f"{now} {sheet.next_move.sentence}"


def _numbers(sheet: MeasureSheet) -> str:
    cost = cost_words(sheet.row.cost_cents)
    basis = "as signed or bought" if sheet.row.cost_is_contract else (sheet.cost_source or "own costing")
    parts = [f"Cost {cost}, {basis}" if sheet.row.cost_cents.is_known else f"Cost {cost}"]
    low, high = sheet.cost_range_cents
    if low is not None and high is not None and not sheet.row.cost_is_contract:
        parts.append(f"likely {whole_dollars_text(low)} to {whole_dollars_text(high)}")
    if sheet.cost_as_of is not None and not sheet.row.cost_is_contract:
        parts.append(f"as of {day_text(sheet.cost_as_of)}")
    if sheet.row.placed_in_service_on is not None:
        parts.append(f"in service since {day_text(sheet.row.placed_in_service_on)}")
    parts.append("needs a permit" if sheet.needs_permit else "no permit needed")
    if sheet.row.own_work:
        parts.append("own work")
    return " · ".join(parts)


def _item_words(product: str, make: str, model: str, serial: str) -> str:
    name = " ".join(part for part in (make, model) if part)
    parts = [product, name, f"serial {serial}" if serial else ""]
    return ", ".join(part for part in parts if part) + "."


def _test_line(test: TestLine) -> StackedLine:
    limits = test.limits + (f" ({test.limit_source})" if test.limit_source else "")
    aside = {True: "passed", False: "failed", None: "incomplete"}[test.passed]
    said = "" if test.passed else test.sentence
    why = "\n".join(part for part in (limits, test.how, said) if part)
    return StackedLine(f"Test: {test.quantity} {test.found}", why, aside, needs_owner=test.passed is not True)


def _found_lines(found: tuple[Found, ...]) -> list[StackedLine]:
    return [StackedLine(one.title, one.detail, place=one.place) for one in found]
