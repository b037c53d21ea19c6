"""The day at the house on the days on which clocks change, and in another zone."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.exchange.calendar_file import CalendarDate, calendar_bytes
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.days import made_now, today_of
from retrofit_desk.services.kept import KeptService
from retrofit_desk.services.past import PastService


def at(hour: int, minute: int, day: int, month: int) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=UTC)


# FMT-3: 2026-11-01 has 25 hours in New York (04:00 to 05:00 UTC of the next day), 2026-03-08 has 23
@pytest.mark.parametrize(
    ("moment", "day"),
    [
        (at(3, 59, 1, 11), date(2026, 10, 31)),
        (at(4, 0, 1, 11), date(2026, 11, 1)),
        (at(4, 59, 2, 11), date(2026, 11, 1)),
        (at(5, 0, 2, 11), date(2026, 11, 2)),
        (at(4, 59, 8, 3), date(2026, 3, 7)),
        (at(5, 0, 8, 3), date(2026, 3, 8)),
        (at(3, 59, 9, 3), date(2026, 3, 8)),
        (at(4, 0, 9, 3), date(2026, 3, 9)),
    ],
)
def test_a_day_has_25_or_23_hours_when_clocks_change(moment: datetime, day: date, tmp_path: Path) -> None:
    with Project.create(tmp_path / "house", clock=lambda: moment) as project:
        with project.action("Where it stands") as work:
            work.session.add(m.Site(name="House", time_zone="America/New_York"))
        with project.session() as session:
            assert today_of(session) == day
        with PastService(project).look_at(day) as past, past.session() as session:
            assert today_of(session) == day


def test_an_answer_of_a_story_is_of_its_own_day(tmp_path: Path) -> None:
    moment = at(3, 30, 26, 11)  # the evening before in New York
    with Project.create(tmp_path / "house", clock=lambda: moment) as project:
        with project.action("Where it stands") as work:
            site = m.Site(name="House", time_zone="America/New_York")
            work.session.add(site)
        with project.session() as session:
            assert made_now(session) == moment
            assert made_now(session).date() == date(2026, 11, 25)
        with project.action("Tell a story") as work:
            work.session.get_one(m.Site, 1).story_date = date(2026, 7, 4)
        with project.session() as session:
            assert made_now(session) == at(2, 30, 5, 7)  # 22:30 in summer time


def test_an_all_day_entry_over_a_clock_change_keeps_its_days() -> None:
    # RFC 5545 3.6.1: dates, no hours; the end is the first day that is free again
    entry = CalendarDate("a@retrofit-desk", "Board the walls", date(2026, 10, 30), date(2026, 11, 2), 3)
    text = calendar_bytes([entry], at(12, 0, 30, 10)).decode()
    assert "DTSTART;VALUE=DATE:20261030" in text
    assert "DTEND;VALUE=DATE:20261103" in text
    assert "SEQUENCE:3" in text


def test_a_clock_set_back_is_told_and_nothing_is_lost(tmp_path: Path) -> None:
    moments = [at(12, 0, 20, 11)]
    with Project.create(tmp_path / "house", clock=lambda: moments[-1]) as project:
        kept = KeptService(project)
        assert kept.clock_line() == ""
        with project.action("Where it stands") as work:
            work.session.add(m.Site(name="House", time_zone="America/New_York"))
        moments.append(at(11, 30, 20, 11))
        assert kept.clock_line() == ""  # two computers in turn
        moments.append(at(12, 0, 3, 5))
        with project.action("Another day") as work:
            work.session.scalars(select(m.Site)).one().city = "Elm"
        told = "says May 3, 2026, 08:00, but something was recorded on Nov 20, 2026, 07:00"
        assert told in kept.clock_line()
        assert kept.name() == "House"
        assert project.undo_title == "Another day"
