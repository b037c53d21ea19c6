"""Dates as an iCalendar file (RFC 5545) that updates instead of duplicating."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from icalendar import Component


@dataclass(frozen=True)
class CalendarDate:
    """One all-day entry. `uid` stays the same for ever; `revision` grows when the entry is moved."""

    uid: str
    title: str
    first_day: date
    last_day: date
    revision: int
    note: str = ""
    is_called_off: bool = False

    def __post_init__(self) -> None:
        if self.last_day < self.first_day:
            raise ValueError(f"{self.title}: ends on {self.last_day}, before it starts on {self.first_day}")


def calendar_bytes(entries: Iterable[CalendarDate], stamped_at: datetime) -> bytes:
    """The file's content. `stamped_at` (with its zone) is written into each entry, RFC 5545 3.8.7.2."""
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//Retrofit Desk//dates//EN")
    calendar.add("version", "2.0")
    for entry in entries:
        event = Event()
        event.add("uid", entry.uid)
        event.add("dtstamp", stamped_at)
        event.add("sequence", entry.revision)
        event.add("summary", entry.title)
        event.add("dtstart", entry.first_day)
        # an all-day entry's end is the first day that is free again (RFC 5545 3.6.1)
        event.add("dtend", entry.last_day + timedelta(days=1))
        event.add("status", "CANCELLED" if entry.is_called_off else "CONFIRMED")
        if entry.note:
            event.add("description", entry.note)
        calendar.add_component(event)
    content: bytes = calendar.to_ical()
    return content


def read_calendar(path: Path) -> tuple[CalendarDate, ...]:
    """The all-day entries of a calendar file; none where there is no file, or none that can be read."""
    from icalendar import Calendar

    try:
        events = Calendar.from_ical(path.read_bytes()).walk("VEVENT")
        return tuple(one for event in events if (one := _entry(event)) is not None)
    except (OSError, ValueError, KeyError):
        return ()


def _entry(event: Component) -> CalendarDate | None:
    first, end = event.decoded("dtstart"), event.decoded("dtend")
    if isinstance(first, datetime) or isinstance(end, datetime):
        return None
    return CalendarDate(
        uid=str(event["uid"]),
        title=str(event.get("summary", "")),
        first_day=first,
        last_day=end - timedelta(days=1),
        revision=int(event.get("sequence", 0)),
        note=str(event.get("description", "")),
        is_called_off=str(event.get("status", "")) == "CANCELLED",
    )


def write_calendar(path: Path, entries: Iterable[CalendarDate], stamped_at: datetime) -> Path:
    path.write_bytes(calendar_bytes(entries, stamped_at))
    return path
