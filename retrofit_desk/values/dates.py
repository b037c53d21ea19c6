"""Dates as the owner reads them."""

from __future__ import annotations

from datetime import date

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def day_text(day: date | None) -> str:
    """`Mar 4, 2026`; a missing date is said, not left blank."""
    return "no date" if day is None else f"{day:%b} {day.day}, {day.year}"


def month_text(day: date) -> str:
    """`Mar 2026`."""
    return f"{day:%b %Y}"


def months_text(first: int, last: int) -> str:
    """`April to October`, from months 1 to 12; `July` where both are the same."""
    return MONTHS[first - 1] if first == last else f"{MONTHS[first - 1]} to {MONTHS[last - 1]}"


def days_text(days: int) -> str:
    """`today`, `in 3 days`, `2 days ago`."""
    if days == 0:
        return "today"
    count = f"{abs(days)} day{'' if abs(days) == 1 else 's'}"
    return f"in {count}" if days > 0 else f"{count} ago"
