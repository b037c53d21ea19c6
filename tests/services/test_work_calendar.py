from datetime import date
from pathlib import Path

from icalendar import Calendar

from retrofit_desk.exchange.calendar_file import CalendarDate
from retrofit_desk.records.project import Project
from retrofit_desk.services.permits import Booking, PermitService
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
    PermitService(sample_project).book(visit_id, Booking(date(2026, 12, 1)))
    after = range_visit(sample_project)
    assert (after.uid, after.first_day) == (before.uid, date(2026, 12, 1))
    assert after.revision > before.revision


def test_a_visit_called_off_is_called_off_in_the_calendar_too(sample_project: Project) -> None:
    before = range_visit(sample_project)
    PermitService(sample_project).call_off(int(before.uid.split("-")[1]))
    after = range_visit(sample_project)
    assert after.is_called_off
    assert after.first_day == before.first_day
    assert after.revision > before.revision


def test_undo_raises_the_revision_once_more(sample_project: Project) -> None:
    before = range_visit(sample_project)
    PermitService(sample_project).call_off(int(before.uid.split("-")[1]))
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
