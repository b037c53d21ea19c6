"""Do strips run?: what the electric meter's hours say of resistance heat."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.month_bars import MonthSeries, draw_bars
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.strip_heat import (
    COLD_BELOW_F,
    StripAnswer,
    StripHeat,
    StripHeatService,
    StripSign,
    nearest_element_kw,
)
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, count_text, show

MAY_ELSE_BE = (
    "An indication, no proof. The same signs come from a car charged or water heated by an element on cold "
    "mornings, a dryer, portable heaters, or defrosting. Strips that heat in every weather show no bend: "
    "then only the use itself is too high. To be sure, let the installer read the current of the strips' "
    "circuit, the lockout temperature and the settings of the thermostat."
)


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
        self.basis.setText(f"{MAY_ELSE_BE} Outdoor temperatures: {found.weather}.")
        self._draw(sign)

    def _draw(self, sign: StripSign) -> None:
        units = self._desk.units
        groups = [show(_celsius(one.from_f), Dimension.TEMPERATURE, units, decimals=0) for one in sign.bins]
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
    since = f" since {day_text(found.since)}" if found.since is not None else ""
    nights = f"{count_text(sign.days, 'night')} of heating{since}"
    why = f"{found.meter}, {nights}. {_slope(sign, units)} {_steps(sign, units)}"
    beyond = f"{sign.beyond_kwh:,.0f} kWh in the nights" if sign.beyond_kwh >= 1 and sign.is_steep else ""
    title = f"{found.machine}: {sign.answer}"
    return StackedLine(title, why, beyond, needs_owner=sign.answer is not StripAnswer.NO_SIGN)


def _slope(sign: StripSign, units: Units) -> str:
    if not sign.is_knee_sure or sign.knee_f is None:
        return "The load grows evenly with the cold, as a heat pump's does."
    knee = show(_celsius(sign.knee_f), Dimension.TEMPERATURE, units, decimals=0)
    verdict = "which a heat pump alone does not do" if sign.is_steep else "which a weak heat pump does too"
    return f"Below {knee} the load grows {sign.slope_ratio:.1f} times as fast as a heat pump's, {verdict}."


def _steps(sign: StripSign, units: Units) -> str:
    cold = show(_celsius(COLD_BELOW_F), Dimension.TEMPERATURE, units, decimals=0)
    counted = (
        f"{sign.cold_step_days} of {sign.cold_days} mornings below {cold}, "
        f"{sign.mild_step_days} of {sign.mild_days} mild ones"
    )
    if sign.step_kw is None:
        return f"No morning has a step of an element's size ({counted})."
    size = nearest_element_kw(sign.step_kw)
    return f"Steps of about {sign.step_kw:.1f} kW (elements come as {size:g} kW) on {counted}."


def _celsius(temp_f: float) -> float:
    return (temp_f - 32.0) / 1.8
