"""Public holidays of a year from their rules, and which of them stop trades as well as offices."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

_DAY = timedelta(days=1)
SATURDAY, SUNDAY = 5, 6


@dataclass(frozen=True)
class Holiday:
    """A day of every year: `day` of `month`, or its `nth` `weekday` (0 = Monday; nth -1: the last one)."""

    name: str
    month: int
    day: int | None = None
    weekday: int | None = None
    nth: int = 1
    only_offices: bool = False
    """Trades work on it, offices do not."""

    def __post_init__(self) -> None:
        if (self.day is None) == (self.weekday is None):
            raise ValueError(f"{self.name}: give the day of the month, or a weekday")

    def in_year(self, year: int) -> date:
        """The day on which it is kept (5 U.S.C. 6103(b)): a Saturday's on Friday, a Sunday's on Monday."""
        day = self.named_in(year)
        return day if self.day is None else day + {SATURDAY: -_DAY, SUNDAY: _DAY}.get(day.weekday(), 0 * _DAY)

    def named_in(self, year: int) -> date:
        """The day the law names, also where it is kept on another."""
        if self.day is not None:
            return date(year, self.month, self.day)
        assert self.weekday is not None
        if self.nth < 0:
            last = date(year + self.month // 12, self.month % 12 + 1, 1) - _DAY
            return last - (last.weekday() - self.weekday) % 7 * _DAY + (self.nth + 1) * 7 * _DAY
        first = date(year, self.month, 1)
        return first + (self.weekday - first.weekday()) % 7 * _DAY + (self.nth - 1) * 7 * _DAY


def kept_days(holidays: Iterable[Holiday], first_year: int, last_year: int) -> dict[date, Holiday]:
    """Every day kept in these years, also where next year's first day falls on a Saturday."""
    found = {
        one.in_year(year): one
        for one in holidays
        for year in range(first_year, last_year + 2)  # New Year's Day may be kept on December 31
    }
    return {day: one for day, one in sorted(found.items()) if first_year <= day.year <= last_year}
