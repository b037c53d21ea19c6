"""The sample's schedule in dates, and what changes it."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.rules.schedule import CircularPlan
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.people import PeopleService
from retrofit_desk.services.schedule import ScheduleService, StepRow
from retrofit_desk.services.step_plan import StepPlanService
from retrofit_desk.services.steps import StepService, StepUnclear, WrittenStep


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
