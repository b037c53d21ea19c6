"""What a meter's readings by the hour hold: their summary, and the mean day."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.month_bars import MonthSeries, draw_bars
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.meter_readings import MeterReadingsService, ReadingsSheet
from retrofit_desk.values.errors import DeskError

NOTHING = (
    "None are kept for this meter. Utilities give out the use of each hour or quarter hour as a table (CSV) "
    "or in their open exchange form (XML); read such a file in above."
)
HOURS = tuple(str(hour) for hour in range(24))


class ReadingsPart(QWidget):
    """Under the bills of a meter."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._service = desk.service(MeterReadingsService)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(SectionHeading("Readings by the hour", "the mean day, hours of standard time"))
        self.about = QLabel()
        self.about.setWordWrap(True)
        self.files = soft_label()
        self.picture = Picture(lambda: desk.theme, "Use by hour of the day")
        for part in (self.about, self.picture, self.files):
            column.addWidget(part)

    def show_meter(self, meter_id: int | None) -> None:
        """Show what is kept for a meter, or why it cannot be shown."""
        sheet: ReadingsSheet | None = None
        try:
            sheet = self._service.sheet(meter_id) if meter_id is not None else None
            told = NOTHING if sheet is None else "\n".join(f"{line}." for line in sheet.summary.lines())
        except DeskError as error:
            told = error.line()
        self.about.setText(told)
        self.setVisible(meter_id is not None)
        self.picture.setVisible(sheet is not None)
        self.files.setVisible(sheet is not None)
        if sheet is not None:
            self._draw(sheet)
            self.files.setText(f"From {', '.join(sheet.files)}, filed under Papers & photos.")

    def _draw(self, sheet: ReadingsSheet) -> None:
        series = [MonthSeries(one.name, one.values) for one in sheet.days]
        unit = f"{sheet.summary.unit} in the hour"
        self.picture.set_drawing(
            lambda canvas: draw_bars(canvas, HOURS, series, unit),
            lines=12.0,
            columns=60.0,
            told="; ".join(_told(one) for one in series),
        )


def _told(one: MonthSeries) -> str:
    known = [(value, hour) for hour, value in enumerate(one.values) if value is not None]
    if not known:
        return f"{one.name}: nothing read"
    most, hour = max(known)
    return f"{one.name}: most from {hour} o'clock, {most:,.2f}"
