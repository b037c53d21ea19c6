"""The sample's schedule in dates, and what changes it."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.rules.schedule import CircularPlan
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.dated_steps import StepRow
from retrofit_desk.services.heat_watch import HeatWatchService
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.people import PeopleService
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.services.step_plan import StepPlanService
from retrofit_desk.services.steps import StepService, StepUnclear, WrittenStep
from retrofit_desk.services.work_days import DaysOff, DaysOffService, DaysUnclear, calendar_in


def step(project: Project, title: str) -> StepRow:
    return next(one for one in ScheduleService(project).view().steps if one.title == title)


def test_the_critical_path_runs_from_the_pour_to_the_closed_account(sample_project: Project) -> None:
    critical = [one.title for one in ScheduleService(sample_project).view().critical]
    assert critical == [
        "Pour the den floor",
        "Den topping dries",
        "Start the heat pump and fill in its sheet",
        "Two cold nights on the heat pump alone",
        "Take the furnace out",
        "Gas cut off at the main",
        "Gas account closed",
    ]


def test_slow_answers_end_the_plan_later_and_quick_ones_sooner(sample_project: Project) -> None:
    view = ScheduleService(sample_project).view()
    assert view.ends_if_quick is not None
    assert view.ends_on is not None
    assert view.ends_if_slow is not None
    assert view.ends_if_quick < view.ends_on < view.ends_if_slow


def test_a_slip_on_the_critical_path_moves_the_end_and_changes_nothing(sample_project: Project) -> None:
    before = ScheduleService(sample_project).view()
    slip = ScheduleService(sample_project).slip(step(sample_project, "Den topping dries").id, 10)
    assert slip.ends_later_by == 12  # ten days, and the weekend that now lies within the start-up
    (furnace,) = [one for one in slip.moved if one.title == "Take the furnace out"]
    assert furnace.days == 12
    assert furnace.before == step(sample_project, "Take the furnace out").start
    assert ScheduleService(sample_project).view() == before


def test_a_slip_says_which_days_without_heat_it_opens(sample_project: Project) -> None:
    start, out = "Start the heat pump and fill in its sheet", "Take the furnace out"
    slip = ScheduleService(sample_project).slip(step(sample_project, start).id, 5)
    assert (slip.gaps, slip.days_before, slip.days_after) == ((), 0, 0)  # the furnace waits for it
    drop_the_rest(sample_project, {start, out}, 60)
    begins, goes = date(2026, 11, 30), date(2026, 12, 7)
    with sample_project.action("Out on a day of its own") as work:
        for link in work.session.scalars(select(m.TaskLink)):
            work.session.delete(link)
        work.session.scalars(select(m.Task).where(m.Task.title == start)).one().not_before = begins
        work.session.scalars(select(m.Task).where(m.Task.title == out)).one().not_before = goes
    pump = step(sample_project, start)
    assert pump.last_day < goes
    longer = 10
    slip = ScheduleService(sample_project).slip(pump.id, longer)
    assert slip.days_before == 0
    # by hand: working days from the start of the pump; it heats from the day after the last of them
    with sample_project.session() as session:
        calendar = calendar_in(session)
    day, left = pump.start, int(pump.days) + longer
    while left:
        left -= day.weekday() < 5 and day not in calendar.days_off
        day += timedelta(days=1)
    assert slip.days_after == (day - goes).days
    assert slip.gaps[0].startswith(f"Heat gap of {slip.days_after} days from Dec 7, 2026")


def test_a_slip_with_days_to_spare_moves_no_end(sample_project: Project) -> None:
    slip = ScheduleService(sample_project).slip(step(sample_project, "Fit the batts").id, 5)
    assert slip.ends_later_by == 0
    assert [one.title for one in slip.moved] == ["Insulation inspection, den", "Close the den walls"]


def test_two_weeks_ahead_holds_work_and_visits_but_no_waits(sample_project: Project) -> None:
    ahead = ScheduleService(sample_project).view().look_ahead
    assert {one.title for one in ahead} >= {"Tubing inspection, den", "Pour the den floor"}
    assert all(one.start <= date(2026, 12, 4) and not one.is_wait for one in ahead)
    assert [one.start for one in ahead] == sorted(one.start for one in ahead)


def test_a_step_behind_a_hold_is_not_finished_without_its_evidence(sample_project: Project) -> None:
    pour = step(sample_project, "Pour the den floor")
    with pytest.raises(NotYet, match="don't cover the loops in the den floor"):
        StepService(sample_project).finish(pour.id)
    assert not step(sample_project, "Pour the den floor").is_done
    StepService(sample_project).finish(pour.id, reason="The inspector was on the phone and agreed")
    assert step(sample_project, "Pour the den floor").is_done
    overridden = HoldService(sample_project).overridden()
    assert "the loops in the den floor" in [one.answer.hold.what for one in overridden]


def test_work_behind_a_hold_does_not_begin_in_silence_either(sample_project: Project) -> None:
    pour = step(sample_project, "Pour the den floor")
    with pytest.raises(NotYet, match="don't cover the loops in the den floor"):
        StepService(sample_project).begin(pour.id)
    assert not step(sample_project, "Pour the den floor").is_started
    StepService(sample_project).begin(pour.id, reason="The truck stands in the drive")
    StepService(sample_project).finish(pour.id)  # the reason was given once
    told = [one.sentence for one in HoldService(sample_project).overridden()]
    assert any("The truck stands in the drive" in one for one in told)


def test_a_visit_is_finished_by_its_result_alone(sample_project: Project) -> None:
    with pytest.raises(StepUnclear, match="finished by its result"):
        StepService(sample_project).finish(step(sample_project, "Tubing inspection, den").id)


def test_what_is_done_leaves_its_followers_free(sample_project: Project) -> None:
    circuit = step(sample_project, "Heat pump circuit")
    assert circuit.waits_for == ("Plate value of the loop and floor pumps",)
    StepService(sample_project).finish(step(sample_project, "Plate value of the loop and floor pumps").id)
    assert step(sample_project, "Heat pump circuit").waits_for == ()


def test_a_firm_planned_for_two_jobs_on_the_same_days_is_told(sample_project: Project) -> None:
    assert ScheduleService(sample_project).view().double_booked == ()
    carpenter = next(
        one.id for one in PeopleService(sample_project).rows() if one.name == "Brindle Carpentry"
    )
    StepService(sample_project).add(WrittenStep("Mend the porch", TaskKind.WORK, 3.0, firm_id=carpenter))
    (twice,) = ScheduleService(sample_project).view().double_booked
    assert twice.startswith("Brindle Carpentry is planned twice from Nov 20, 2026: ")


def test_steps_that_would_wait_in_a_circle_are_refused_and_nothing_is_kept(sample_project: Project) -> None:
    before = ScheduleService(sample_project).view()
    pour, dried = step(sample_project, "Pour the den floor"), step(sample_project, "Den topping dries")
    with pytest.raises(CircularPlan, match="wait for each other"):
        StepService(sample_project).wait_for(pour.id, dried.id)
    assert ScheduleService(sample_project).view() == before


def test_a_new_link_moves_what_now_waits(sample_project: Project) -> None:
    batts, siding = step(sample_project, "Fit the batts"), step(sample_project, "Hang and prime the siding")
    StepService(sample_project).wait_for(batts.id, siding.id)
    moved = step(sample_project, "Fit the batts")
    assert "Hang and prime the siding" in moved.waits_for
    assert moved.start > siding.last_day


def test_an_agreed_day_in_the_past_is_refused(sample_project: Project) -> None:
    with pytest.raises(StepUnclear, match="is past"):
        day = date(2026, 11, 1)
        StepService(sample_project).agree_day(step(sample_project, "Fit the batts").id, day)


def test_steps_of_one_measure_wait_for_those_of_another_whichever_is_planned_first(
    sample_project: Project,
) -> None:
    # sealing before dense-pack, panel before heat pump: common practice, no source
    measures, steps = MeasureService(sample_project), StepPlanService(sample_project)
    pack = measures.add("insulation_cavity", "Dense-pack, study")
    seal = measures.add("air_sealing", "Sealing, study")
    pump = measures.add("air_source_heat_pump", "Heat pump, study")
    panel = measures.add("panel_work", "Panel, study")
    (packed,) = steps.plan(pack, ["insulation"])
    (sealed,) = steps.plan(seal, ["insulation"])
    (board,) = steps.plan(panel, ["service_and_panel"])
    (set_up,) = steps.plan(pump, ["set_equipment"])
    with sample_project.session() as session:
        links = {(row.before_id, row.after_id) for row in session.scalars(select(m.TaskLink))}
        assert {(sealed, packed), (board, set_up)} <= links
        assert (packed, sealed) not in links
    sample_project.undo()
    with sample_project.session() as session:
        assert session.get(m.Task, set_up) is None


def put_out_of_order(project: Project, kind: m.EquipmentKind) -> None:
    with project.action("It broke") as work:
        row = work.session.scalars(select(m.Equipment).where(m.Equipment.kind == kind)).one()
        row.status = m.EquipmentStatus.OUT_OF_ORDER


def drop_the_rest(project: Project, titles: set[str], more_days: float) -> None:
    """Only these steps stay open, beside one long one that gives them days to spare."""
    with project.action("Fewer steps") as work:
        for row in work.session.scalars(select(m.Task)):
            if row.title not in titles and row.state is not m.TaskState.DONE:
                row.state = m.TaskState.DROPPED
    StepService(project).add(WrittenStep("Paint the fence", TaskKind.WORK, more_days))


def test_a_house_without_heat_leaves_no_day_to_spare_to_what_brings_it(sample_project: Project) -> None:
    start = "Start the heat pump and fill in its sheet"
    drop_the_rest(sample_project, {"Heat pump circuit", start}, 60)
    before = step(sample_project, start)
    assert before.days_to_spare > 40
    put_out_of_order(sample_project, m.EquipmentKind.FURNACE)
    after = step(sample_project, start)
    assert (after.start, after.days_to_spare, after.is_critical) == (before.start, 0, True)
    assert after.start_by == after.start
    assert after.presses == "the house has no heat until this is done"
    circuit = step(sample_project, "Heat pump circuit")
    assert (circuit.days_to_spare, circuit.presses) == (0, "the house has no heat until what follows is done")
    assert step(sample_project, "Paint the fence").presses == ""
    line = next(one for one in AtHandService(sample_project).look().ready if one.title == "Heat pump circuit")
    assert line.is_late
    assert "the house has no heat" in line.why


def test_taking_the_furnace_out_too_early_makes_the_heat_pump_late_by_the_days_of_the_gap(
    sample_project: Project,
) -> None:
    start, out = "Start the heat pump and fill in its sheet", "Take the furnace out"
    drop_the_rest(sample_project, {"Heat pump circuit", start, out}, 60)
    with sample_project.action("Out first") as work:
        for link in work.session.scalars(select(m.TaskLink).join(m.Task, m.Task.id == m.TaskLink.after_id)):
            if link.after.title in (out, start):
                work.session.delete(link)
        circuit = work.session.scalars(select(m.Task).where(m.Task.title == start)).one()
        circuit.not_before = date(2026, 12, 14)
        work.session.scalars(select(m.Task).where(m.Task.title == out)).one().not_before = date(2026, 12, 7)
    pressed = step(sample_project, start)
    (gap,) = HeatWatchService(sample_project).look().gaps
    assert gap.sentence.startswith("As the plan stands: heat gap of 9 days from Dec 7, 2026")
    assert pressed.presses == "from Dec 7, 2026 the house has no heat until this is done"
    assert pressed.start_by < pressed.start
    assert pressed.days_to_spare < 0


def test_a_warm_summer_presses_nothing(sample_project: Project) -> None:
    start = "Start the heat pump and fill in its sheet"
    drop_the_rest(sample_project, {start}, 300)
    with sample_project.action("In June") as work:
        site = work.session.scalars(select(m.Site)).one()
        site.story_date = date(2027, 6, 1)
        furnace = select(m.Equipment).where(m.Equipment.kind == m.EquipmentKind.FURNACE)
        work.session.scalars(furnace).one().removed_on = date(2027, 5, 30)
        work.session.scalars(furnace).one().status = m.EquipmentStatus.REMOVED
    assert step(sample_project, start).presses == ""
    assert HeatWatchService(sample_project).look().gaps == ()


def test_a_machine_that_only_the_plan_knows_ends_a_gap_too(oil_folder: Path, tmp_path: Path) -> None:
    with Project.open(Path(shutil.copytree(oil_folder, tmp_path / "Oil.retrofit"))) as project:
        put_out_of_order(project, m.EquipmentKind.BOILER)
        (gap, *_water) = HeatWatchService(project).look().gaps
        pump = step(project, "Set and start the heat pump")
        assert gap.sentence.startswith("As the plan stands: heat gap")
        assert gap.days == (pump.last_day - date(2026, 10, 12)).days + 1
        assert pump.presses == "the house has no heat until this is done"
        assert pump.days_to_spare == 0


def test_the_owners_days_off_move_the_work_and_undo_brings_it_back(sample_project: Project) -> None:
    service = DaysOffService(sample_project)
    before = step(sample_project, "Plates and tubing, upper level and bath")
    service.keep((DaysOff(date(2026, 12, 1), date(2026, 12, 4), "Family visit"),))
    after = step(sample_project, "Plates and tubing, upper level and bath")
    assert (before.start, after.start) == (date(2026, 12, 1), date(2026, 12, 7))
    assert service.view().own[0].sentence == "Dec 1, 2026 to Dec 4, 2026: Family visit"
    sample_project.undo()
    assert step(sample_project, "Plates and tubing, upper level and bath") == before
    with pytest.raises(DaysUnclear, match="before they begin"):
        service.keep((DaysOff(date(2026, 12, 4), date(2026, 12, 1)),))


def test_thanksgiving_is_no_working_day_of_the_sample(sample_project: Project) -> None:
    view = ScheduleService(sample_project).view()
    assert all(one.start != date(2026, 11, 26) for one in view.open_steps if not one.is_wait)
    assert "Thu Nov 26, 2026: Thanksgiving Day" in DaysOffService(sample_project).view().holidays
