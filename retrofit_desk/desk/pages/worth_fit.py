"""Does the model meet the bills?: measured against the model, and what the bills tell about the house."""

from __future__ import annotations

from enum import StrEnum

from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages.worth_pane import column_of
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.month_bars import MonthSeries, draw_month_bars
from retrofit_desk.desk.widgets.choices import Views
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.out_of_date import OutOfDate
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services import bills_fit_words as words
from retrofit_desk.services.bills_fit import BillsFitService, FittedTrait, FitToBills, FuelFit, year_of_bills
from retrofit_desk.values.quantity import Units, in_unit, unit_word
from retrofit_desk.values.units import fuel_dimension

NOT_YET = (
    "The model was not held against the house's own bills yet. "
    "It takes less than a minute; the window stays free meanwhile."
)
BUTTON = "Fit to the bills"


class FitView(StrEnum):
    """What is seen of the fit at a time."""

    METERS = "against the meters"
    TRAITS = "what the bills tell"
    MONTHS = "month by month"


class FitSection(QWidget):
    """The newest fit to the bills, and a button for a new one."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._service = desk, desk.service(BillsFitService)
        self.pictures: list[Picture] = []
        heading = SectionHeading("Does the model meet the bills?")
        self.button = QPushButton(BUTTON)
        self.button.clicked.connect(self.start)
        heading.row.addWidget(self.button)
        self.headline = QLabel()
        self.headline.setWordWrap(True)
        self.made = soft_label()
        self.stale = OutOfDate(desk, "fit", "Fit again", self.start)
        self.meters = StackedList(desk, "Meters against the model", "")
        self.traits = StackedList(desk, "What the bills tell about the house", "Nothing could be varied.")
        self.poor = StackedList(desk, "What the bills lack", "")
        self._found = QWidget()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for part in (heading, self.headline, self.made, self.stale, self._found):
            column.addWidget(part)
        self._build_found()

    def refresh(self) -> None:
        """Show the kept fit, and what was changed since."""
        found = self._service.latest()
        for part in (self.made, self._found):
            part.setVisible(found is not None)
        self.button.setVisible(not self._desk.project.is_read_only)
        if found is None:
            self.headline.setText(NOT_YET)
            return
        self.headline.setText(words.headline(found))
        self.made.setText(words.basis(found))
        self.stale.tell(self._service.changed_since(self._desk.units))
        self._show(found)

    def start(self) -> None:
        """Fit in the background; cancel keeps what was there."""
        self.button.setEnabled(False)

        def done(_found: FitToBills) -> None:
            self._desk.notices.tell("The model is fitted to the bills.")
            self.refresh()

        job = self._desk.jobs.start("Fitting the model to the bills", self._service.fit, done)
        job.ended.connect(lambda: self.button.setEnabled(True))

    def _build_found(self) -> None:
        months = QWidget()
        self._pictures_column = QVBoxLayout(months)
        self._pictures_column.setContentsMargins(0, 0, 0, 0)
        against = soft_label("Against what is described; how sure that was before the bills, and is since.")
        self.views = Views(
            (
                (FitView.METERS, column_of(self.meters, self.poor)),
                (FitView.TRAITS, column_of(against, self.traits)),
                (FitView.MONTHS, months),
            )
        )
        column = QVBoxLayout(self._found)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.views)

    def _show(self, found: FitToBills) -> None:
        self.meters.set_lines([_meter_line(fuel) for fuel in found.fuels])
        self._draw(found)
        self.traits.set_lines([self._trait_line(found, trait) for trait in found.traits])
        self.poor.set_lines([StackedLine("Not used.", one) for one in found.poor])
        self.poor.setVisible(bool(found.poor))

    def _draw(self, found: FitToBills) -> None:
        while (item := self._pictures_column.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.pictures = [self._picture(fuel) for fuel in found.fuels]
        for fuel, picture in zip(found.fuels, self.pictures, strict=True):
            self._pictures_column.addWidget(QLabel(f"{fuel.name}, month by month"))
            self._pictures_column.addWidget(picture)

    def _picture(self, fuel: FuelFit) -> Picture:
        desk = self._desk
        picture = Picture(lambda: desk.theme, f"{fuel.name}: bills and model, month by month")
        series, unit = month_series(fuel, desk.units)
        picture.set_drawing(
            lambda canvas: draw_month_bars(canvas, series, unit),
            lines=12,
            columns=60,
            told=f"{fuel.name}: {words.errors_text(fuel.fitted)}",
        )
        return picture

    def _trait_line(self, found: FitToBills, trait: FittedTrait) -> StackedLine:
        units = self._desk.units
        why = words.trait_why(found, trait, units)
        return StackedLine(words.trait_title(trait), why, words.trait_change(trait, units))


def _meter_line(fuel: FuelFit) -> StackedLine:
    is_met = fuel.fitted.is_within_limits
    return StackedLine(
        f"{fuel.name}: {'meets the limits' if is_met else 'misses the limits'}",
        words.meter_why(fuel),
        words.errors_text(fuel.fitted),
        needs_owner=not is_met,
    )


def month_series(fuel: FuelFit, units: Units) -> tuple[tuple[MonthSeries, ...], str]:
    """Bills, model as described, model fitted; and the unit."""
    year, burned, dimension = year_of_bills(fuel), fuel.fuel != "electricity", fuel_dimension([fuel.fuel])

    def shown(months: tuple[float | None, ...]) -> tuple[float | None, ...]:
        if not burned:
            return months
        return tuple(None if kwh is None else in_unit(kwh, dimension, units) for kwh in months)

    series = (
        MonthSeries("billed", shown(year.measured)),
        MonthSeries("model as described", shown(year.described)),
        MonthSeries("model as fitted", shown(year.fitted)),
    )
    return series, unit_word(dimension, units) if burned else "kWh"
