"""When an office can come: the call, its last hour, the days and parts of the day it gives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from retrofit_desk.rules.schedule import WorkCalendar
from retrofit_desk.values.dates import WEEKDAYS, day_text, weekday
from retrofit_desk.values.typed_time import clock_text

_DAY = timedelta(days=1)


@dataclass(frozen=True)
class BookingRule:
    """How one office gives its visits. `lead_days`: its working days from the call to the visit.

    `call_by`: by the clock at the house; a later call counts as made on the next working day.
    `weekdays`: on which it comes (0 = Monday). `slots`: parts of the day it offers. `words`: the rest.
    """

    lead_days: int
    call_by: time | None = None
    weekdays: frozenset[int] = frozenset(range(5))
    slots: tuple[str, ...] = ()
    words: str = ""

    def __post_init__(self) -> None:
        if self.lead_days < 0:
            raise ValueError("an office cannot come before it is called")
        if not self.weekdays <= frozenset(range(7)) or not self.weekdays:
            raise ValueError("an office comes on at least one weekday")

    def comes_on(self, day: date, office: WorkCalendar) -> bool:
        """Whether it comes on that day at all."""
        return day.weekday() in self.weekdays and office.is_open(day)

    def earliest(self, called_at: datetime, office: WorkCalendar) -> date:
        """The first day it can come when called at that moment (the clock at the house)."""
        called = office.next_open(called_at.date())
        if called == called_at.date() and self.call_by is not None and called_at.time() > self.call_by:
            called = office.next_open(called + _DAY)
        return self._comes_from(called, office)

    def sentence(self) -> str:
        """The parts of the day are those of the visit, the hour after them the last one to call.

        `Visits Monday to Friday, 8 to 10 or 1 to 4. To book, call by 3 p.m. the working day before.`
        """
        parts = f", {' or '.join(self.slots)}" if self.slots else ""
        by = f" by {clock_text(self.call_by)}" if self.call_by is not None else ""
        before = {0: "the same day", 1: "the working day before"}.get(
            self.lead_days, f"{self.lead_days} working days before"
        )
        words = f" {self.words}" if self.words else ""
        return f"Visits {_weekdays_text(self.weekdays)}{parts}. To book, call{by} {before}.{words}"

    def does_not_fit(self, visit: date, called_at: datetime, office: WorkCalendar) -> str:
        """Why a day is not one this office usually gives; empty when it is."""
        if not self.comes_on(visit, office):
            return f"{weekday(visit)}, {day_text(visit)} is not a day on which it usually comes."
        first = self.earliest(called_at, office)
        return f"Called now, it usually comes on {day_text(first)} at the earliest." if visit < first else ""

    def _comes_from(self, called: date, office: WorkCalendar) -> date:
        day = office.forward(called + _DAY, self.lead_days) - _DAY if self.lead_days else called
        while not self.comes_on(day, office):
            day += _DAY
        return day


def _weekdays_text(weekdays: frozenset[int]) -> str:
    days = sorted(weekdays)
    if len(days) > 2 and days == list(range(days[0], days[-1] + 1)):
        return f"{WEEKDAYS[days[0]]} to {WEEKDAYS[days[-1]]}"
    names = [WEEKDAYS[day] for day in days]
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)
