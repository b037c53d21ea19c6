"""Do strips run?: what the electric meter's hours say of resistance heat."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.month_bars import MonthSeries, draw_bars
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services import strip_heat_words as words
from retrofit_desk.services.strip_heat import StripAnswer, StripHeat, StripHeatService, StripSign
from retrofit_desk.values.quantity import Units, count_text


class StripsSection(QWidget):
    """One line, what it rests on, and a picture of the nights."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._service = desk, desk.service(StripHeatService)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(SectionHeading("Do strips run?", "from the electric meter's hours"))
        self.answer = StackedList(desk, "Strips", "")
        self.picture = Picture(lambda: desk.theme, "Use in the night by outdoor temperature")
        self.basis = soft_label()
        for part in (self.answer, self.picture, self.basis):
            column.addWidget(part)

    def refresh(self) -> None:
        """Look at the readings anew."""
        found = self._service.look()
        sign = found.sign
        self.picture.setVisible(sign is not None)
        self.basis.setVisible(sign is not None)
        if sign is None:
            self.answer.set_lines([StackedLine("Cannot say.", found.why_not)])
            return
        self.answer.set_lines([answer_line(found, sign, self._desk.units)])
        self.basis.setText(words.basis(found))
        self._draw(sign)

    def _draw(self, sign: StripSign) -> None:
        units = self._desk.units
        groups = [words.band(one.from_f, units) for one in sign.bins]
        series = (
            MonthSeries("used from midnight to 5", tuple(one.used_kwh for one in sign.bins)),
            MonthSeries("what a heat pump alone would draw", tuple(one.pump_line_kwh for one in sign.bins)),
        )
        self.picture.set_drawing(
            lambda canvas: draw_bars(canvas, groups, series, "kWh a night, by the night's temperature from"),
            lines=11,
            columns=60,
            told=f"{count_text(len(sign.bins), 'band')} of temperature; {sign.answer}",
        )


def answer_line(found: StripHeat, sign: StripSign, units: Units) -> StackedLine:
    """The answer with its reasons, and what the nights took beyond a heat pump's own fall."""
    return StackedLine(
        words.title(found, sign),
        words.why(found, sign, units),
        words.beyond(sign),
        needs_owner=sign.answer is not StripAnswer.NO_SIGN,
    )
