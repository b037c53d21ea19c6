"""Meters and bills: two years month by month, and every bill."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QFileDialog, QHBoxLayout, QLabel

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.account_form import AccountDialog
from retrofit_desk.desk.dialogs.read_in import read_in_file
from retrofit_desk.desk.pages.house_readings import ReadingsPart
from retrofit_desk.desk.pages.house_text import certainty_line
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.month_bars import MonthSeries, draw_month_bars
from retrofit_desk.desk.widgets.button_row import ButtonRow, Press
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.account_closing import AccountClosingService, AccountEnd
from retrofit_desk.services.account_entry import AccountEntryService
from retrofit_desk.services.bill_entry import BillEntryService
from retrofit_desk.services.meters import BillRow, MeterService, MeterSheet
from retrofit_desk.services.modeled_use import ModeledUseService, ModeledYear
from retrofit_desk.services.tariff_entry import TariffEntryService
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import billed_text, count_text

FILES = "Tables and exchange files (*.csv *.txt *.xml)"


class MetersPane(ScrollPane):
    """One meter at a time, as billed."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._meters: tuple[MeterSheet, ...] = ()
        self._model: ModeledYear | None = None
        self._meter_id: int | None = None
        column = self.column
        self.meter = QComboBox()
        self.meter.setAccessibleName("Meter")
        self.meter.activated.connect(lambda index: self.choose(self._meters[index].id))
        label = QLabel("Meter")
        label.setBuddy(self.meter)
        row = QHBoxLayout()
        row.addWidget(label)
        row.addWidget(self.meter, 1)
        row.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self._about = soft_label()
        self.picture = Picture(lambda: desk.theme, "Use by month")
        self.bills = RecordTable[BillRow](desk, "Bills", bill_columns(""))
        self.bills.setMinimumHeight(self.fontMetrics().lineSpacing() * 14)
        column.addLayout(row)
        column.addWidget(self._about)
        self._buttons = ButtonRow()
        column.addWidget(self._buttons)
        column.addWidget(self.picture)
        self.bills.opened.connect(lambda row: self.change_bill(row.id))
        self.bills.chosen.connect(lambda row: self._bill_buttons(row is not None))
        self._bill_row = ButtonRow()
        column.addWidget(self._bill_row)
        column.addWidget(self.bills, 1)
        self.readings = ReadingsPart(desk)
        column.addWidget(self.readings)

    def refresh(self) -> None:
        self._meters = self._desk.service(MeterService).meters()
        self._model = self._desk.service(ModeledUseService).year()
        self.meter.clear()
        self.meter.addItems([f"{one.name}, {one.utility or one.fuel}" for one in self._meters])
        self.choose(self._meter_id)

    def choose(self, meter_id: int | None) -> None:
        """The meter called for, else the first one."""
        sheet = next((one for one in self._meters if one.id == meter_id), next(iter(self._meters), None))
        self._meter_id = sheet.id if sheet is not None else None
        self.picture.setVisible(sheet is not None and bool(sheet.years or self._model))
        if sheet is None:
            self._about.setText("No meter is recorded yet. Describe a new house, or read bills in.")
            self.bills.set_rows(())
            self._buttons.set_buttons(())
            self._bill_row.set_buttons(())
            self.readings.show_meter(None)
            return
        self.meter.setCurrentIndex(self._meters.index(sheet))
        self._about.setText(" ".join((_about(sheet), _about_model(self._model))))
        self._buttons.set_buttons(self._account_buttons(sheet.id))
        series = [MonthSeries(year.name, year.values) for year in sheet.years]
        modeled = self._model.of(sheet.id) if self._model is not None else None
        if modeled is not None:
            series.append(MonthSeries("model", modeled))
        told = "; ".join(_told(one, sheet) for one in series)
        self.picture.set_drawing(
            lambda canvas: draw_month_bars(canvas, series, str(sheet.unit)),
            lines=13.0,
            columns=60.0,
            told=told,
        )
        self.bills.set_rows(sheet.bills, bill_columns(str(sheet.unit)))
        self._bill_buttons(self.bills.selected() is not None)
        self.readings.show_meter(sheet.id)

    def ask_for_file(self) -> None:
        """Ask for a file of bills, readings, daily temperatures or a log, show what it holds, and keep it."""
        path, _ = QFileDialog.getOpenFileName(self, "Read in bills, readings or a log", filter=FILES)
        if path:
            self.read_in_file(Path(path))

    def read_in_file(self, path: Path) -> None:
        """Bills or readings that do not name their meter are those of the meter shown."""
        shown = next((one.name for one in self._meters if one.id == self._meter_id), None)
        read_in_file(self._desk, self, path, shown)

    def _account_buttons(self, meter_id: int) -> list[Press]:
        account = self._desk.service(AccountEntryService).of_meter(meter_id)
        end = self._desk.service(AccountClosingService).of_meter(meter_id)
        buttons: list[Press] = []
        if account is not None:
            buttons.append(("Account …", lambda: AccountDialog(self._desk, self, account).exec()))
        buttons.append(("Tariff …", lambda: self.choose_tariff(meter_id)))
        if end is not None:
            buttons.append(("Close the account …", lambda: self._close(end)))
        return buttons

    def choose_tariff(self, meter_id: int) -> None:
        """Open the form of a meter's tariff; its tables are read only here."""
        from retrofit_desk.desk.dialogs.tariff_form import TariffDialog

        with self._desk.notices.caught():
            tariffs = self._desk.service(TariffEntryService).of_meter(meter_id)
            if tariffs is not None:
                TariffDialog(self._desk, self, tariffs).exec()

    def _bill_buttons(self, is_chosen: bool) -> None:
        if self._meter_id is None:
            return
        buttons: list[Press] = [("Enter a bill …", lambda: self.change_bill(None))]
        row = self.bills.selected()
        if is_chosen and row is not None:
            buttons.append(("Change the bill …", lambda: self.change_bill(row.id)))
            buttons.append(("Take the bill out", lambda: self.take_bill_out(row)))
        self._bill_row.set_buttons(buttons)

    def change_bill(self, bill_id: int | None) -> None:
        """Open the form of a bill of the meter shown, a new one where None."""
        from retrofit_desk.desk.dialogs.utility_bill import UtilityBillDialog

        meter = next((one for one in self._meters if one.id == self._meter_id), None)
        if meter is not None:
            UtilityBillDialog(self._desk, self, meter, bill_id).exec()

    def take_bill_out(self, row: BillRow) -> None:
        """Undo brings it back."""
        with self._desk.notices.caught():
            self._desk.service(BillEntryService).take_out(row.id)
            day = day_text(row.period_start)
            self._desk.notices.tell(f"The bill from {day} is taken out. Undo brings it back.")

    def _close(self, end: AccountEnd) -> None:
        from retrofit_desk.desk.dialogs.close_account import CloseAccountDialog

        if CloseAccountDialog(self._desk, self, end).exec():
            self._desk.notices.tell(f"The account with {end.utility} is closed. Undo takes it back.")


def bill_columns(unit: str) -> tuple[Column[BillRow], ...]:
    """Columns in the meter's own unit."""
    return (
        Column("From", lambda row: day_text(row.period_start), lambda row: row.period_start),
        Column("To", lambda row: day_text(row.period_end), lambda row: row.period_end),
        Column("Days", lambda row: str(row.days), lambda row: row.days, is_number=True),
        Column(f"Use, {unit}", _use, lambda row: row.quantity.value, is_number=True),
        Column(f"A day, {unit}", _per_day, lambda row: row.per_day, is_number=True),
        Column("Cost", _cost, lambda row: row.cost_cents.value, is_number=True),
        Column("Kind", lambda row: str(row.kind)),
    )


def _use(row: BillRow) -> str:
    return str(row.quantity.stated) if row.quantity.value is None else f"{row.quantity.value:,.1f}"


def _per_day(row: BillRow) -> str:
    return "cannot say" if row.per_day is None else f"{row.per_day:,.2f}"


def _cost(row: BillRow) -> str:
    return str(row.cost_cents.stated) if row.cost_cents.value is None else cents_text(row.cost_cents.value)


def _about(sheet: MeterSheet) -> str:
    parts = [
        f"{sheet.fuel.capitalize()}, meter {sheet.number}." if sheet.number else f"{sheet.fuel.capitalize()}."
    ]
    if sheet.case_numbers:
        parts.append(f"Case with {sheet.utility}: {sheet.case_numbers}.")
    if sheet.closed_on is not None:
        parts.append(f"Account closed {day_text(sheet.closed_on)}.")
    if sheet.tariff:
        parts.append(f"Billed by {sheet.tariff}: {sheet.tariff_source}.")
    if sheet.last_year is not None:
        year = sheet.last_year
        cost = cents_text(year.cost_cents)
        used = billed_text(year.quantity, sheet.unit)
        parts.append(f"The bills of the last {count_text(year.days, 'day')}: {used} for {cost}.")
    known = certainty_line(sheet.sources)
    return " ".join([*parts, known]) if known else " ".join(parts)


def _about_model(model: ModeledYear | None) -> str:
    if model is None:
        return "The model's use stands beside the bills once a savings sum is worked out on the Worth page."
    old = " and out of date" if model.is_out_of_date else ""
    return (
        f"Model: before any measure, in a typical year ({model.weather}), worked out "
        f"{day_text(model.made_on)}{old}. {model.house}"
    )


def _told(one: MonthSeries, sheet: MeterSheet) -> str:
    known = [value for value in one.values if value is not None]
    return f"{one.name}: {billed_text(sum(known), sheet.unit)} in {count_text(len(known), 'month')}"
