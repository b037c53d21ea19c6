"""One request on the page: strips, side by side, line by line, and the firm that is chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QInputDialog,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.quotes_words import (
    SideRow,
    answered,
    fact_rows,
    scope_rows,
    strip_of,
    told,
)
from retrofit_desk.desk.pictures.canvas import Canvas, ChoosablePicture
from retrofit_desk.desk.pictures.quote_strip import QuoteStrip, draw_quote_strips, height_in_lines
from retrofit_desk.desk.widgets.button_row import ButtonRow, Press
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.sheet_pane import SheetPane
from retrofit_desk.desk.widgets.text import SectionHeading
from retrofit_desk.services.quote_values import QuestionRow, QuoteSheet, RequestSheet
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Dimension, show, show_about

if TYPE_CHECKING:
    from retrofit_desk.desk.pages.quotes import QuotesPage


class RequestPane(SheetPane):
    """Everything about the chosen request, stacked."""

    def __init__(self, desk: Desk, page: QuotesPage) -> None:
        super().__init__()
        self._desk, self._page = desk, page
        self._quotes = desk.service(QuoteService)
        self.sheet: RequestSheet | None = None
        self._quote_id: int | None = None
        column = self.column
        self._buttons = ButtonRow(
            (
                ("Enter a quote …", page.enter_quote),
                ("Ask firms …", page.ask_firms),
                ("Copy the request", page.copy_request),
                ("Request sheet", page.make_sheet),
                ("Change …", page.change_request),
            )
        )
        column.addWidget(self._buttons)
        self.strips = ChoosablePicture(lambda: desk.theme, "Quotes as strips")
        self.strips.chosen.connect(self.choose_quote)
        column.addWidget(self.strips)
        self._facts_heading, self._scope_heading = (
            SectionHeading("Side by side"),
            SectionHeading("Line by line"),
        )
        self.facts: RecordTable[SideRow] = RecordTable(desk, "Quotes side by side", ())
        self.scope: RecordTable[SideRow] = RecordTable(desk, "Scope line by line", ())
        for widget in (self._facts_heading, self.facts, self._scope_heading, self.scope):
            column.addWidget(widget)
        self._firm_heading = SectionHeading("")
        self._firm_buttons = ButtonRow()
        self.points = StackedList(desk, "Before you sign", "Nothing stands open.")
        self._asked_heading = SectionHeading("Questions to the firm")
        self.questions = StackedList(
            desk, "Questions to the firm", "Nothing was asked, nothing is to be asked."
        )
        column.addWidget(self._firm_heading)
        column.addWidget(self._firm_buttons)
        column.addWidget(self.points)
        column.addWidget(self._asked_heading)
        column.addWidget(self.questions)
        column.addStretch(1)

    @property
    def quote(self) -> QuoteSheet | None:
        """The quote that is chosen."""
        quotes = answered(self.sheet) if self.sheet else ()
        chosen = [one for one in quotes if one.id == self._quote_id]
        signed = [one for one in quotes if one.contract_id is not None]
        return next(iter([*chosen, *signed, *quotes]), None)

    def show_sheet(self, sheet: RequestSheet | None) -> None:
        self.sheet = sheet
        quotes = answered(sheet) if sheet else ()
        self._buttons.setVisible(sheet is not None)
        for widget in (self.strips, self._facts_heading, self.facts, self._scope_heading, self.scope):
            widget.setVisible(bool(quotes))
        if sheet is None:
            hint = "“Ask for quotes” writes down what is to be done, the same for every firm."
            self.call("Nothing was asked yet", hint)
        else:
            self.call(sheet.row.title, self._about_words(sheet))
            self._show_quotes(sheet)
        self._show_firm()

    def choose_quote(self, quote_id: int) -> None:
        self._quote_id = quote_id
        self._show_firm()

    def _about_words(self, sheet: RequestSheet) -> str:
        waiting = [quote.firm for quote in sheet.quotes if not quote.is_answered]
        parts = [f"For {sheet.row.measure_title}. Asked {day_text(sheet.row.asked_on)}"]
        if sheet.row.answer_by:
            parts.append(f"answer by {day_text(sheet.row.answer_by)}")
        lines = [", ".join(parts) + "."]
        if waiting:
            lines.append(f"Not answered yet: {', '.join(waiting)}.")
        if sheet.load is not None:
            units = self._desk.units
            load = show_about(sheet.load.heating_w, Dimension.POWER, units)
            at = show(sheet.load.at_heating_c, Dimension.TEMPERATURE, units)
            method = f" ({sheet.load.method})" if sheet.load.method else ""
            made = day_text(sheet.load.made_on)
            lines.append(f"Heating load {load} at {at}, {sheet.load.name}, worked out {made}{method}.")
        if sheet.notes:
            lines.append(sheet.notes)
        return "\n".join(lines)

    def _show_quotes(self, sheet: RequestSheet) -> None:
        quotes = answered(sheet)
        strips = [strip_of(quote) for quote in quotes]
        self.strips.set_drawing(
            lambda canvas: self._draw(canvas, strips), lines=height_in_lines(strips), told=told(sheet)
        )
        firms = [
            Column[SideRow](quote.firm, lambda row, at=at: row.texts[at])  # type: ignore[misc]
            for at, quote in enumerate(quotes)
        ]
        names = Column[SideRow]("", lambda row: row.name, is_strong=True)
        guess = Column[SideRow]("Your guess", lambda row: row.guess)
        self.facts.set_rows(fact_rows(sheet, self._desk.units), (names, *firms))
        self.scope.set_rows(scope_rows(sheet), (names, *firms, guess))
        self.facts.show_all_rows()
        self.scope.show_all_rows()

    def _draw(self, canvas: Canvas, strips: list[QuoteStrip]) -> None:
        chosen = self.quote
        draw_quote_strips(canvas, strips, chosen.id if chosen else None)

    def _show_firm(self) -> None:
        self.strips.update()
        quote = self.quote
        for part in (
            self._firm_heading,
            self._firm_buttons,
            self.points,
            self._asked_heading,
            self.questions,
        ):
            part.setVisible(quote is not None)
        if quote is None:
            return
        self._firm_heading.set_title(quote.firm)
        number = f"quote {quote.number}, " if quote.number else ""
        signed = "what held on the day of signing" if quote.contract_id else "before you sign"
        self._firm_heading.set_remark(f"{number}{quote.state} · {signed}")
        self._firm_buttons.set_buttons(self._buttons_for(quote))
        holds = [StackedLine(text, needs_owner=True) for text in quote.sign_holds]
        points = sorted(quote.points, key=lambda point: not point.needs_owner)
        self.points.set_lines(
            [
                *holds,
                *(
                    StackedLine(one.text, aside=str(one.matter), needs_owner=one.needs_owner)
                    for one in points
                ),
            ]
        )
        asked = [self._question(one) for one in quote.questions]
        self.questions.set_lines([*asked, *(self._suggestion(quote, text) for text in quote.suggested)])

    def _buttons_for(self, quote: QuoteSheet) -> list[Press]:
        """What can be done about this quote."""
        buttons: list[Press] = []
        if quote.may_be_accepted:
            buttons.append(("Accept and sign …", lambda: self._page.accept_quote(quote)))
        if quote.contract_id is not None:
            contract = Place(PageKey.MONEY, "contract", quote.contract_id)
            buttons.append(("To the contract", lambda: self._desk.go_to(contract)))
        elif quote.is_undecided:
            buttons.append(("Decline", lambda: self._decline(quote)))
        buttons.append(("Correct …", lambda: self._page.correct_quote(quote)))
        if quote.paper_id is not None:
            paper = Place(PageKey.PAPERS, "paper", quote.paper_id)
            buttons.append(("The paper", lambda: self._desk.go_to(paper)))
        firm = Place(PageKey.QUOTES, "firm", quote.firm_id)
        buttons.append(("The firm", lambda: self._page.show_item(firm)))
        if quote.suggested or any(not one.answer for one in quote.questions):
            buttons.append(("Copy the open questions", lambda: self._copy_questions(quote)))
        return buttons

    def _question(self, row: QuestionRow) -> StackedLine:
        if row.answer:
            return StackedLine(row.text, row.answer, f"answered {day_text(row.answered_on)}")
        button = LineButton("Answer …", lambda: self._answer(row))
        return StackedLine(row.text, "no answer yet", f"asked {day_text(row.asked_on)}", buttons=(button,))

    def _suggestion(self, quote: QuoteSheet, text: str) -> StackedLine:
        button = LineButton("Ask", lambda: self._ask(quote, text))
        return StackedLine(text, "not asked yet", buttons=(button,))

    def _ask(self, quote: QuoteSheet, text: str) -> None:
        with self._desk.notices.caught():
            self._quotes.note_question(quote.id, text)

    def _answer(self, row: QuestionRow) -> None:
        answer, given = QInputDialog.getMultiLineText(self, "Note the answer", row.text)
        if given and answer.strip():
            with self._desk.notices.caught():
                self._quotes.answer_question(row.id, answer)

    def _decline(self, quote: QuoteSheet) -> None:
        with self._desk.notices.caught():
            self._quotes.decline(quote.id)
            self._desk.notices.tell(f"The quote of {quote.firm} was declined. Undo takes it back.")

    def _copy_questions(self, quote: QuoteSheet) -> None:
        open_ones = [one.text for one in quote.questions if not one.answer]
        lines = [f"- {text}" for text in (*open_ones, *quote.suggested)]
        title = self.sheet.row.title if self.sheet else ""
        number = f" {quote.number}" if quote.number else ""
        QGuiApplication.clipboard().setText("\n".join([f"About your quote{number}, {title}:", *lines]))
        self._desk.notices.tell(f"{len(lines)} questions were copied.")
