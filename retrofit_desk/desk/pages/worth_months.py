"""The months on the Worth page: fuel, electricity and bills, before and with all measures."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.pages.worth_words import Yearly
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.month_bars import draw_month_bars
from retrofit_desk.desk.widgets.choices import ChoiceRow
from retrofit_desk.desk.widgets.text import SectionHeading
from retrofit_desk.services.worth import SavingsSum


class MonthsSection(QWidget):
    """Twelve months twice, in one figure of the owner's choice."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._found: SavingsSum | None = None
        self._yearly = Yearly.FUEL
        self.picture = Picture(lambda: desk.theme, "Before and after, month by month")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(SectionHeading("Before and after, month by month"))
        column.addWidget(ChoiceRow(list(Yearly), self._yearly, self.choose))
        column.addWidget(self.picture)

    def choose(self, what: Yearly) -> None:
        """What is compared month by month."""
        self._yearly = what
        if self._found is not None:
            self.show_sum(self._found)

    def show_sum(self, found: SavingsSum) -> None:
        self._found = found
        series, unit = words.month_series(found, self._yearly, self._desk.units)
        self.picture.set_drawing(
            lambda canvas: draw_month_bars(canvas, series, unit), lines=13, told=f"{self._yearly}, {unit}"
        )
