"""Permits: may I go on?"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.office_forms import OfficeBookingDialog
from retrofit_desk.desk.dialogs.permit_forms import (
    AddPermitDialog,
    ChangePermitDialog,
    ClosePermitDialog,
)
from retrofit_desk.desk.dialogs.reason import ask_reason
from retrofit_desk.desk.dialogs.save_calendar import save_calendar
from retrofit_desk.desk.dialogs.visit_forms import (
    AddVisitDialog,
    BookVisitDialog,
    CloseCorrectionDialog,
    VisitResultDialog,
)
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages.permits_sheet import PermitPane
from retrofit_desk.desk.pages.permits_words import lacking_words, office_words, permit_pick
from retrofit_desk.desk.widgets.halves import Halves
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.picker import Picker
from retrofit_desk.desk.widgets.scroll_pane import AsHighAsItsWords
from retrofit_desk.desk.widgets.text import SectionHeading, rule, soft_label
from retrofit_desk.rules.permits import PermitTemplate
from retrofit_desk.services.holds import HoldEffect
from retrofit_desk.services.no_permit_yet import NoPermitYet, NoPermitYetService
from retrofit_desk.services.permit_ends import PermitEndService
from retrofit_desk.services.permit_sheet import AuthorityPermits, CorrectionLine, PermitSheet, VisitSheet
from retrofit_desk.services.permits import PermitService
from retrofit_desk.services.visits import VisitService
from retrofit_desk.values.place import PageKey, Place

LACKING = "Work like this usually needs one. The local office decides; ask it before the work begins."


class PermitsPage(Page):
    """The permits by office, and the one that is chosen."""

    key = PageKey.PERMITS
    title = "Permits"
    question = "May I go on?"
    scrolls = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._permits = desk.service(PermitService)
        self._visits = desk.service(VisitService)
        self._ends = desk.service(PermitEndService)
        self._lacking = desk.service(NoPermitYetService)
        self._chosen_id: int | None = None
        self._sheets: dict[int, PermitSheet] = {}
        self.pickers: list[Picker] = []
        self.list = QScrollArea()
        self.list.setWidgetResizable(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.pane = PermitPane(desk, self)
        self.body.addWidget(Halves(self.list, self.pane, (2, 3)), 1)
        for words, run in (("Add a permit …", self.add), ("Write a calendar …", self.write_calendar)):
            button = QPushButton(words)
            button.clicked.connect(lambda _checked=False, run=run: run())
            self.head_row.addWidget(button)

    def refresh(self) -> None:
        offices: tuple[AuthorityPermits, ...] = ()
        lacking: tuple[NoPermitYet, ...] = ()
        with self.desk.notices.caught():
            offices, lacking = self._permits.authorities(), self._lacking.measures()
        self._sheets = {sheet.id: sheet for office in offices for sheet in office.permits}
        if self._chosen_id not in self._sheets:
            self._chosen_id = next(iter(self._sheets), None)
        self._fill_list(offices, lacking)
        self._show_chosen()

    def show_item(self, place: Place) -> None:
        if place.kind == "permit" and place.item in self._sheets:
            self._choose(place.item)
        elif place.kind == "inspection" and place.item is not None:
            permit_id = self._permits.permit_of(place.item)
            if permit_id is not None:
                self._choose(permit_id)
                self.pane.show_visit(place.item)

    def commands(self) -> tuple[Command, ...]:
        return (
            Command("add-permit", "Add a permit …", self.add, ("Ctrl+Shift+N",)),
            Command("calendar", "Write a calendar …", self.write_calendar, ("Ctrl+Shift+K",)),
        )

    def add(self, lacking: NoPermitYet | None = None) -> None:
        """Note a permit that is needed, and go to it."""
        dialog = AddPermitDialog(self.desk, self, lacking)
        if dialog.exec() and dialog.permit_id is not None:
            self._chosen_id = dialog.permit_id

    def usual(self) -> tuple[PermitTemplate, ...]:
        """What offices usually ask for."""
        return self._permits.usual()

    def change(self, sheet: PermitSheet) -> None:
        """Number and dates as the office gave them."""
        dialog = ChangePermitDialog(self.desk, self, sheet)
        if dialog.exec():
            self._tell("Permit changed.", dialog.effect)

    def end(self, sheet: PermitSheet) -> None:
        """The office closed it, with its certificate."""
        dialog = ClosePermitDialog(self.desk, self, sheet)
        if dialog.exec():
            self._tell("Permit closed.", dialog.effect)

    def withdraw(self, sheet: PermitSheet) -> None:
        """Give it back, for a written reason."""
        said = f"{sheet.title} is {sheet.state}."
        kept = "Its booked visits are called off, and what waited for it waits again."
        reason = ask_reason(self.desk, self, "Withdraw", said, kept)
        if reason is not None:
            with self.desk.notices.caught():
                self._tell("Permit withdrawn.", self._ends.withdraw(sheet.id, reason))

    def take_up_again(self, sheet: PermitSheet) -> None:
        """It stands again, as far as its dates go."""
        with self.desk.notices.caught():
            self._tell("Permit taken up again.", self._ends.take_up_again(sheet.id))

    def book(self, visit: VisitSheet) -> None:
        """Note the day the office gave."""
        BookVisitDialog(self.desk, self, visit).exec()

    def call_off(self, visit: VisitSheet) -> None:
        """The visit does not take place on that day."""
        self._do(lambda: self._visits.call_off(visit.id))

    def add_visit(self, sheet: PermitSheet) -> None:
        """One more visit that the office asks for, and show it."""
        dialog = AddVisitDialog(self.desk, self, sheet)
        if dialog.exec() and dialog.visit_id is not None:
            self.refresh()
            self.pane.show_visit(dialog.visit_id)

    def give_visits(self, office: AuthorityPermits) -> None:
        """How an office gives its visits."""
        if office.firm_id is not None:
            OfficeBookingDialog(self.desk, self, office.firm_id, office.name).exec()

    def take_out(self, visit: VisitSheet) -> None:
        """The office does not ask for this visit."""
        self._do(lambda: self._visits.take_out_visit(visit.id))

    def record_result(self, visit: VisitSheet) -> None:
        """What the inspector said; afterwards say what it frees or still blocks."""
        dialog = VisitResultDialog(self.desk, self, visit)
        if dialog.exec():
            self._tell("Visit recorded.", dialog.effect)

    def close_correction(self, correction: CorrectionLine) -> None:
        """How it was put right."""
        dialog = CloseCorrectionDialog(self.desk, self, correction)
        if dialog.exec():
            self._tell("Correction closed.", dialog.effect)

    def write_calendar(self) -> None:
        """The dates as a file that a calendar program reads."""
        save_calendar(self.desk, self)

    def _do(self, run: Callable[[], object]) -> None:
        with self.desk.notices.caught():
            run()

    def _tell(self, done: str, effect: HoldEffect | None) -> None:
        told = [done, *effect.frees, *effect.still_blocks] if effect is not None else [done]
        self.desk.notices.tell(" ".join(told))

    def _fill_list(self, offices: tuple[AuthorityPermits, ...], lacking: tuple[NoPermitYet, ...]) -> None:
        inside = AsHighAsItsWords()
        inside.setProperty("role", "body")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 4, 0)
        self.pickers = []
        for office in offices:
            column.addLayout(self._office_head(office))
            column.addWidget(soft_label(office_words(office)))
            column.addWidget(rule(hair=False))
            picker = Picker(self.desk, office.name)
            picker.set_lines([permit_pick(sheet) for sheet in office.permits], str(self._chosen_id))
            picker.chosen.connect(lambda key: self._choose(int(key)))
            column.addWidget(picker)
            self.pickers.append(picker)
        if lacking:
            column.addWidget(SectionHeading("No permit yet"))
            column.addWidget(soft_label(LACKING))
            stack = StackedList(self.desk, "No permit yet", "")
            stack.set_lines([self._lacking_line(one) for one in lacking])
            column.addWidget(stack)
        column.addStretch(1)
        self.list.setVisible(bool(offices or lacking))
        at = self.list.verticalScrollBar().value()
        self.list.setWidget(inside)
        self.list.verticalScrollBar().setValue(at)

    def _lacking_line(self, one: NoPermitYet) -> StackedLine:
        button = LineButton("Add …", lambda: self.add(one))
        return StackedLine(
            one.title, lacking_words(one), place=one.place, needs_owner=one.is_begun, buttons=(button,)
        )

    def _office_head(self, office: AuthorityPermits) -> QHBoxLayout:
        name = QLabel(office.name)
        name.setProperty("role", "section")
        name.setTextFormat(Qt.TextFormat.PlainText)
        name.setWordWrap(True)
        head = QHBoxLayout()
        head.addWidget(name, 1)
        if office.firm_id is not None:
            how = QPushButton("Its visits …")
            how.setAccessibleName(f"How {office.name} gives its visits")
            how.clicked.connect(lambda: self.give_visits(office))
            head.addWidget(how)
        return head

    def _choose(self, permit_id: int) -> None:
        self._chosen_id = permit_id
        for picker in self.pickers:
            picker.mark(str(permit_id))
        self._show_chosen()

    def _show_chosen(self) -> None:
        self.pane.show_sheet(self._sheets.get(self._chosen_id) if self._chosen_id is not None else None)
