"""Booking windows as data on the sample house, and a visit that no usual list knows."""

from __future__ import annotations

from datetime import date, time

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.booking import BookingRule
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.booking import BookingService
from retrofit_desk.services.permit_sheet import PermitSheet
from retrofit_desk.services.permits import PermitService, ResultUnclear
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.services.steps import StepService
from retrofit_desk.services.visits import Booking, CannotBook, NewVisit, VisitService


def permit(project: Project, word: str) -> PermitSheet:
    offices = PermitService(project).authorities()
    return next(one for office in offices for one in office.permits if word in one.title)


def office_id(project: Project, word: str) -> int:
    offices = PermitService(project).authorities()
    return next(one.firm_id for one in offices if word in one.name and one.firm_id is not None)


def test_every_open_visit_tells_the_first_day_on_which_its_office_comes(sample_project: Project) -> None:
    # Friday, Nov 20, 2026 in the morning: the city comes on Monday; the county needs three working days and
    # comes on Tuesdays and Thursdays, of which one is Thanksgiving
    report = next(one for one in permit(sample_project, "Bore permit").visits if one.is_final)
    assert report.earliest == date(2026, 12, 1)
    rough = permit(sample_project, "range and den").visits[-1]
    assert rough.earliest == date(2026, 11, 23)
    booked = next(one for one in permit(sample_project, "heat pump").visits if one.booked_for)
    assert booked.earliest is None
    for visit in permit(sample_project, "range and den").visits:
        for one in visit.open_corrections:
            VisitService(sample_project).close_correction(one.id, "Done")
    steps = ScheduleService(sample_project).view().steps
    closing = next(one for one in steps if one.title == "Close the two open corrections in the den")
    StepService(sample_project).finish(closing.id)
    look = AtHandService(sample_project).look()
    line = next(one for one in look.ready if one.title.startswith("Book: Rough electrical, den"))
    assert "Called now, it comes on Monday, Nov 23, 2026 at the earliest." in line.why


def test_a_new_rule_of_an_office_moves_the_plan_of_its_visits_and_undo_brings_it_back(
    sample_project: Project,
) -> None:
    def insulation() -> date:
        steps = ScheduleService(sample_project).view().steps
        return next(one.start for one in steps if one.title == "Rough electrical, second visit")

    before, city = insulation(), office_id(sample_project, "City inspections")
    slow = BookingRule(10, time(12), frozenset({2}), ("9 to 12",), "Leave a message")
    BookingService(sample_project).keep(city, slow)
    assert BookingService(sample_project).rule(city) == slow
    # ten working days after Nov 20 over Thanksgiving is Dec 7; the next Wednesday
    assert before < insulation() == date(2026, 12, 9)
    sample_project.undo()
    assert insulation() == before
    BookingService(sample_project).keep(city, None)
    assert BookingService(sample_project).rule(city) is None


def test_a_day_that_does_not_fit_is_told_and_recorded_all_the_same(sample_project: Project) -> None:
    service, sheet = BookingService(sample_project), permit(sample_project, "Bore permit")
    report = next(one for one in sheet.visits if one.is_final)
    monday = date(2026, 11, 30)
    assert "Monday, Nov 30, 2026 is not a day" in service.does_not_fit(sheet.office_id, monday)
    VisitService(sample_project).book(report.id, Booking(monday, "when they like"))
    booked = next(one for one in permit(sample_project, "Bore permit").visits if one.is_final)
    assert (booked.booked_for, booked.booked_window) == (monday, "when they like")


def test_a_visit_outside_the_usual_list_takes_its_place_in_the_order(sample_project: Project) -> None:
    service, sheet = VisitService(sample_project), permit(sample_project, "heat pump")
    rough, final = sheet.visits
    added = service.add_visit(sheet.id, NewVisit("Line set before the wall is closed", "", rough.id))
    titles = [one.title for one in permit(sample_project, "heat pump").visits]
    assert titles == [rough.title, "Line set before the wall is closed", final.title]
    assert "Line set before the wall is closed has passed" in permit(sample_project, "heat pump").still_needs
    service.book(added, Booking(date(2026, 12, 4)))
    sample_project.undo()
    sample_project.undo()
    assert [one.title for one in permit(sample_project, "heat pump").visits] == [rough.title, final.title]


def test_a_visit_of_a_known_kind_waits_for_what_its_kind_waits_for(sample_project: Project) -> None:
    service, sheet = VisitService(sample_project), permit(sample_project, "range and den")
    framing = next(kind for kind, title in sheet.usual_kinds if title == "Framing")
    added = service.add_visit(sheet.id, NewVisit("Framing of the loft", framing, sheet.visits[-1].id))
    visit = next(one for one in permit(sample_project, "range and den").visits if one.id == added)
    assert "Rough electrical, den, second visit has passed" in visit.missing
    assert "House number visible from the street" in visit.ready
    with pytest.raises(CannotBook, match="Rough electrical"):
        service.book(added, Booking(date(2026, 12, 4)))


def test_a_visit_without_words_and_one_on_a_closed_permit_are_refused(sample_project: Project) -> None:
    service = VisitService(sample_project)
    with pytest.raises(ResultUnclear, match="needs a title"):
        service.add_visit(permit(sample_project, "heat pump").id, NewVisit("  "))
    with pytest.raises(ResultUnclear, match="this permit is final"):
        service.add_visit(permit(sample_project, "attic insulation").id, NewVisit("Once more"))
    with sample_project.session() as session:
        assert session.scalars(select(m.Inspection).where(m.Inspection.title == "Once more")).all() == []
