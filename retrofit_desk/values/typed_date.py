"""Dates as the owner types them."""

from __future__ import annotations

import re
from datetime import date, timedelta

from retrofit_desk.values.errors import DeskError

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_ISO = re.compile(r"^(\d{4})-(\d{1,2})-(\d{1,2})$")
_NUMBERS = re.compile(r"^(\d{1,2})[/.-](\d{1,2})(?:[/.-](\d{4}|\d{2}))?$")
_MONTH_FIRST = re.compile(r"^([a-z]{3,9})\.?\s+(\d{1,2})(?:st|nd|rd|th)?(?:,?\s+(\d{4}))?$")
_DAY_FIRST = re.compile(r"^(\d{1,2})\.?\s+([a-z]{3,9})\.?(?:,?\s+(\d{4}))?$")
_STEP = re.compile(r"^([+-]|in\s+)\s*(\d+)\s*(d|days?|w|weeks?)?$")
_WEEKDAY = re.compile(r"^(?:next\s+)?([a-z]{3,9})$")


class NotADate(DeskError):
    """The text typed is no date of the calendar."""


def parse_date(text: str, today: date, *, where: str = "", kept: str = "") -> date:
    """Read `3/14/2026`, `2026-03-14`, `Mar 14`, `14 mar 2026`, `today`, `+10`, `in 2 weeks`, `friday`.

    Numbers are month first, as is the custom in the United States. A date without its year is the nearest one
    to `today`; a weekday is the next one after it. Raises `NotADate`.
    """
    clean = " ".join(text.strip().lower().split())
    found = _in_words(clean, today) or _in_numbers(clean, today)
    if found is None:
        held = f"the field kept '{kept}'" if kept else ""
        raise NotADate(
            f"'{text.strip()}': not a date", where=where, kept=held, do="type e.g. Mar 14, 2026 or 3/14/2026"
        )
    return found


def _in_words(clean: str, today: date) -> date | None:
    steps = {"today": 0, "tomorrow": 1, "yesterday": -1}
    if clean in steps:
        return today + timedelta(days=steps[clean])
    step = _STEP.match(clean)
    if step and int(step[2]) < 10_000:
        days = int(step[2]) * (7 if (step[3] or "d").startswith("w") else 1)
        return today + timedelta(days=-days if step[1] == "-" else days)
    weekday = _WEEKDAY.match(clean)
    if weekday and weekday[1][:3] in _WEEKDAYS and f"{weekday[1]}".endswith(("day", weekday[1][:3])):
        ahead = (_WEEKDAYS.index(weekday[1][:3]) - today.weekday() - 1) % 7 + 1
        return today + timedelta(days=ahead)
    return None


def _in_numbers(clean: str, today: date) -> date | None:
    if iso := _ISO.match(clean):
        return _real(int(iso[1]), int(iso[2]), int(iso[3]))
    if numbers := _NUMBERS.match(clean):
        return _dated(numbers[1], numbers[2], numbers[3], today)
    if (named := _MONTH_FIRST.match(clean)) and named[1][:3] in _MONTHS:
        return _dated(str(_MONTHS.index(named[1][:3]) + 1), named[2], named[3], today)
    if (named := _DAY_FIRST.match(clean)) and named[2][:3] in _MONTHS:
        return _dated(str(_MONTHS.index(named[2][:3]) + 1), named[1], named[3], today)
    return None


def _dated(month: str, day: str, year: str | None, today: date) -> date | None:
    if year:
        return _real(int(year) + (2000 if len(year) == 2 else 0), int(month), int(day))
    near = [_real(today.year + step, int(month), int(day)) for step in (-1, 0, 1)]
    return min((one for one in near if one), key=lambda one: abs((one - today).days), default=None)


def _real(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
