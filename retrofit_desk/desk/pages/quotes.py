"""Quotes: who offers what, really? People and firms are a part of it."""

from __future__ import annotations

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QPushButton, QTabWidget

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages.quotes_people import PeoplePane
from retrofit_desk.desk.pages.quotes_request import RequestPane
from retrofit_desk.desk.widgets.halves import Halves
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.services.packets import PacketService
from retrofit_desk.services.quote_values import QuoteSheet, RequestRow
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place


def _state_word(row: RequestRow) -> str:
    if row.accepted_firm:
        return "signed"
    if row.is_closed:
        return "closed"
    return "open" if row.answered else "waiting"


COLUMNS = (
    Column[RequestRow]("State", _state_word),
    Column[RequestRow]("Asked for", lambda row: row.title, is_strong=True),
    Column[RequestRow](
        "Answers", lambda row: f"{row.answered} of {row.asked}", lambda row: row.answered, is_number=True
    ),
    Column[RequestRow]("Signed with", lambda row: row.accepted_firm or "nobody yet"),
    Column[RequestRow]("Asked", lambda row: day_text(row.asked_on), lambda row: row.asked_on),
)


class QuotesPage(Page):
    """Requests with their answers, and the firms."""

    key = PageKey.QUOTES
    title = "Quotes"
    question = "Who offers what, really?"
    scrolls = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._quotes = desk.service(QuoteService)
        self.table = RecordTable(desk, "Requests", COLUMNS)
        self.request = RequestPane(desk, self)
        self.people = PeoplePane(desk)
        halves = Halves(self.table, self.request, (5, 11))
        self.parts = QTabWidget()
        self.parts.addTab(halves, "Requests and quotes")
        self.parts.addTab(self.people, "People and firms")
        self.parts.currentChanged.connect(lambda _index: self.people.refresh())
        self.body.addWidget(self.parts, 1)
        ask = QPushButton("Ask for quotes …")
        ask.clicked.connect(self.ask_for_quotes)
        self.head_row.addWidget(ask)
        self.table.chosen.connect(self._show)

    def refresh(self) -> None:
        chosen = self.table.selected()
        self.table.set_rows(self._quotes.rows())
        self._select(chosen.id if chosen else None)
        self._show(self.table.selected())
        self.people.refresh()

    def show_item(self, place: Place) -> None:
        if place.kind == "firm":
            self.parts.setCurrentWidget(self.people)
            self.people.show_firm(place.item)
        elif place.kind == "quote" and place.item is not None:
            self.parts.setCurrentIndex(0)
            with self.desk.notices.caught():
                request_id = self._quotes.request_of(place.item)
                self.request.choose_quote(place.item)
                self._select(request_id)
        elif place.kind == "request":
            self.parts.setCurrentIndex(0)
            self._select(place.item)

    def commands(self) -> tuple[Command, ...]:
        return (
            Command("ask-for-quotes", "Ask for quotes …", self.ask_for_quotes),
            Command("enter-quote", "Enter a quote …", self.enter_quote, ("Ctrl+Shift+E",)),
        )

    def ask_for_quotes(self) -> None:
        """Write a new request down."""
        from retrofit_desk.desk.dialogs.request_form import RequestDialog

        dialog = RequestDialog(self.desk, self)
        if dialog.exec():
            self.refresh()
            self._select(dialog.request_id)

    def change_request(self) -> None:
        from retrofit_desk.desk.dialogs.request_form import RequestDialog

        if self.request.sheet is not None:
            RequestDialog(self.desk, self, self.request.sheet).exec()

    def ask_firms(self) -> None:
        """Note who got the sheet, and put its words on the clipboard."""
        from retrofit_desk.desk.dialogs.ask_firms import AskFirmsDialog

        sheet = self.request.sheet
        if sheet is not None:
            dialog = AskFirmsDialog(self.desk, self, sheet)
            if dialog.exec():
                with self.desk.notices.caught():
                    self._quotes.ask_firms(sheet.row.id, dialog.firm_ids())
                    self.copy_request()

    def copy_request(self) -> None:
        """The request in plain words, for a letter to any firm."""
        sheet = self.request.sheet
        if sheet is not None:
            QGuiApplication.clipboard().setText(self._quotes.message(sheet.row.id))
            self.desk.notices.tell("The request was copied, the same words for every firm.")

    def make_sheet(self) -> None:
        """The request as a PDF, made in the background; it stands on the Packets page."""
        sheet = self.request.sheet
        if sheet is None:
            return
        packets, about, units = self.desk.service(PacketService), sheet.row.id, self.desk.units
        self.desk.jobs.start(
            f"Making the request sheet: {sheet.row.title}",
            lambda report: packets.make(PacketKind.CONTRACTOR, progress=report, about=about, units=units),
            lambda made: self.desk.go_to(Place(PageKey.PACKETS, "packet", made.id)),
        )

    def enter_quote(self) -> None:
        """Enter a firm's answer to the chosen request."""
        from retrofit_desk.desk.dialogs.quote_form import QuoteDialog

        sheet = self.request.sheet
        if sheet is not None:
            dialog = QuoteDialog(self.desk, self, sheet)
            if dialog.exec() and dialog.quote_id is not None:
                self.request.choose_quote(dialog.quote_id)

    def correct_quote(self, quote: QuoteSheet) -> None:
        from retrofit_desk.desk.dialogs.quote_form import QuoteDialog

        if self.request.sheet is not None:
            QuoteDialog(self.desk, self, self.request.sheet, quote).exec()

    def accept_quote(self, quote: QuoteSheet) -> None:
        """Sign: afterwards the contract stands on the Money page."""
        from retrofit_desk.desk.dialogs.accept_quote import AcceptDialog

        if self.request.sheet is None:
            return
        dialog = AcceptDialog(self.desk, self, self.request.sheet, quote)
        if dialog.exec() and dialog.contract_id is not None:
            self.desk.notices.tell(f"Signed with {quote.firm}. The contract stands on the Money page.")
            self.desk.go_to(Place(PageKey.MONEY, "contract", dialog.contract_id))

    def _select(self, request_id: int | None) -> None:
        rows = [row for row in self.table.model.rows if row.id == request_id] or self.table.shown_rows()
        if rows:
            self.table.select(rows[0])

    def _show(self, row: RequestRow | None) -> None:
        with self.desk.notices.caught():
            self.request.show_sheet(self._quotes.sheet(row.id) if row is not None else None)
