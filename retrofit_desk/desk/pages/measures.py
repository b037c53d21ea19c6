"""Measures: what is being done, and what was done?"""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QStackedWidget, QTabBar

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.reason import STAYS, ask_reason
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages.measures_schedule import SchedulePane
from retrofit_desk.desk.pages.measures_sheet import MeasureSheetPane
from retrofit_desk.desk.widgets.halves import Halves
from retrofit_desk.desk.widgets.register import Register
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.hazards import HazardLine
from retrofit_desk.services.holds import HoldEffect, HoldService, HoldView
from retrofit_desk.services.measures import MeasureService, MeasureSheet
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import count_text

REGISTER, SCHEDULE = 0, 1


class MeasuresPage(Page):
    """The register, and the measure that is chosen."""

    key = PageKey.MEASURES
    title = "Measures"
    question = "What is being done, and what was done?"
    scrolls = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._measures = desk.service(MeasureService)
        self._holds = desk.service(HoldService)
        self._chosen_id: int | None = None
        self.register = Register(desk)
        self.sheet = MeasureSheetPane(desk, self)
        halves = Halves(self.register, self.sheet, (2, 3))
        self.schedule = SchedulePane(desk)
        self.parts = QStackedWidget()
        self.parts.addWidget(halves)
        self.parts.addWidget(self.schedule)
        self.tabs = QTabBar()
        self.tabs.setAccessibleName("Register or schedule")
        self.tabs.setDrawBase(False)
        self.tabs.setExpanding(False)
        self.tabs.setUsesScrollButtons(False)
        self.tabs.setElideMode(Qt.TextElideMode.ElideNone)
        for words in ("Register", "Schedule"):
            self.tabs.addTab(words)
        self.tabs.currentChanged.connect(self._turn_to)
        self.body.addWidget(self.tabs)
        self.body.addWidget(self.parts, 1)
        add = QPushButton("Add a measure …")
        add.clicked.connect(self.add_measure)
        self.head_row.addWidget(add)
        write_up = QPushButton("Write up the work …")
        write_up.clicked.connect(self.write_up)
        self.head_row.addWidget(write_up)
        self.register.chosen.connect(self._choose)

    def refresh(self) -> None:
        if self.tabs.currentIndex() == SCHEDULE:
            self.schedule.refresh()
        rows = self._measures.rows()
        if self._chosen_id not in {row.id for row in rows}:
            under_way = [row for row in rows if row.state is MeasureState.UNDER_WAY]
            first = next(iter(under_way or rows), None)
            self._chosen_id = first.id if first is not None else None
        self.register.set_rows(rows, self._chosen_id)
        self._show_sheet()

    def show_item(self, place: Place) -> None:
        if place.kind in ("task", "schedule"):
            self.tabs.setCurrentIndex(SCHEDULE)
            if place.item is not None:
                self.schedule.choose(place.item)
        elif place.kind == "measure" and place.item is not None:
            self.tabs.setCurrentIndex(REGISTER)
            self._choose(place.item)

    def commands(self) -> tuple[Command, ...]:
        return (
            Command("add-measure", "Add a measure …", self.add_measure, ("Ctrl+Shift+A",)),
            Command("measure-facts", "What a measure is …", self.edit_facts, ("Ctrl+Shift+E",)),
            Command("before-you-buy", "Before you buy …", self.before_you_buy, ("Ctrl+Shift+Y",)),
            Command("write-up", "Write up the work …", self.write_up, ("Ctrl+W",)),
            Command("move-on", "Move on", self.move_on, ("Ctrl+Shift+M",)),
            Command("record-find", "Record a find …", self.record_find, ("Ctrl+Shift+F",)),
            Command("write-hold", "Write a hold …", self.write_hold),
            Command("usual-holds", "Usual holds …", self.usual_holds),
            Command("schedule", "Register or schedule", self.turn, ("Ctrl+T",)),
        )

    def turn(self) -> None:
        """The other part of the page."""
        self.tabs.setCurrentIndex(SCHEDULE if self.tabs.currentIndex() == REGISTER else REGISTER)

    def add_measure(self) -> None:
        """Write a new idea down, and show it."""
        from retrofit_desk.desk.dialogs.measure_forms import AddMeasureDialog

        dialog = AddMeasureDialog(self.desk, self)
        if dialog.exec() and dialog.measure_id is not None:
            self._chosen_id = dialog.measure_id
            self.refresh()

    def edit_facts(self) -> None:
        """Open the form for what the chosen measure is made of; afterwards say what is still missing."""
        from retrofit_desk.desk.dialogs.measure_facts import MeasureFactsDialog

        if self._chosen_id is None:
            return
        with self.desk.notices.caught():
            dialog = MeasureFactsDialog(self.desk, self, self._chosen_id)
            if dialog.exec() and dialog.recorded is not None:
                self.desk.notices.tell(
                    dialog.recorded.cannot_say or "Everything that the sum needs is stated."
                )

    def before_you_buy(self) -> None:
        """Size the chosen measure in the background, then show what an offer is to be held against."""
        from retrofit_desk.desk.dialogs.before_you_buy import BeforeYouBuyDialog
        from retrofit_desk.services.sizing import SizingService

        service, measure_id, units = self.desk.service(SizingService), self._chosen_id, self.desk.units
        if measure_id is None:
            return
        if not service.can_size(measure_id):
            self.desk.notices.tell("There is nothing to size in a measure of this kind.")
            return
        self.desk.jobs.start(
            "The sizes to know before you buy",
            lambda report: service.sheet(measure_id, units, report),
            lambda sheet: BeforeYouBuyDialog(self.desk, self, sheet).open(),
        )

    def write_up(self) -> None:
        """Open the form for the chosen measure; afterwards say what it frees or still blocks."""
        from retrofit_desk.desk.dialogs.write_up import WriteUpDialog

        if self._chosen_id is None:
            return
        dialog = WriteUpDialog(self.desk, self, self._chosen_id)
        if dialog.exec() and dialog.written is not None:
            written = dialog.written
            moved = f" Now {written.after}." if written.after is not written.before else ""
            told = [f"Written up.{moved}", *written.effect.frees, *written.effect.still_blocks]
            self.desk.notices.tell(" ".join(told))

    def move_on(self) -> None:
        """Take the next notch, if the record supports it."""
        sheet = self.sheet.sheet
        if sheet is None or sheet.next_move is None:
            return
        with self.desk.notices.caught():
            if sheet.next_move.after is MeasureState.SIGNED_OFF and not sheet.needs_permit:
                self._measures.accept_work(sheet.row.id)
            else:
                self._measures.move(sheet.row.id, sheet.next_move.after)

    def move_back(self, after: MeasureState, title: str) -> None:
        """Reopen or drop, for a written reason."""
        sheet = self.sheet.sheet
        if sheet is None:
            return
        sentence = f"{sheet.row.title} is {sheet.row.state}."
        reason = ask_reason(self.desk, self, title, sentence, "The reason is kept in its history.")
        if reason is not None:
            with self.desk.notices.caught():
                self._measures.move(sheet.row.id, after, reason=reason)

    def do_step(self, hold: HoldView) -> None:
        """Do what a hold protects; while it still blocks, only for a written reason."""
        reason: str | None = ""
        if not hold.answer.may_go_on:
            reason = ask_reason(self.desk, self, "Go on for a reason", hold.sentence, STAYS)
        if reason is not None:
            with self.desk.notices.caught():
                self._holds.do_step(hold.id, reason=reason, by="owner")

    def usual_holds(self) -> None:
        """Offer the holds that this kind of work usually brings."""
        from retrofit_desk.desk.dialogs.usual_holds import UsualHoldsDialog

        sheet = self.sheet.sheet
        if sheet is None:
            return
        dialog = UsualHoldsDialog(self.desk, self, sheet.row.id, sheet.row.title)
        if dialog.exec():
            self.desk.notices.tell(
                f"{count_text(dialog.made, 'hold')} recorded. Undo takes back what was recorded."
            )

    def write_hold(self) -> None:
        """A hold in the owner's own words on the chosen measure."""
        from retrofit_desk.desk.dialogs.own_hold import OwnHoldDialog

        sheet = self.sheet.sheet
        if sheet is not None and OwnHoldDialog(self.desk, self, sheet.row.id, sheet.row.title).exec():
            self.desk.notices.tell("The hold is recorded. Undo takes it back.")

    def record_find(self, line: HazardLine | None = None) -> None:
        """Record a hazard seen at the chosen measure; one that stops work shuts it at once."""
        from retrofit_desk.desk.dialogs.hazard_forms import FindDialog

        dialog = FindDialog(self.desk, self, self._chosen_id)
        if line is not None:
            dialog.choose_kind(line.kind)
        if dialog.exec():
            self._tell_effect("Find recorded.", dialog.effect)

    def settle_find(self, line: HazardLine) -> None:
        """Record the result of a test or the clearance of a find."""
        from retrofit_desk.desk.dialogs.hazard_forms import SettleDialog

        if line.find_id is not None:
            dialog = SettleDialog(self.desk, self, line, line.find_id)
            if dialog.exec():
                self._tell_effect("Find settled.", dialog.effect)

    def _tell_effect(self, done: str, effect: HoldEffect | None) -> None:
        said = (*effect.frees, *effect.still_blocks) if effect is not None else ()
        self.desk.notices.tell(" ".join((done, *said)))

    def open_again(self, hold: HoldView) -> None:
        """What was covered is opened, for a written reason, and waits as before."""
        said = f"“{hold.answer.hold.what}” was covered."
        reason = ask_reason(self.desk, self, "Open again", said, "From now on it waits as before.")
        if reason is not None:
            with self.desk.notices.caught():
                self.desk.notices.tell(self._holds.reopen(hold.id, reason).sentence)

    def _turn_to(self, part: int) -> None:
        self.parts.setCurrentIndex(part)
        if part == SCHEDULE:
            self.schedule.refresh()

    def _choose(self, measure_id: int) -> None:
        self._chosen_id = measure_id
        self.register.mark(measure_id)
        self._show_sheet()

    def _show_sheet(self) -> None:
        sheet: MeasureSheet | None = None
        with self.desk.notices.caught():
            if self._chosen_id is not None:
                sheet = self._measures.sheet(self._chosen_id, self.desk.units)
        self.sheet.show_sheet(sheet)
