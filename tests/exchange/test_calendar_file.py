"""The calendar file by RFC 5545: days, folding, and dates that moved."""

from datetime import UTC, date, datetime

import pytest
from icalendar import Calendar

from retrofit_desk.exchange.calendar_file import CalendarDate, calendar_bytes

NOW = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)


def an_entry(**changes: object) -> CalendarDate:
    facts = {
        "uid": "inspection-7@retrofit-desk",
        "title": "Rough plumbing, den",
        "first_day": date(2026, 12, 7),
        "last_day": date(2026, 12, 7),
        "revision": 0,
        "note": "Before the visit: loops filled and closed, have pressure test gauge on at 100 psi.",
    }
    return CalendarDate(**(facts | changes))  # type: ignore[arg-type]


def the_event(content: bytes):  # type: ignore[no-untyped-def]
    return Calendar.from_ical(content).walk("VEVENT")[0]


def test_one_day_ends_on_the_next_day() -> None:
    # FMT-4: RFC 5545 3.6.1, an all-day DTEND is exclusive
    event = the_event(calendar_bytes([an_entry()], NOW))
    assert event.decoded("dtstart") == date(2026, 12, 7)
    assert event.decoded("dtend") == date(2026, 12, 8)


def test_lines_end_in_crlf_and_fold_at_75_octets() -> None:
    # RFC 5545 3.1 (from memory)
    content = calendar_bytes([an_entry()], NOW)
    lines = content.split(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(len(line) for line in lines) <= 75
    assert any(line.startswith(b" ") for line in lines)


def test_commas_and_line_breaks_come_back_as_written() -> None:
    event = the_event(calendar_bytes([an_entry(note="gauge on; 100 psi, held\n15 minutes")], NOW))
    assert str(event["summary"]) == "Rough plumbing, den"
    assert str(event["description"]) == "gauge on; 100 psi, held\n15 minutes"


def test_a_moved_visit_keeps_its_uid_and_raises_its_sequence() -> None:
    moved = an_entry(first_day=date(2026, 12, 9), last_day=date(2026, 12, 9), revision=1)
    before, after = (the_event(calendar_bytes([entry], NOW)) for entry in (an_entry(), moved))
    assert before["uid"] == after["uid"]
    assert after["sequence"] == before["sequence"] + 1


def test_a_visit_called_off_says_so() -> None:
    assert the_event(calendar_bytes([an_entry(is_called_off=True)], NOW))["status"] == "CANCELLED"


def test_an_end_before_its_start_is_refused() -> None:
    with pytest.raises(ValueError, match="before it starts"):
        an_entry(last_day=date(2026, 12, 1))
