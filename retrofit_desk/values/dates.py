"""Dates as the owner reads them."""

from __future__ import annotations

import re
from datetime import date, time

from retrofit_desk.values.errors import DeskError

_CLOCK = re.compile(r"^(\d{1,2})(?:[:.h]?(\d{2}))?\s*([ap])?\.?\s*(?:m\.?)?$")
HALF_DAY_H = 12


class NoClockTime(DeskError):
    """The text typed is no time of day."""


def day_text(day: date | None) -> str:
    """`Mar 4, 2026`; a missing date is said, not left blank."""
    return "no date" if day is None else f"{day:%b} {day.day}, {day.year}"


def month_text(day: date) -> str:
    """`Mar 2026`."""
    return f"{day:%b %Y}"


def days_text(days: int) -> str:
    """`today`, `in 3 days`, `2 days ago`."""
    if days == 0:
        return "today"
    count = f"{abs(days)} day{'' if abs(days) == 1 else 's'}"
    return f"in {count}" if days > 0 else f"{count} ago"


def clock_of(text: str, *, where: str = "", kept: str = "") -> time:
    """A typed time of day: `9:05`, `0905`, `3:40 pm`, `15:40`. Raises `NoClockTime`."""
    found = _CLOCK.match(text.strip().casefold())
    if found is not None:
        hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
        if half and 1 <= hour <= HALF_DAY_H:
            hour = hour % HALF_DAY_H + (HALF_DAY_H if half == "p" else 0)
            half = None
        if half is None and hour < 2 * HALF_DAY_H and minute < 60:
            return time(hour, minute)
    raise NoClockTime(f"'{text.strip()}': no time of day", where=where, kept=kept, do="type e.g. 3:40 pm")
