"""A year of At hand, month by month, to hang on the wall: one printed page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from sqlalchemy.orm import Session

from retrofit_desk.exchange.year_page import YearMonth, write_year_page
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_in
from retrofit_desk.services.dated_steps import ScheduleView, dated_steps
from retrofit_desk.services.days import today_of
from retrofit_desk.services.endings import endings_in
from retrofit_desk.services.holds import HoldView, holds_in
from retrofit_desk.services.kept import KeptService
from retrofit_desk.services.waits import waits_in
from retrofit_desk.values.dates import MONTHS, day_of_year_text, day_text

YEAR_DAYS = 365
REMARK = (
    "Planned days follow from the record as it stood that day; what is booked or agreed is marked. "
    "The program warns, it never certifies."
)


@dataclass(frozen=True)
class YearLine:
    """One dated line. `is_fixed`: booked, agreed, or the last day of something."""

    on: date
    words: str
    is_fixed: bool


class AtHandYearService:
    """Reads only."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def lines(self) -> tuple[YearLine, ...]:
        """Everything with a day within a year, in its order. Raises `CircularPlan`."""
        with self._project.session() as session:
            today = today_of(session)
            holds = holds_in(session, today)
            return _lines(session, tables_in(session), today, holds)

    def write(self, path: Path) -> Path:
        """The page as PDF."""
        with self._project.session() as session:
            today = today_of(session)
        by_month: defaultdict[tuple[int, int], list[YearLine]] = defaultdict(list)
        for line in self.lines():
            by_month[line.on.year, line.on.month].append(line)
        months = [_month(today, number) for number in range(12)]
        title = f"{KeptService(self._project).name()}: a year from {day_text(today)}"
        return write_year_page(
            title,
            [
                YearMonth(
                    f"{MONTHS[first.month - 1]} {first.year}",
                    tuple(
                        (f"{one.on.day}", one.words, one.is_fixed)
                        for one in by_month[first.year, first.month]
                    ),
                )
                for first in months
            ],
            REMARK,
            path,
        )


def _lines(
    session: Session, tables: Tables, today: date, holds: tuple[HoldView, ...]
) -> tuple[YearLine, ...]:
    schedule = dated_steps(session, today, holds)
    last = today + timedelta(days=YEAR_DAYS)
    found = [*_steps(schedule), *_asks(session, tables, schedule)]
    for ending in endings_in(session, tables, today, within_days=YEAR_DAYS):
        found.append(YearLine(ending.seen.ending.ends_on, f"Runs out: {ending.seen.ending.what}", True))
    near = (line for line in found if today <= line.on <= last)
    return tuple(sorted(dict.fromkeys(near), key=lambda line: (line.on, line.words)))


def _steps(schedule: ScheduleView) -> Iterator[YearLine]:
    for step in schedule.open_steps:
        fixed = step.agreed_on is not None
        start = max(step.start, schedule.today)
        who = step.firm or step.with_whom
        by = f" ({who})" if who else ""
        if step.is_wait:
            yield YearLine(step.last_day, f"Comes, as planned: {step.title}{by}", False)
        else:
            until = f", until {day_of_year_text(step.last_day)}" if step.last_day > start else ""
            yield YearLine(start, f"{step.title}{by}{until}", fixed)


def _asks(session: Session, tables: Tables, schedule: ScheduleView) -> Iterator[YearLine]:
    for wait in waits_in(session, tables, schedule):
        yield YearLine(wait.ask_again_on, f"Ask {wait.with_whom}: {wait.what}", False)


def _month(today: date, number: int) -> date:
    """The first day of the month so many months on."""
    at = today.month - 1 + number
    return date(today.year + at // 12, at % 12 + 1, 1)
