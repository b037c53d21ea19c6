"""Worth: what is it worth, and did it work?"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton, QTabBar

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages.worth_answer import AnswerPane
from retrofit_desk.desk.pages.worth_carbon import CarbonPane
from retrofit_desk.desk.pages.worth_comfort import ComfortPane
from retrofit_desk.desk.pages.worth_did_it_work import DidItWork
from retrofit_desk.desk.pages.worth_measures import MeasuresPane
from retrofit_desk.desk.pages.worth_money import MoneyPane
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane
from retrofit_desk.desk.pages.worth_sun import SunPane
from retrofit_desk.desk.pages.worth_sure import SurePane
from retrofit_desk.desk.pages.worth_work import SumWork
from retrofit_desk.desk.widgets.out_of_date import OutOfDate
from retrofit_desk.desk.widgets.text import wrap
from retrofit_desk.services.worth import WorthService
from retrofit_desk.services.worth_parts import WorthPart, worth_part_at
from retrofit_desk.values.place import PageKey, Place

NOT_YET = "No savings sum is worked out yet. It takes about a minute; the window stays free meanwhile."
ONLY_READ = (
    "No savings sum worked out by this day is kept, and none is worked out while the record is only read. "
    "Today's record has the newest one."
)


class WorthPage(Page):
    """The newest savings sum as a story: the answer first, then its parts, opened one at a time.

    Only the part that is open is built and filled; the others follow when they are opened.
    """

    key = PageKey.WORTH
    title = "Worth"
    question = "What is it worth, and did it work?"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._worth = desk.service(WorthService)
        self.work = SumWork(desk)
        self.work.found.connect(self.refresh)
        self._look: WorthLook | None = None
        self._panes: dict[WorthPart, WorthPane] = {}
        self._unfilled: set[WorthPart] = set()
        self._scrolled_to: dict[WorthPart, int] = {}
        self.part = WorthPart.ANSWER
        self.work_it_out = QPushButton("Work it out")
        self.work_it_out.clicked.connect(self.work.start)
        self.work_it_out.setVisible(not desk.project.is_read_only)
        self.work.freed.connect(self.work_it_out.setEnabled)
        self.head_row.addWidget(self.work_it_out)
        self.stale = OutOfDate(desk, "sum", "Work it out again", self.work.start)
        self.work.freed.connect(self.stale.set_free)
        self.tabs = self._tab_bar()
        self.not_yet = QLabel(ONLY_READ if desk.project.is_read_only else NOT_YET)
        wrap(self.not_yet)
        self.above.addWidget(self.stale)
        self.above.addWidget(self.tabs)
        self.body.addWidget(self.not_yet)
        self.body.addStretch(1)

    def refresh(self) -> None:
        self._look = WorthLook(self.desk)
        self.stale.tell(self._worth.changed_since(self.desk.units))
        self._unfilled = set(WorthPart)
        self._show_part()

    def show_item(self, place: Place) -> None:
        where = worth_part_at(place)
        if where is not None:
            part, view = where
            self.open(part)
            if view is not None:
                self.pane(part).turn_to(view)

    def commands(self) -> tuple[Command, ...]:
        parts = tuple(
            Command(
                f"worth-part-{number}",
                part.heading.replace("&", "&&"),
                partial(self.open, part),
                (f"Ctrl+{number}",),
            )
            for number, part in enumerate(WorthPart, start=1)
        )
        may_begin = self.work.may_begin
        return (
            Command(
                "work-out", "Work the savings sum out", self.work.start, ("Ctrl+Shift+W",), may_run=may_begin
            ),
            Command("count-fair-parts", "Count fair parts", self.work.start_fair_parts, may_run=may_begin),
            *parts,
        )

    def open(self, part: WorthPart) -> None:
        """Read a part."""
        self.tabs.setCurrentIndex(list(WorthPart).index(part))

    def pane(self, part: WorthPart) -> WorthPane:
        """A part, built when it is first asked for and filled with what is known now."""
        pane = self._panes.get(part)
        if pane is None:
            pane = self._build(part)()
            self._panes[part] = pane
            pane.hide()
            self.body.insertWidget(self.body.count() - 1, pane)
        look = self._look
        if part in self._unfilled and look is not None and (look.found is not None or not pane.needs_sum):
            self._unfilled.discard(part)
            pane.fill(look)
        return pane

    def _build(self, part: WorthPart) -> Callable[[], WorthPane]:
        desk = self.desk
        return {
            WorthPart.ANSWER: lambda: AnswerPane(desk),
            WorthPart.MEASURES: lambda: MeasuresPane(desk, self.work),
            WorthPart.SUN: lambda: SunPane(desk),
            WorthPart.MONEY: lambda: MoneyPane(desk),
            WorthPart.CARBON: lambda: CarbonPane(desk),
            WorthPart.COMFORT: lambda: ComfortPane(desk),
            WorthPart.SURE: lambda: SurePane(desk),
            WorthPart.WORKED: lambda: DidItWork(desk),
        }[part]

    def _tab_bar(self) -> QTabBar:
        tabs = QTabBar()
        tabs.setAccessibleName("Parts of the story")
        tabs.setDrawBase(False)
        tabs.setExpanding(False)
        tabs.setElideMode(Qt.TextElideMode.ElideNone)
        for part in WorthPart:
            tabs.addTab(part.heading.replace("&", "&&"))
        tabs.currentChanged.connect(self._turn)
        return tabs

    def _turn(self, index: int) -> None:
        bar = self.scroll_area.verticalScrollBar()
        self._scrolled_to[self.part] = bar.value()
        self.part = list(WorthPart)[index]
        with self.desk.notices.caught():
            self._show_part()
        bar.setValue(self._scrolled_to.get(self.part, 0))

    def _show_part(self) -> None:
        for part, pane in self._panes.items():
            if part is not self.part:
                pane.hide()
        seen = self.pane(self.part)
        has_sum = self._look is not None and self._look.found is not None
        self.not_yet.setVisible(not has_sum and seen.needs_sum)
        seen.setVisible(has_sum or not seen.needs_sum)
