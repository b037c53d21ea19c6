"""The working days at this house: no weekends, no public holidays, none of the owner's days off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_in
from retrofit_desk.rules.days_off import Holiday, kept_days
from retrofit_desk.rules.schedule import WorkCalendar
from retrofit_desk.services.days import today_of
from retrofit_desk.values.dates import day_text, weekday_text
from retrofit_desk.values.errors import DeskError

YEARS_BACK, YEARS_AHEAD = 2, 8
LONGEST_DAYS = 366


class DaysUnclear(DeskError):
    """A period of days off that cannot be recorded as it stands."""


@dataclass(frozen=True)
class DaysOff:
    """Days on which nobody works here, from `first` through `last`."""

    first: date
    last: date
    what: str = ""

    @property
    def sentence(self) -> str:
        days = day_text(self.first) if self.first == self.last else _span(self.first, self.last)
        return f"{days}: {self.what}" if self.what else days


@dataclass(frozen=True)
class DaysOffView:
    """The owner's own days off, and the public holidays of the year ahead in words."""

    own: tuple[DaysOff, ...]
    holidays: tuple[str, ...]


class DaysOffService:
    """Public holidays come from a table; the owner adds the days on which nobody works here."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)

    def view(self) -> DaysOffView:
        with self._project.session() as session:
            today = today_of(session)
            coming = [
                f"{weekday_text(day)}: {one.name}{', offices only' if one.only_offices else ''}"
                for day, one in kept_days(_holidays(session), today.year, today.year + 1).items()
                if today <= day <= today + timedelta(days=LONGEST_DAYS)
            ]
            return DaysOffView(_own(session), tuple(coming))

    def keep(self, periods: tuple[DaysOff, ...]) -> None:
        """These are the days off from now on, in one step. Raises `DaysUnclear`."""
        for one in periods:
            days = (one.last - one.first).days
            if days < 0:
                raise DaysUnclear("they end before they begin", where=one.what or day_text(one.first))
            if days > LONGEST_DAYS:
                raise DaysUnclear("more than a year off", where=one.sentence, do="check the year")
        with self._project.action("Set the days off") as work:
            for row in work.session.scalars(select(m.DayOff)):
                work.session.delete(row)
            work.session.add_all(
                m.DayOff(first_on=one.first, last_on=one.last, what=one.what) for one in periods
            )


def calendar_in(session: Session) -> WorkCalendar:
    """The days that count for work and for the visits of an office, some years around today."""
    year = today_of(session).year
    kept = kept_days(_holidays(session), year - YEARS_BACK, year + YEARS_AHEAD)
    own = {one.first + timedelta(days=at) for one in _own(session) for at in range(_length(one))}
    return WorkCalendar(
        days_off=frozenset(own | {day for day, one in kept.items() if not one.only_offices}),
        offices_off=frozenset(day for day, one in kept.items() if one.only_offices),
    )


def _holidays(session: Session) -> tuple[Holiday, ...]:
    return tables_in(session).holidays


def _own(session: Session) -> tuple[DaysOff, ...]:
    rows = session.execute(select(m.DayOff.first_on, m.DayOff.last_on, m.DayOff.what))
    return tuple(sorted((DaysOff(*row) for row in rows), key=lambda one: (one.first, one.last)))


def _length(one: DaysOff) -> int:
    return (one.last - one.first).days + 1


def _span(first: date, last: date) -> str:
    return f"{day_text(first)} to {day_text(last)}"
