"""Worth: what is it worth, and did it work?"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import (
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.jobs import Report
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.pages.worth_carbon import CarbonSection
from retrofit_desk.desk.pages.worth_comfort import ComfortSection
from retrofit_desk.desk.pages.worth_did_it_work import DidItWork
from retrofit_desk.desk.pages.worth_fit import FitSection
from retrofit_desk.desk.pages.worth_ladder import LadderSection
from retrofit_desk.desk.pages.worth_measures import bonds, measure_columns
from retrofit_desk.desk.pages.worth_money import MoneySection
from retrofit_desk.desk.pages.worth_order import LineUpOrder
from retrofit_desk.desk.pages.worth_storage import StorageSection
from retrofit_desk.desk.pages.worth_words import Shown, Yearly
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.line_up_steps import draw_line_up_steps, height_in_lines
from retrofit_desk.desk.pictures.month_bars import draw_month_bars
from retrofit_desk.desk.widgets.choices import choice_row
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label, wrap
from retrofit_desk.services.worth import SavingsLine, SavingsSum, SourceLine, WorthService
from retrofit_desk.services.worth_years import WorthYearsService
from retrofit_desk.services.worth_years_words import story_line
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey
from retrofit_desk.values.quantity import Dimension

NOT_YET = "No savings sum is worked out yet. It takes about a minute; the window stays free meanwhile."

SOURCE_COLUMNS: tuple[Column[SourceLine], ...] = (
    Column("Subject", lambda line: line.subject, is_strong=True),
    Column("Source", lambda line: line.source),
    Column("As of", lambda line: day_text(line.as_of) if line.as_of else "not stated"),
)


class WorthPage(Page):
    """The newest savings sum as a story: headline, months, steps, each measure, carbon, what moves it."""

    key = PageKey.WORTH
    title = "Worth"
    question = "What is it worth, and did it work?"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._worth = desk.service(WorthService)
        self._years = desk.service(WorthYearsService)
        self._found: SavingsSum | None = None
        self._shown, self._yearly = Shown.MONEY, Yearly.FUEL
        self.work_it_out = QPushButton("Work it out")
        self.work_it_out.clicked.connect(self.start)
        self.head_row.addWidget(self.work_it_out)
        self.headline = QLabel()
        wrap(self.headline)
        self.cost = QLabel()
        wrap(self.cost)
        self.story = QLabel()
        wrap(self.story)
        self.made = soft_label("")
        self.stale = StackedList(desk, "Out of date", "")
        self._story, self._basis = QWidget(), QWidget()
        self.order = LineUpOrder(desk)
        self.did_it_work = DidItWork(desk)
        self.fit = FitSection(desk)
        self.storage = StorageSection(desk)
        parts = (self.headline, self.cost, self.story, self.made, self.stale, self._story)
        for part in (*parts, self.order, self.storage, self.did_it_work, self.fit, self._basis):
            self.body.addWidget(part)
        self._build_story()
        self._build_basis()
        self.body.addStretch(1)

    def refresh(self) -> None:
        self.order.refresh()
        self.did_it_work.refresh()
        self.fit.refresh()
        self.storage.refresh()
        self._found = self._worth.latest()
        found = self._found
        for part in (self._story, self._basis, self.stale, self.cost, self.story, self.made):
            part.setVisible(found is not None)
        if found is None:
            self.headline.setText(NOT_YET)
            return
        self.headline.setText(words.headline(found, self.desk.units))
        self.cost.setText(words.cost_line(found))
        self.made.setText(
            f"Worked out on {day_text(found.made_at.date())} by the hour on the weather of {found.weather}. "
            f"Ranges run from the tenth to the ninetieth percentile. {found.range_basis}"
        )
        changes = self._worth.changed_since(self.desk.units)
        self.stale.set_lines(
            [
                StackedLine(
                    "This sum is out of date.",
                    words.changed_text(changes),
                    needs_owner=True,
                    buttons=(LineButton("Work it out again", self.start),),
                )
            ]
            if changes
            else []
        )
        self.stale.setVisible(bool(changes))
        self._show(found)

    def commands(self) -> tuple[Command, ...]:
        return (
            Command(
                "work-out",
                "Work the savings sum out",
                self.start,
                ("Ctrl+Shift+W",),
                may_run=self._may_begin,
            ),
            Command("count-fair-parts", "Count fair parts", self.start_fair_parts, may_run=self._may_begin),
        )

    def start(self) -> None:
        """Work the sum out in the background; cancel keeps what was there."""
        self._begin("Working out the savings sum", self._worth.savings, "The savings sum is worked out.")

    def start_fair_parts(self) -> None:
        """Count fair parts in the background; cancel keeps the sum as it was."""
        self._begin("Counting fair parts", self._worth.fair_parts, "The fair parts are counted.")

    def _begin(self, title: str, work: Callable[[Report], SavingsSum], told: str) -> None:
        """One sum at a time: two would work on the same years."""
        if not self._may_begin():
            return

        def done(_found: SavingsSum) -> None:
            self.desk.notices.tell(told)
            self.refresh()

        self._enable(False)
        job = self.desk.jobs.start(title, work, done)
        job.ended.connect(lambda: self._enable(True))

    def _may_begin(self) -> bool:
        return self.work_it_out.isEnabled()

    def _enable(self, is_free: bool) -> None:
        for button in (self.work_it_out, self.count_parts):
            button.setEnabled(is_free)

    # building

    def _build_story(self) -> None:
        column = QVBoxLayout(self._story)
        column.setContentsMargins(0, 0, 0, 0)
        desk = self.desk
        self.months = Picture(lambda: desk.theme, "Before and after, month by month")
        column.addWidget(SectionHeading("Before and after, month by month"))
        column.addLayout(choice_row(self, list(Yearly), self._yearly, self._choose_yearly))
        column.addWidget(self.months)
        self.steps = Picture(lambda: desk.theme, "The line-up, step by step")
        column.addWidget(
            SectionHeading("The line-up, step by step", "today at the top; thin lines are likely ranges")
        )
        column.addLayout(choice_row(self, list(Shown), self._shown, self._choose_shown))
        column.addWidget(self.steps)
        self.table: RecordTable[SavingsLine] = RecordTable(
            desk, "Worth of each measure", measure_columns(Dimension.GAS, self.desk.units)
        )
        heading = SectionHeading("Each measure", "in its place in the line-up")
        self.count_parts = QPushButton("Count fair parts")
        self.count_parts.setToolTip("Runs every set of the measures that can stand together: some minutes")
        self.count_parts.clicked.connect(self.start_fair_parts)
        heading.row.addWidget(self.count_parts)
        column.addWidget(heading)
        column.addWidget(self.table)
        self.bonds = StackedList(desk, "What needs what", "No measure needs or bars another.")
        column.addWidget(SectionHeading("What needs what", "and what no bill shows"))
        column.addWidget(self.bonds)
        self.money = MoneySection(desk)
        column.addWidget(self.money)
        self.ladder = LadderSection(desk)
        column.addWidget(self.ladder)
        self.carbon = CarbonSection(desk)
        column.addWidget(self.carbon)
        self.comfort = ComfortSection(desk)
        column.addWidget(self.comfort)
        self.moves = StackedList(desk, "What moves the answer most", "Nothing was varied.")
        column.addWidget(SectionHeading("What moves the answer most", "share of the spread in money saved"))
        column.addWidget(self.moves)

    def _build_basis(self) -> None:
        column = QVBoxLayout(self._basis)
        column.setContentsMargins(0, 0, 0, 0)
        self.sources: RecordTable[SourceLine] = RecordTable(self.desk, "Sources", SOURCE_COLUMNS)
        column.addWidget(SectionHeading("What it rests on"))
        column.addWidget(self.sources)

    def _choose_yearly(self, what: Yearly) -> None:
        self._yearly = what
        if self._found is not None:
            self._draw_months(self._found)

    def _choose_shown(self, what: Shown) -> None:
        self._shown = what
        if self._found is not None:
            self._draw_steps(self._found)

    # showing

    def _show(self, found: SavingsSum) -> None:
        self._draw_months(found)
        self._draw_steps(found)
        self.table.set_rows(found.lines, measure_columns(found.fuel_dimension, self.desk.units))
        self.table.show_all_rows()
        self.ladder.show_sum(found)
        years = self._years.of(found)
        self.story.setText(story_line(found, years))
        self.bonds.set_lines(bonds(found))
        self.money.show_years(years)
        self.carbon.show_years(found, years)
        self.comfort.show_sum(found)
        self.moves.set_lines(
            [StackedLine(name, aside=f"{share:.0%}") for name, share in found.moves if share >= 0.005]
        )
        self.sources.set_rows((*found.sources, *years.sources))
        self.sources.show_all_rows()

    def _draw_months(self, found: SavingsSum) -> None:
        series, unit = words.month_series(found, self._yearly, self.desk.units)
        self.months.set_drawing(
            lambda canvas: draw_month_bars(canvas, series, unit), lines=13, told=f"{self._yearly}, {unit}"
        )

    def _draw_steps(self, found: SavingsSum) -> None:
        drawn = words.steps_of(found, self._shown, self.desk.units)
        told = "; ".join(f"{step.name} {step.change_text}" for step in drawn.steps)
        self.steps.set_drawing(
            lambda canvas: draw_line_up_steps(
                canvas, drawn.start, drawn.start_text, drawn.steps, drawn.end_text
            ),
            lines=height_in_lines(drawn.steps),
            told=told,
        )
