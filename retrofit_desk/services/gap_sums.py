"""The cold of a gap and the heat that would carry the house through it."""

from __future__ import annotations

from datetime import date, timedelta

from sqlalchemy.orm import Session

from retrofit_desk.physics.weather import DAYS_IN_MONTH, MONTH_OF_HOUR
from retrofit_desk.records.project import Project
from retrofit_desk.rules.gaps import Span
from retrofit_desk.services.house import HouseService
from retrofit_desk.services.weather import weather_in_use
from retrofit_desk.values.errors import CannotSay

INDOORS_C = 20.0


class GapSums:
    """Looks at the weather in use. Raises `CannotSay` when none is chosen."""

    def __init__(self, project: Project, session: Session) -> None:
        self._project = project
        self._temp_c = weather_in_use(project, session).temp_c

    def monthly_means_c(self) -> list[float]:
        """Mean outdoor temperature of the twelve months."""
        return [float(self._temp_c[month == MONTH_OF_HOUR].mean()) for month in range(12)]

    def coldest_c(self, span: Span) -> float:
        """The coldest hour of these days in the weather in use."""
        starts = (_first_hour(span.first + timedelta(days=at)) for at in range(min(span.days, 365)))
        return min(float(self._temp_c[start : start + 24].min()) for start in starts)

    def heat_needed_w(self, outside_c: float) -> float | None:
        """The design load of the house as described, in proportion to the cold; none: cannot say."""
        try:
            load = HouseService(self._project).load()
        except CannotSay:
            return None
        return load.heating_w * (INDOORS_C - outside_c) / (INDOORS_C - load.outside_c)


def _first_hour(day: date) -> int:
    """In a year without a leap day; February 29 looks at the day before."""
    of_month = min(day.day, DAYS_IN_MONTH[day.month - 1])
    return (sum(DAYS_IN_MONTH[: day.month - 1]) + of_month - 1) * 24
