"""Did it work?: each piece of work before the bills, with its months and its meters."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane
from retrofit_desk.desk.pages.worth_strips import StripsSection
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.month_bars import MonthSeries, draw_month_bars
from retrofit_desk.desk.widgets.choice_box import choice_box
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services import did_it_work_words as words
from retrofit_desk.services.did_it_work import JUDGED_BY, DidItWorkService, MeterAnswer, WorkAnswer
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import unit_of_many

METER_COLUMNS: tuple[Column[MeterAnswer], ...] = (
    Column("Meter", lambda one: one.name, is_strong=True),
    Column("Before", lambda one: words.periods_text(one.basis, one.periods_before, one.days_before)),
    Column("Since", lambda one: words.periods_text(one.basis, one.periods_after, one.days_after)),
    Column("As the house was", lambda one: words.metered(one, lambda saved: saved.predicted), is_number=True),
    Column("As metered", lambda one: words.metered(one, lambda saved: saved.measured), is_number=True),
    Column("Saved (90% range)", words.meter_saved, is_number=True),
    Column("Money saved, by the tariff", lambda one: words.money_saved(one.money_cents), is_number=True),
)


class DidItWork(WorthPane):
    """What the bills say about the work in service; the owner keeps the answer."""

    needs_sum = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._service = desk.service(DidItWorkService)
        self._works: tuple[WorkAnswer, ...] = ()
        self._chosen, self._meter = 0, 0
        self.weather = soft_label()
        self.answers = StackedList(desk, "What the bills say", words.NOTHING)
        self._detail = QWidget()
        self._build_detail()
        self.strips = StripsSection(desk)
        self.add(
            SectionHeading(
                "Did it work?", "bills or daily readings before and since, with the weather taken out"
            ),
            self.answers,
            self.weather,
            self._detail,
            self.strips,
        )

    def _build_detail(self) -> None:
        column = QVBoxLayout(self._detail)
        column.setContentsMargins(0, 0, 0, 0)
        self.work = choice_box(())
        self.work.setAccessibleName("Work shown below")
        self.work.activated.connect(self._choose_work)
        row = QHBoxLayout()
        row.addWidget(self.work, 1)
        self._meters_row = QHBoxLayout()
        self._meters = QButtonGroup(self)
        row.addLayout(self._meters_row)
        row.addStretch(1)
        column.addLayout(row)
        desk = self.desk
        self.months = Picture(lambda: desk.theme, "Use before and since, month by month")
        column.addWidget(self.months)
        self.table: RecordTable[MeterAnswer] = RecordTable(desk, "Meters", METER_COLUMNS, filters=False)
        column.addWidget(self.table)
        self.grounds, self.rule = soft_label(), soft_label(JUDGED_BY)
        column.addWidget(self.grounds)
        column.addWidget(self.rule)

    def fill(self, look: WorthLook) -> None:
        """Ask the bills and the readings anew."""
        self.strips.refresh()
        try:
            self._works = self._service.works()
        except DeskError as error:
            self._works = ()
            self.answers.set_lines([StackedLine("Cannot be asked.", error.line(), needs_owner=True)])
        else:
            self.answers.set_lines([self._line(one) for one in self._works])
        self.weather.setVisible(bool(self._works))
        self._detail.setVisible(bool(self._works))
        if self._works:
            self.weather.setText(words.bills_weather(self._works[0].weather))
            self._chosen = min(self._chosen, len(self._works) - 1)
            self.work.clear()
            self.work.addItems([one.title for one in self._works])
            self._choose_work(self._chosen)

    def keep(self, work: WorkAnswer) -> None:
        """Keep the answer with its measures, as one step."""
        with self.desk.notices.caught():
            answer = self._service.keep([one.id for one in work.measures])
            self.desk.notices.tell(f"Kept: {words.answer_word(answer)}.")

    def _line(self, work: WorkAnswer) -> StackedLine:
        button = LineButton("Keep this answer", partial(self.keep, work))
        return StackedLine(
            f"{work.title}: {words.answer_word(work.answer)}",
            words.work_why(work),
            words.work_saved(work),
            needs_owner=words.waits_for_owner(work),
            buttons=() if work.is_kept or self.desk.project.is_read_only else (button,),
        )

    def _choose_work(self, number: int) -> None:
        self._chosen = number
        self.work.setCurrentIndex(number)
        shown = self._works[number]
        self._meter = min(self._meter, max(len(shown.meters) - 1, 0))
        self._show_meter_buttons(shown)
        self.table.set_rows(shown.meters)
        self.table.show_all_rows()
        self.grounds.setText(words.grounds(shown))
        self._draw()

    def _show_meter_buttons(self, shown: WorkAnswer) -> None:
        for button in self._meters.buttons():
            self._meters.removeButton(button)
            button.hide()
            button.deleteLater()
        for number, meter in enumerate(shown.meters):
            button = QToolButton()
            button.setText(meter.name)
            button.setCheckable(True)
            button.setChecked(number == self._meter)
            button.setAutoRaise(True)
            button.clicked.connect(lambda _checked=False, number=number: self._choose_meter(number))
            self._meters.addButton(button)
            self._meters_row.addWidget(button)

    def _choose_meter(self, number: int) -> None:
        self._meter = number
        self._draw()

    def _draw(self) -> None:
        meters = self._works[self._chosen].meters
        self.months.setVisible(bool(meters))
        if not meters:
            return
        meter = meters[self._meter]
        series = [
            MonthSeries("before", meter.before),
            MonthSeries("as the house was, in the weather since", meter.as_it_was),
            MonthSeries("since", meter.after),
        ]
        told = f"{meter.name}: {words.meter_saved(meter)}"
        self.months.set_drawing(
            lambda canvas: draw_month_bars(canvas, series, unit_of_many(meter.unit)),
            lines=13,
            columns=60,
            told=told,
        )
