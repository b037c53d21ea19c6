"""Permits on the sample house: what must come first, and what a visit changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from retrofit_desk.records import models as m
from retrofit_desk.records.models.permits import PermitKind, PermitState
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.rules.holds import HoldAction, NotYet
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.holds import HoldService, HoldView
from retrofit_desk.services.no_permit_yet import NoPermitYetService
from retrofit_desk.services.permit_ends import PermitEndService
from retrofit_desk.services.permit_sheet import PermitSheet, VisitSheet
from retrofit_desk.services.permits import NewPermit, PermitDay, PermitService, ResultUnclear
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.services.usual_holds import UsualHoldService
from retrofit_desk.services.visits import (
    Booking,
    CannotBook,
    NewVisit,
    VisitResult,
    VisitService,
    WrittenCorrection,
)
from retrofit_desk.services.work_log import WorkLogService, WriteUp
from retrofit_desk.values.stated import Stated, StatedValue

TODAY = date(2026, 11, 20)
THURSDAY = date(2026, 12, 3)


def permit(project: Project, title: str) -> PermitSheet:
    offices = PermitService(project).authorities()
    return next(one for office in offices for one in office.permits if title in one.title)


def visit(project: Project, title: str) -> VisitSheet:
    offices = PermitService(project).authorities()
    return next(
        one for office in offices for sheet in office.permits for one in sheet.visits if one.title == title
    )


def put_all_right(project: Project) -> None:
    for one in visit(project, "Rough electrical, den").open_corrections:
        VisitService(project).close_correction(one.id, "Done and photographed")


def passed(on: date = TODAY) -> VisitResult:
    return VisitResult(on, InspectionResult.PASSED, "R. Castellanos-Webb")


def failed(*texts: str) -> VisitResult:
    corrections = tuple(WrittenCorrection(text) for text in texts)
    return VisitResult(TODAY, InspectionResult.FAILED, corrections=corrections)


def test_a_visit_is_not_booked_again_before_its_corrections_are_closed(sample_project: Project) -> None:
    again = visit(sample_project, "Rough electrical, den, second visit")
    with pytest.raises(CannotBook, match="Box fill exceeded") as refused:
        VisitService(sample_project).book(again.id, Booking(THURSDAY))
    assert "Nothing was changed" in refused.value.line()
    put_all_right(sample_project)
    VisitService(sample_project).book(again.id, Booking(THURSDAY, "8 to 12", "V-56400"))
    again = visit(sample_project, "Rough electrical, den, second visit")
    assert (again.result, again.booked_for) == (InspectionResult.BOOKED, THURSDAY)


def test_another_trade_of_the_same_measure_must_have_passed(sample_project: Project) -> None:
    # IRC R109.1.4 (2018, second-hand): framing after the rough trades
    framing = visit(sample_project, "Framing, den walls")
    assert framing.missing == ("Rough electrical, den, second visit has passed",)


def test_a_failed_room_does_not_hold_up_the_range(sample_project: Project) -> None:
    assert visit(sample_project, "Electrical final, range").missing == ()


def test_nothing_is_booked_before_the_permit_is_issued(sample_project: Project) -> None:
    racking = visit(sample_project, "Racking and wiring")
    assert racking.missing == ("Solar permit is issued",)
    sheet = permit(sample_project, "Solar permit")
    day = PermitDay("S-26-0417", date(2026, 11, 9), TODAY, None, None)
    PermitService(sample_project).change(sheet.id, day)
    assert permit(sample_project, "Solar permit").state is PermitState.ISSUED
    assert visit(sample_project, "Racking and wiring").may_book


def test_a_failure_opens_the_next_visit_and_takes_the_step_of_the_schedule_with_it(
    sample_project: Project,
) -> None:
    first = visit(sample_project, "Electrical final, range")
    VisitService(sample_project).record_result(first.id, failed("No label in the panel"))
    again = visit(sample_project, "Electrical final, range, second visit")
    assert again.missing == ("this is put right: No label in the panel",)
    step = next(one for one in ScheduleService(sample_project).view().steps if one.inspection_id == again.id)
    assert step.title == "Electrical final, range"
    assert step.agreed_on is None


def test_failing_twice_counts_on(sample_project: Project) -> None:
    service = VisitService(sample_project)
    first = visit(sample_project, "Electrical final, range")
    service.record_result(first.id, failed("No label"))
    again = visit(sample_project, "Electrical final, range, second visit")
    service.record_result(again.id, failed("Still no label"))
    assert visit(sample_project, "Electrical final, range, third visit").missing == (
        "these are put right: Still no label; No label",
    )


def test_a_passed_visit_frees_what_waited_for_it_and_finishes_its_step(sample_project: Project) -> None:
    put_all_right(sample_project)
    rough = visit(sample_project, "Rough electrical, den, second visit")
    service = VisitService(sample_project)
    effect = service.record_result(rough.id, passed())
    assert any("the den north wall" in one and "insulation" in one for one in effect.still_blocks)
    assert not any("rough electrical" in one for one in effect.still_blocks)
    steps = {one.title: one for one in ScheduleService(sample_project).view().steps}
    assert steps["Rough electrical, second visit"].is_done
    range_final = visit(sample_project, "Electrical final, range")
    effect = service.record_result(range_final.id, passed())
    assert any(one.startswith("Free") and "stage 2 of the circuits" in one for one in effect.frees)
    assert permit(sample_project, "range and den").state is PermitState.ISSUED


def test_the_last_passed_visit_makes_the_permit_final(sample_project: Project) -> None:
    report = visit(sample_project, "Completion report accepted")
    VisitService(sample_project).record_result(report.id, passed())
    sheet = permit(sample_project, "Bore permit")
    assert (sheet.state, sheet.final_on, sheet.runs_out) == (PermitState.FINAL, TODAY, None)


def test_an_open_correction_keeps_a_permit_from_being_final(sample_project: Project) -> None:
    service = VisitService(sample_project)
    service.record_result(visit(sample_project, "Rough mechanical, header and piping").id, failed("No gauge"))
    service.record_result(visit(sample_project, "Mechanical final").id, passed())
    sheet = permit(sample_project, "Mechanical permit")
    assert sheet.state is PermitState.ISSUED
    assert "this is put right: No gauge" in sheet.still_needs


def test_undo_takes_a_whole_visit_back(sample_project: Project) -> None:
    before = PermitService(sample_project).authorities()
    first = visit(sample_project, "Electrical final, range")
    VisitService(sample_project).record_result(first.id, failed("No label", "No cover"))
    assert sample_project.undo() == "Record a visit"
    assert PermitService(sample_project).authorities() == before


@pytest.mark.parametrize(
    ("told", "word"),
    [
        (VisitResult(TODAY, InspectionResult.FAILED), "no correction"),
        (
            VisitResult(TODAY, InspectionResult.PASSED, corrections=(WrittenCorrection("x"),)),
            "has not passed",
        ),
        (VisitResult(date(2026, 11, 21), InspectionResult.PASSED), "has not come yet"),
        (VisitResult(TODAY, InspectionResult.BOOKED), "say passed"),
    ],
)
def test_a_result_that_cannot_be_is_refused(sample_project: Project, told: VisitResult, word: str) -> None:
    first = visit(sample_project, "Electrical final, range")
    with pytest.raises(ResultUnclear, match=word):
        VisitService(sample_project).record_result(first.id, told)
    assert visit(sample_project, "Electrical final, range") == first


def test_a_permit_ends_by_idleness_or_by_its_own_date_and_an_extension_moves_it(
    sample_project: Project,
) -> None:
    # 180 days from the last work of Sep 24, 2026 would be Mar 23, 2027; it says Feb 5 itself
    sheet = permit(sample_project, "Mechanical permit")
    assert sheet.runs_out is not None
    assert sheet.runs_out.ending.ends_on == date(2027, 2, 5)
    assert sheet.runs_out.ending.means.startswith("As written on it.")
    bore = permit(sample_project, "Bore permit")
    assert bore.runs_out is not None
    assert bore.runs_out.ending.ends_on == date(2026, 12, 31)
    until = date(2027, 3, 31)
    day = PermitDay(bore.number, bore.applied_on, bore.issued_on, bore.ends_on, until)
    PermitService(sample_project).change(bore.id, day)
    moved = permit(sample_project, "Bore permit").runs_out
    assert moved is not None
    assert moved.ending.ends_on == until


def test_work_written_up_keeps_a_permit_alive_as_far_as_the_local_list_counts_it(
    sample_project: Project,
) -> None:
    # IRC R105.5 (second-hand): it lapses when the work is suspended or abandoned for 180 days
    issued = TODAY - timedelta(days=100)
    permit_id, measure = a_permit(sample_project, applied_on=issued, issued_on=issued)
    worked = TODAY - timedelta(days=10)
    WorkLogService(sample_project).record(WriteUp(measure, worked, "Owner"))
    permits = PermitService(sample_project)
    found = permits.sheet(permit_id)
    assert found.runs_out is not None
    assert found.runs_out.ending.ends_on == worked + timedelta(days=180)
    assert "180 days after the last activity: work on Trial, Nov 10, 2026" in found.runs_out.ending.means
    assert "IRC R105.5" in found.counted
    own = sample_project.own_tables / "permit_templates.toml"
    own.parent.mkdir(exist_ok=True)
    shipped = (shipped_folder("shared") / "permit_templates.toml").read_text(encoding="utf-8")
    own.write_text(shipped.replace('activity = ["visit", "work"]', 'activity = ["visit"]'), encoding="utf-8")
    found = permits.sheet(permit_id)
    assert found.runs_out is not None
    assert found.runs_out.ending.ends_on == TODAY + timedelta(days=80)
    assert found.runs_out.ending.means.startswith("180 days after the last activity: issued")


def test_the_days_of_idleness_are_those_that_the_office_names(sample_project: Project) -> None:
    # IRC R105.5, states amend: twelve months in one state (from memory)
    permit_id, _measure = a_permit(sample_project)
    permits = PermitService(sample_project)
    told = PermitDay("T-1", TODAY, TODAY, None, None, idle_days=StatedValue(365))
    permits.change(permit_id, told)
    found = permits.sheet(permit_id)
    assert found.runs_out is not None
    assert found.runs_out.ending.ends_on == TODAY + timedelta(days=365)
    permits.change(permit_id, replace(told, idle_days=StatedValue(None, Stated.NOT_STATED)))
    assert permits.sheet(permit_id).runs_out is None


def test_a_final_is_not_booked_before_every_other_visit_of_its_permit(sample_project: Project) -> None:
    # IRC R109.1.6: the final comes when the permitted work is complete
    permit_id, _measure = a_permit(sample_project)
    visits = VisitService(sample_project)
    visits.add_visit(permit_id, NewVisit("Old wiring before it is covered"))
    sheet = PermitService(sample_project).sheet(permit_id)
    final = next(one for one in sheet.visits if one.is_final)
    assert "Old wiring before it is covered has passed" in final.missing
    with pytest.raises(CannotBook, match="Old wiring"):
        visits.book(final.id, Booking(THURSDAY))


def test_a_new_permit_brings_the_usual_visits_and_its_measure_now_needs_one(sample_project: Project) -> None:
    service = PermitService(sample_project)
    tank = next(one for one, title in service.choices().measures if "storage tank" in title)
    new = NewPermit(PermitKind.PLUMBING, "Plumbing permit, tank", None, (tank,))
    sheet = service.sheet(service.add(new))
    assert [one.title for one in sheet.visits] == [
        "Rough plumbing",
        "Tubing before the pour",
        "Plumbing final",
    ]
    assert sheet.state is PermitState.NEEDED
    with sample_project.session() as session:
        measure = session.get(m.Measure, tank)
        assert measure is not None
        assert measure.needs_permit


def lacking(project: Project) -> list[str]:
    return [one.title.split()[0] for one in NoPermitYetService(project).measures()]


def test_work_that_usually_needs_a_permit_and_has_none_is_told_until_it_has_one(
    sample_project: Project,
) -> None:
    (tank,) = NoPermitYetService(sample_project).measures()
    assert tank.title.startswith("Thermal storage tank")
    assert tank.usual == (PermitKind.ELECTRICAL, PermitKind.PLUMBING)
    assert not tank.is_begun
    PermitService(sample_project).add(
        NewPermit(PermitKind.PLUMBING, "Plumbing permit, tank", None, (tank.measure_id,))
    )
    assert lacking(sample_project) == []


def test_a_permit_given_back_covers_nothing_and_what_is_begun_is_told_first(sample_project: Project) -> None:
    sheet = permit(sample_project, "radiant floors")
    PermitEndService(sample_project).withdraw(sheet.id, "Given to the firm")
    assert lacking(sample_project) == ["Radiant", "Thermal"]
    assert NoPermitYetService(sample_project).measures()[0].is_begun


def test_work_noted_as_needing_a_permit_is_told_whatever_its_kind(sample_project: Project) -> None:
    with sample_project.action("Note it") as work:
        for row in work.session.query(m.Measure).filter(m.Measure.kind == "thermal_storage"):
            row.kind = "heating_controls"
        assert row.needs_permit
    (told,) = NoPermitYetService(sample_project).measures()
    assert told.usual == ()


def test_the_report_is_filed_once_for_visit_and_permit(sample_project: Project, tmp_path: Path) -> None:
    report = tmp_path / "report.txt"
    report.write_text("Passed.")
    first = visit(sample_project, "Electrical final, range")
    told = VisitResult(TODAY, InspectionResult.PASSED, paper=report)
    VisitService(sample_project).record_result(first.id, told)
    (paper,) = visit(sample_project, "Electrical final, range").papers
    assert paper in permit(sample_project, "range and den").papers


def test_a_visit_called_off_can_be_booked_again(sample_project: Project) -> None:
    service = VisitService(sample_project)
    first = visit(sample_project, "Electrical final, range")
    service.call_off(first.id)
    off = visit(sample_project, "Electrical final, range")
    assert (off.result, off.booked_for, off.may_book) == (InspectionResult.NOT_BOOKED, None, True)
    with pytest.raises(CannotBook, match="is past"):
        service.book(first.id, Booking(date(2026, 11, 19)))


def a_permit(project: Project, **dates: date | None) -> tuple[int, int]:
    """An issued permit on a committed measure whose start waits for it; returns permit and measure."""
    with project.action("Commit a measure") as work:
        row = m.Measure(key="trial", kind="air_sealing", title="Trial", state=m.MeasureState.COMMITTED)
        row.own_work = True
        work.session.add(row)
        work.session.flush()
        measure = row.id
    permits = PermitService(project)
    permit_id = permits.add(NewPermit(PermitKind.BUILDING, "Trial permit", None, (measure,)))
    usual = UsualHoldService(project)
    usual.take(measure, [one.key for one in usual.offer(measure) if "the work" in one.name])
    day = {"applied_on": TODAY, "issued_on": TODAY, "ends_on": None, "extended_until": None} | dates
    permits.change(permit_id, PermitDay("T-1", **day))  # type: ignore[arg-type]
    return permit_id, measure


def start_of(project: Project, measure: int) -> HoldView:
    return next(
        one for one in HoldService(project).of_measure(measure) if one.answer.hold.action is HoldAction.START
    )


def test_a_withdrawn_permit_shuts_the_start_again_and_frees_its_bookings(sample_project: Project) -> None:
    permit_id, measure = a_permit(sample_project)
    permits, ends = PermitService(sample_project), PermitEndService(sample_project)
    first = permits.sheet(permit_id).visits[0].id
    VisitService(sample_project).book(first, Booking(THURSDAY, "8 to 12", "B-7"))
    WorkLogService(sample_project).record(WriteUp(measure, TODAY, "Owner"))
    assert start_of(sample_project, measure).is_done
    with pytest.raises(ResultUnclear, match="for a reason"):
        ends.withdraw(permit_id, "  ")
    effect = ends.withdraw(permit_id, "Another firm pulls its own")
    assert any("don't start the work" in one for one in effect.still_blocks)
    sheet = permits.sheet(permit_id)
    assert (sheet.state, sheet.visits[0].result) == (PermitState.WITHDRAWN, InspectionResult.NOT_BOOKED)
    assert "Another firm pulls its own" in sheet.notes
    with pytest.raises(NotYet, match="Trial permit"):
        WorkLogService(sample_project).record(WriteUp(measure, TODAY, "Owner"))
    with pytest.raises(ResultUnclear, match="withdrawn"):
        ends.withdraw(permit_id, "Again")
    ends.take_up_again(permit_id)
    assert permits.sheet(permit_id).state is PermitState.ISSUED
    WorkLogService(sample_project).record(WriteUp(measure, TODAY, "Owner"))


def test_a_lapsed_permit_frees_nothing_and_books_nothing_until_it_is_extended(
    sample_project: Project,
) -> None:
    # IRC R105.5: 180 days without work or a visit; states amend
    issued = TODAY - timedelta(days=181)
    permit_id, measure = a_permit(sample_project, applied_on=issued, issued_on=issued)
    permits = PermitService(sample_project)
    sheet = permits.sheet(permit_id)
    assert (sheet.has_lapsed, sheet.state) == (True, PermitState.EXPIRED)
    assert "ran out" in start_of(sample_project, measure).sentence
    with pytest.raises(CannotBook, match="expired Nov 19, 2026, is extended"):
        VisitService(sample_project).book(sheet.visits[0].id, Booking(THURSDAY))
    later = PermitDay("T-1", issued, issued, None, TODAY + timedelta(days=90))
    permits.change(permit_id, later)
    assert not permits.sheet(permit_id).has_lapsed
    assert start_of(sample_project, measure).answer.is_free
    VisitService(sample_project).book(sheet.visits[0].id, Booking(THURSDAY))


def test_an_expired_permit_stands_on_every_list_until_it_is_renewed(sample_project: Project) -> None:
    # IRC R105.5: 180 days; it ran out 220 days ago, and is no history while work hangs on it
    issued = TODAY - timedelta(days=400)
    permit_id, _measure = a_permit(sample_project, applied_on=issued, issued_on=issued)
    title = PermitService(sample_project).sheet(permit_id).title
    look = AtHandService(sample_project).look()
    renew = next(one for one in look.ready if one.title == f"Have it extended or issued again: {title}")
    assert (renew.is_late, renew.days_to_spare) == (True, -220)
    assert any(f"don't go on with the work under {title}" in one.sentence for one in look.not_yet)
    ending = next(one.seen for one in look.runs_out if one.seen.ending.what == title)
    assert "extends it in writing" in ending.sentence
    assert not any("Book:" in one.title and one.place == renew.place for one in look.ready)
    with pytest.raises(ResultUnclear, match="expired"):
        PermitEndService(sample_project).close(permit_id, TODAY)
    again = PermitDay("T-2", TODAY, TODAY, None, None)
    PermitService(sample_project).change(permit_id, again)
    assert not any(title in one.title for one in AtHandService(sample_project).look().ready if one.is_late)


def test_a_visit_after_the_end_does_not_bring_a_permit_back(sample_project: Project) -> None:
    # IRC R105.5: what became invalid stays so until the office says otherwise
    issued = TODAY - timedelta(days=400)
    permit_id, _measure = a_permit(sample_project, applied_on=issued, issued_on=issued)
    permits = PermitService(sample_project)
    first = permits.sheet(permit_id).visits[0]
    VisitService(sample_project).record_result(first.id, passed())
    assert permits.sheet(permit_id).state is PermitState.EXPIRED


def test_the_office_closes_a_permit_only_when_nothing_is_open_and_its_certificate_is_filed(
    sample_project: Project, tmp_path: Path
) -> None:
    # NEED-21
    permit_id, _measure = a_permit(sample_project)
    permits, ends = PermitService(sample_project), PermitEndService(sample_project)
    with pytest.raises(ResultUnclear, match="still open: Trial permit, Footing"):
        ends.close(permit_id, TODAY)
    for visit_id in [one.id for one in permits.sheet(permit_id).visits]:
        VisitService(sample_project).take_out_visit(visit_id)
    certificate = tmp_path / "final.pdf"
    certificate.write_bytes(b"%PDF-1.4 final certificate")
    ends.close(permit_id, TODAY, certificate)
    sheet = permits.sheet(permit_id)
    assert (sheet.state, sheet.final_on) == (PermitState.FINAL, TODAY)
    assert [one.title for one in sheet.papers] == ["Final certificate, Trial permit"]
    with pytest.raises(ResultUnclear, match="is final"):
        ends.withdraw(permit_id, "Too late")
    sample_project.undo()
    assert permits.sheet(permit_id).state is PermitState.ISSUED


def test_who_pulls_a_permit_and_its_fee_are_recorded(sample_project: Project) -> None:
    permit_id, _measure = a_permit(sample_project)
    permits = PermitService(sample_project)
    told = PermitDay("T-1", TODAY, TODAY, None, None, "Maren", True, StatedValue(12_500))
    permits.change(permit_id, told)
    sheet = permits.sheet(permit_id)
    assert (sheet.pulled_by, sheet.is_homeowner_permit, sheet.fee_cents.value) == ("Maren", True, 12_500)
    permits.change(permit_id, PermitDay("T-2", TODAY, TODAY, None, None))
    assert permits.sheet(permit_id).pulled_by == "Maren"
