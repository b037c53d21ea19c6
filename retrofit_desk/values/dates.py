"""Dates as the owner reads them."""

from __future__ import annotations

from datetime import date

from retrofit_desk.values.quantity import count_text

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def day_text(day: date | None) -> str:
    """`Mar 4, 2026`; a missing date is said, not left blank."""
    return "no date" if day is None else f"{day_of_year_text(day)}, {day.year}"


def day_of_year_text(day: date) -> str:
    """`Mar 4`, where the year is plain."""
    # not by strftime: it would speak the language of the machine in the middle of English
    return f"{short_month(day)} {day.day}"


def month_text(day: date) -> str:
    """`Mar 2026`."""
    return f"{short_month(day)} {day.year}"


def short_month(day: date) -> str:
    return MONTHS[day.month - 1][:3]


def weekday_text(day: date) -> str:
    """`Wed Mar 4, 2026`."""
    return f"{weekday(day)[:3]} {day_text(day)}"


def weekday(day: date) -> str:
    return WEEKDAYS[day.weekday()]


def months_text(first: int, last: int) -> str:
    """`April to October`, from months 1 to 12; `July` where both are the same."""
    return MONTHS[first - 1] if first == last else f"{MONTHS[first - 1]} to {MONTHS[last - 1]}"


def days_text(days: int) -> str:
    """`today`, `in 3 days`, `2 days ago`."""
    if days == 0:
        return "today"
    count = count_text(abs(days), "day")
    return f"in {count}" if days > 0 else f"{count} ago"
