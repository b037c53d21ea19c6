"""Holds that a kind of work usually brings, made from the templates."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.permits import NewPermit, PermitService
from retrofit_desk.services.usual_holds import UsualHoldService
from retrofit_desk.services.work_log import WorkLogService, WriteUp, WrittenPlace


def measure_id(project: Project, key: str) -> int:
    with project.session() as session:
        return session.scalars(select(m.Measure.id).where(m.Measure.key == key)).one()


def told(project: Project, key: str) -> list[str]:
    return [one.sentence for one in UsualHoldService(project).offer(measure_id(project, key))]


def test_gas_is_left_in_order_by_the_templates(sample_project: Project) -> None:
    # IRC G2417: capped and tested by licensed people, after the last appliance
    with sample_project.action("Forget where the recorded hold came from") as work:
        for row in work.session.scalars(select(m.Hold).where(m.Hold.template_key == "close_gas_account")):
            row.template_key = ""
    sentences = told(sample_project, "gas-off")
    cap = next(one for one in sentences if "don't remove the gas line" in one)
    assert "the last gas appliance is out (Gas furnace)" in cap
    close = next(one for one in sentences if "don't remove the account" in one)
    assert "the new heat is tested and running" in close
    assert "the gas final has passed" in close
    assert "the meter is pulled" in close


def test_those_taken_are_one_undo_step_and_are_not_offered_again(sample_project: Project) -> None:
    service, work = UsualHoldService(sample_project), measure_id(sample_project, "casements")
    offered = service.offer(work)
    assert service.take(work, [offered[0].key]) == 1
    assert offered[0].key not in {one.key for one in service.offer(work)}
    assert any(view.sentence == offered[0].sentence for view in HoldService(sample_project).blocking())
    sample_project.undo()
    assert [one.key for one in service.offer(work)] == [one.key for one in offered]


def test_work_under_way_is_not_held_from_its_start(sample_project: Project) -> None:
    assert not any("don't start" in one and "burning" not in one for one in told(sample_project, "den-batts"))


def test_a_hold_made_before_its_permit_waits_for_the_permits_visit(sample_project: Project) -> None:
    work = measure_id(sample_project, "storage-tank")
    offered = UsualHoldService(sample_project).offer(work)
    UsualHoldService(sample_project).take(work, [one.key for one in offered])
    permit = PermitService(sample_project).add(
        NewPermit(m.PermitKind.PLUMBING, "Tank", None, (work,), is_homeowner_permit=False)
    )
    with sample_project.session() as session:
        (need,) = session.scalars(
            select(m.HoldNeed)
            .join(m.Hold)
            .where(m.Hold.measure_id == work, m.HoldNeed.kind == "permit issued")
        )
        assert need.permit_id == permit


def test_a_local_list_takes_the_place_of_the_templates(sample_project: Project) -> None:
    folder = sample_project.own_tables
    folder.mkdir(exist_ok=True)
    (folder / "hold_templates.toml").write_text(
        """[[hold]]
key = "town_photo"
action = "cover"
subject = "measure"
what = "the wall"
measures = ["casement_windows"]
because = "The town asks for it."
source = "Town list"
edition = "2026"
date = 2026-11-01
confidence = "published"
need = [{ kind = "photo set", text = "four photos are filed", paper_kind = "photo", count = 4 }]
"""
    )
    assert told(sample_project, "casements") == [
        "Not yet: don't cover the wall (Casements instead of sliders) until four photos are filed (0 of 4)."
    ]


def test_sealing_a_house_that_burns_gas_asks_for_a_safety_test_by_itself(sample_project: Project) -> None:
    # combustion safety after air sealing: common practice, no source; a qualified tester decides
    log, sealing = WorkLogService(sample_project), measure_id(sample_project, "air-sealing")
    log.record(WriteUp(sealing, date(2026, 11, 20), "Owner", notes="Sealed the top plates"))
    found = [
        view
        for view in HoldService(sample_project).blocking()
        if view.answer.hold.action is HoldAction.START and view.subject is HoldSubject.EQUIPMENT
    ]
    assert ["don't start burning (Gas furnace)" in view.sentence for view in found] == [True]
    log.record(WriteUp(sealing, date(2026, 11, 20), "Owner", notes="Sealed the hatch"))
    again = [view for view in HoldService(sample_project).blocking() if view.id == found[0].id]
    assert len(again) == 1
    with sample_project.action("Take the furnace out") as work:
        furnace = work.session.get(m.Equipment, found[0].subject_id)
        assert furnace is not None
        furnace.status, furnace.removed_on = m.EquipmentStatus.REMOVED, date(2026, 11, 20)
    assert found[0].id not in {view.id for view in HoldService(sample_project).blocking()}


def test_a_measure_and_its_usual_holds_are_one_step(sample_project: Project) -> None:
    usual, holds = UsualHoldService(sample_project), HoldService(sample_project)
    kinds = {one.key for one in usual.of_kind("insulation_batts")}
    assert {"close_walls", "pay_after_waiver"} <= kinds
    before = holds.all()
    batts = MeasureService(sample_project).add(
        "insulation_batts", "Batts, study", usual_holds=("close_walls",)
    )
    (made,) = holds.of_measure(batts)
    assert made.sentence.startswith("Not yet: don't cover what is open (Batts, study) until")
    assert sample_project.undo() == "Add Batts, study"
    assert holds.all() == before


def test_walls_of_one_room_wait_together_and_a_lone_wall_by_itself(sample_project: Project) -> None:
    with sample_project.action("Name the walls") as work:
        faces = work.session.scalars(select(m.Surface).where(m.Surface.kind == m.SurfaceKind.WALL)).all()
        rooms: dict[int, list[m.Surface]] = {}
        for face in faces:
            rooms.setdefault(face.room_id, []).append(face)
        two = next(found for found in rooms.values() if len(found) > 1)[:2]
        one = next(found for room, found in rooms.items() if room != two[0].room_id)[:1]
        measure = m.Measure(key="trial", kind="insulation_batts", title="Trial")
        measure.inputs = {"surfaces": [face.key for face in (*two, *one)]}
        work.session.add(measure)
        work.session.flush()
        trial, room_id, wall_id = measure.id, two[0].room_id, one[0].id
    service = UsualHoldService(sample_project)
    service.take(trial, [one.key for one in service.offer(trial)])
    covers = {
        (view.subject, view.subject_id)
        for view in HoldService(sample_project).of_measure(trial)
        if view.answer.hold.action is HoldAction.COVER
    }
    assert covers == {(HoldSubject.ROOM, room_id), (HoldSubject.SURFACE, wall_id)}
    assert service.offer(trial) == ()


def test_a_room_closed_in_part_still_waits_for_the_rest(sample_project: Project) -> None:
    with sample_project.action("Two walls") as work:
        den = work.session.scalars(select(m.Room).where(m.Room.key == "den")).one()
        walls = [face for face in den.surfaces if face.kind is m.SurfaceKind.WALL][:2]
        measure = m.Measure(key="trial", kind="insulation_batts", title="Trial", own_work=True)
        measure.places = [m.MeasurePlace(room_id=den.id, surface_id=face.id) for face in walls]
        work.session.add(measure)
        work.session.flush()
        hold = m.Hold(
            key="trial-den",
            action=HoldAction.COVER,
            what="the den",
            subject=HoldSubject.ROOM,
            subject_id=den.id,
            measure_id=measure.id,
        )
        for other in work.session.scalars(select(m.Hold).where(m.Hold.action == HoldAction.COVER)):
            other.done_on = date(2026, 11, 1)
        work.session.add(hold)
        work.session.flush()
        trial, hold_id, room_id = measure.id, hold.id, den.id
        first, second = (face.id for face in walls)
    log = WorkLogService(sample_project)
    for wall, is_done in ((first, False), (second, True)):
        place = WrittenPlace(room_id, wall, is_covered=True)
        log.record(WriteUp(trial, date(2026, 11, 20), "Owner", places=(place,)))
        (view,) = [one for one in HoldService(sample_project).all() if one.id == hold_id]
        assert view.is_done is is_done


@pytest.mark.parametrize("action", ["cover", "remove", "pay", "start", "energize"])
def test_the_templates_know_each_sort_of_step(sample_project: Project, action: str) -> None:
    with sample_project.action("Begin afresh") as work:
        for hold in work.session.scalars(select(m.Hold)):
            hold.template_key = ""
        for row in work.session.scalars(select(m.Measure)):
            row.state = m.MeasureState.COMMITTED
    with sample_project.session() as session:
        ids = session.scalars(select(m.Measure.id)).all()
    sentences = [one.sentence for each in ids for one in UsualHoldService(sample_project).offer(each)]
    assert any(f"don't {action} " in one for one in sentences)
