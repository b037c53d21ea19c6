from dataclasses import replace
from datetime import date
from pathlib import Path

from icalendar import Calendar, Component
from sqlalchemy import select

from retrofit_desk.exchange.calendar_file import CalendarDate, read_calendar, write_calendar
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.permit_ends import PermitEndService
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.visits import Booking, VisitService
from retrofit_desk.services.work_calendar import WorkCalendarService


def entries(project: Project) -> dict[str, CalendarDate]:
    return {one.uid: one for one in WorkCalendarService(project).entries()}


def range_visit(project: Project) -> CalendarDate:
    return next(one for one in entries(project).values() if one.title.startswith("Electrical final, range"))


def test_a_visit_moved_keeps_its_name_and_raises_its_revision(sample_project: Project) -> None:
    # FMT-4: RFC 5545 3.8.7.4, the same UID with a higher SEQUENCE replaces the entry
    before = range_visit(sample_project)
    assert before.first_day == date(2026, 11, 24)
    visit_id = int(before.uid.split("-")[1])
    VisitService(sample_project).book(visit_id, Booking(date(2026, 12, 1)))
    after = range_visit(sample_project)
    assert (after.uid, after.first_day) == (before.uid, date(2026, 12, 1))
    assert after.revision > before.revision


def test_a_visit_called_off_is_called_off_in_the_calendar_too(sample_project: Project) -> None:
    before = range_visit(sample_project)
    VisitService(sample_project).call_off(int(before.uid.split("-")[1]))
    after = range_visit(sample_project)
    assert after.is_called_off
    assert after.first_day == before.first_day
    assert after.revision > before.revision


def test_undo_raises_the_revision_once_more(sample_project: Project) -> None:
    before = range_visit(sample_project)
    VisitService(sample_project).call_off(int(before.uid.split("-")[1]))
    off = range_visit(sample_project)
    sample_project.undo()
    again = range_visit(sample_project)
    assert (again.first_day, again.is_called_off) == (before.first_day, False)
    assert again.revision > off.revision


def test_the_file_holds_visits_agreed_days_askings_and_ends(sample_project: Project, tmp_path: Path) -> None:
    path = tmp_path / "dates.ics"
    count = WorkCalendarService(sample_project).write(path)
    events = Calendar.from_ical(path.read_bytes()).walk("VEVENT")
    titles = [str(event["summary"]) for event in events]
    assert len(titles) == count
    assert "Pour the den floor" in titles
    assert "Ask Carraway Light and Power: Carraway answers the application to connect" in titles
    assert any(title.startswith("Runs out: Claim: Carraway Water Heating") for title in titles)
    uids = [str(event["uid"]) for event in events]
    assert len(set(uids)) == len(uids)


class AtTheFamily:
    """A calendar program as the family has one: the newest of each name, as RFC 5545 and 5546 ask for."""

    def __init__(self) -> None:
        self._known: dict[str, Component] = {}

    def take(self, path: Path) -> None:
        for event in Calendar.from_ical(path.read_bytes()).walk("VEVENT"):
            uid = str(event["uid"])
            if uid not in self._known or _sequence(event) > _sequence(self._known[uid]):
                self._known[uid] = event

    def days(self, word: str) -> list[date]:
        """The days on which something of this name still stands."""
        return [
            event.decoded("dtstart")
            for event in self._known.values()
            if word in str(event["summary"]) and str(event["status"]) != "CANCELLED"
        ]


def test_what_is_moved_dropped_and_booked_again_stands_once_in_the_familys_calendar(
    sample_project: Project, tmp_path: Path
) -> None:
    path, family = tmp_path / "dates.ics", AtTheFamily()
    calendar, permits = WorkCalendarService(sample_project), VisitService(sample_project)
    calendar.write(path)
    family.take(path)
    assert family.days("Electrical final, range") == [date(2026, 11, 24)]
    visit_id = int(range_visit(sample_project).uid.split("-")[1])
    permits.book(visit_id, Booking(date(2026, 12, 1)))
    calendar.write(path)
    family.take(path)
    assert family.days("Electrical final, range") == [date(2026, 12, 1)]
    permits.take_out_visit(visit_id)
    calendar.write(path)
    family.take(path)
    assert family.days("Electrical final, range") == []


def test_a_day_no_longer_agreed_and_an_end_that_is_settled_leave_the_familys_calendar(
    sample_project: Project, tmp_path: Path
) -> None:
    path, family, calendar = tmp_path / "dates.ics", AtTheFamily(), WorkCalendarService(sample_project)
    calendar.write(path)
    family.take(path)
    assert family.days("Pour the den floor")
    with sample_project.session() as session:
        pour = session.scalars(select(m.Task).where(m.Task.title == "Pour the den floor")).one()
        permit = session.scalars(select(m.Permit).where(m.Permit.key == "bore-permit")).one()
    assert family.days("Runs out: Bore permit")
    StepService(sample_project).agree_day(pour.id, None)
    PermitEndService(sample_project).withdraw(permit.id, "another firm drills")
    calendar.write(path)
    family.take(path)
    assert family.days("Pour the den floor") == []
    assert family.days("Runs out: Bore permit") == []
    StepService(sample_project).agree_day(pour.id, date(2026, 12, 2))
    calendar.write(path)
    family.take(path)
    assert family.days("Pour the den floor") == [date(2026, 12, 2)]


def test_a_record_put_back_from_a_backup_still_moves_the_familys_dates(
    sample_project: Project, tmp_path: Path
) -> None:
    path, family = tmp_path / "dates.ics", AtTheFamily()
    calendar = WorkCalendarService(sample_project)
    later = tuple(replace(one, revision=one.revision + 50) for one in calendar.entries())
    write_calendar(path, later, sample_project.now())
    family.take(path)
    visit_id = int(range_visit(sample_project).uid.split("-")[1])
    VisitService(sample_project).book(visit_id, Booking(date(2026, 12, 1)))
    calendar.write(path)
    family.take(path)
    assert family.days("Electrical final, range") == [date(2026, 12, 1)]


def test_a_file_that_is_no_calendar_is_written_over(sample_project: Project, tmp_path: Path) -> None:
    path = tmp_path / "dates.ics"
    path.write_text("a letter")
    count = WorkCalendarService(sample_project).write(path)
    assert len(read_calendar(path)) == count


def _sequence(event: Component) -> int:
    return int(str(event["sequence"]))


def test_two_projects_in_one_calendar_do_not_call_each_other_off(
    sample_project: Project, oil_folder: Path, tmp_path: Path
) -> None:
    # RFC 5545 3.8.4.7: a UID is globally unique
    path = tmp_path / "both.ics"
    with Project.open(oil_folder, read_only=True) as oil:
        WorkCalendarService(oil).write(path)
        theirs = {one.uid for one in WorkCalendarService(oil).entries()}
    before = [one for one in read_calendar(path) if not one.is_called_off]
    assert before
    assert not theirs & {one.uid for one in WorkCalendarService(sample_project).entries()}
    WorkCalendarService(sample_project).write(path)
    assert not [one for one in read_calendar(path) if one.is_called_off and one.uid in theirs]


def test_names_given_out_before_they_told_their_project_are_called_off(
    sample_project: Project, tmp_path: Path
) -> None:
    path, later = tmp_path / "old.ics", date(2026, 12, 1)
    old = CalendarDate("visit-1-some-permit@retrofit-desk", "Old", later, later, 3)
    write_calendar(path, [old], sample_project.now())
    WorkCalendarService(sample_project).write(path)
    (found,) = [one for one in read_calendar(path) if one.uid == old.uid]
    assert (found.is_called_off, found.revision > 3) == (True, True)
