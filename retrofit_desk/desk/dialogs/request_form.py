"""A request: what is asked for, the same for every firm."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QPushButton, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.fields import DateField
from retrofit_desk.desk.widgets.rows_field import RowsField
from retrofit_desk.services.quote_values import (
    UNKNOWN_CENTS,
    QuoteUnclear,
    RequestSheet,
    ScopeRow,
    WrittenRequest,
    WrittenScope,
)
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.values.cents import cents_text, parse_cents
from retrofit_desk.values.stated import StatedValue

KEPT = "the form keeps what is typed"


class RequestDialog(FormDialog):
    """New (`sheet` none) or changed; `request_id` tells which one after *Record*."""

    def __init__(self, desk: Desk, parent: QWidget | None, sheet: RequestSheet | None = None) -> None:
        form = f"request:{sheet.row.id}" if sheet else "request:new"
        title = f"Change the request: {sheet.row.title}" if sheet else "Ask for quotes"
        super().__init__(desk, parent, form, title)
        self._quotes = desk.service(QuoteService)
        self._sheet = sheet
        self.request_id: int | None = sheet.row.id if sheet else None
        choices = self._quotes.choices()
        self.measure = choice_box(choices.measures, "no measure chosen")
        self.title = QLineEdit()
        self.asked_on = DateField(desk, "Asked on", choices.today)
        self.answer_by = DateField(desk, "Answer by", choices.today)
        self.load = choice_box(choices.loads, "no load named")
        self._work_out = QPushButton("Work out the load of the house as described")
        self._work_out.setAutoDefault(False)
        self._work_out.clicked.connect(self._keep_load)
        self.scope = RowsField(
            "Scope", ("Asked for", "Your guess", "Where the guess comes from"), widths=(6, 2, 3)
        )
        self._usual = QPushButton("Put in the lines that this work usually takes")
        self._usual.setAutoDefault(False)
        self._usual.clicked.connect(self._put_usual)
        self.notes = QPlainTextEdit()
        self.notes.setTabChangesFocus(True)
        self.notes.setFixedHeight(self.fontMetrics().lineSpacing() * 3)
        if sheet is not None:
            self._put(sheet)
        for words, name, widget in (
            ("Measure", "measure", self.measure),
            ("Title", "title", self.title),
            ("Asked on", "asked_on", self.asked_on),
            ("Answer by", "answer_by", self.answer_by),
            ("Load the firms are given", "load", self.load),
            ("Scope, line by line", "scope", self.scope),
            ("Notes", "notes", self.notes),
        ):
            self.add(words, name, widget)
            if widget is self.load:
                self.form.addRow("", self._work_out)
            if widget is self.scope:
                self.form.addRow("", self._usual)
        self.resize(self.fontMetrics().averageCharWidth() * 105, self.fontMetrics().lineSpacing() * 32)
        self.body.addStretch(1)
        self.begin()

    def record(self) -> None:
        written = WrittenRequest(
            measure_id=self._measure_id(),
            title=self.title.text(),
            asked_on=self.asked_on.value(),
            answer_by=self.answer_by.value(),
            design_load_id=self.load.currentData(),
            scope=self._scope(),
            notes=self.notes.toPlainText().strip(),
        )
        self.request_id = self._quotes.record_request(written, self.request_id)

    def _keep_load(self) -> None:
        """Work the load out now and choose it."""
        with self.desk.notices.caught():
            load_id = self._quotes.keep_load()
            name = next(words for row_id, words in self._quotes.choices().loads if row_id == load_id)
            self.load.addItem(name, load_id)
            self.load.setCurrentIndex(self.load.count() - 1)

    def _put_usual(self) -> None:
        """Below what is typed; a line that does not fit this house is emptied again."""
        with self.desk.notices.caught():
            typed = {row[0] for row in self.scope.rows()}
            for line in self._quotes.usual_lines(self._measure_id()):
                if line not in typed:
                    self.scope.add_row((line,))

    def _measure_id(self) -> int:
        measure_id: int | None = self.measure.currentData()
        if measure_id is None:
            raise QuoteUnclear("no measure is chosen", where="Measure", kept=KEPT, do="choose what it is for")
        return measure_id

    def _put(self, sheet: RequestSheet) -> None:
        self.measure.setCurrentIndex(self.measure.findData(sheet.row.measure_id))
        self.title.setText(sheet.row.title)
        self.asked_on.set_value(sheet.row.asked_on)
        self.answer_by.set_value(sheet.row.answer_by)
        self.load.setCurrentIndex(max(self.load.findData(sheet.load.id), 0) if sheet.load else 0)
        self.notes.setPlainText(sheet.notes)
        for item in sheet.scope:
            guess = item.guess_cents.value
            self.scope.add_row((item.text, "" if guess is None else cents_text(guess), item.guess_source))

    def _scope(self) -> tuple[WrittenScope, ...]:
        """A line with the same words keeps its answers; a new wording takes the next line's."""
        before = list(self._sheet.scope if self._sheet else ())
        typed = self.scope.rows()
        same = {row[0]: _take(before, row[0]) for row in typed}
        found: list[WrittenScope] = []
        for text, guess, source in typed:
            item = same[text] or (before.pop(0) if before else None)
            cents = parse_cents(guess, where=text, kept=KEPT) if guess else None
            known = UNKNOWN_CENTS if cents is None else StatedValue(cents)
            found.append(WrittenScope(text, known, source, item.id if item else None))
        return tuple(found)


def _take(rows: list[ScopeRow], text: str) -> ScopeRow | None:
    found = next((row for row in rows if row.text == text), None)
    if found is not None:
        rows.remove(found)
    return found
