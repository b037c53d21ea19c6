from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import CannotMove, MeasureService
from retrofit_desk.services.work_log import (
    EntryUnclear,
    WorkLogService,
    WriteUp,
    WrittenItem,
    WrittenPhoto,
    WrittenPlace,
    WrittenTest,
    serial_from_name,
)
from retrofit_desk.values.stated import Stated, StatedValue

TODAY = date(2026, 11, 20)


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    """A committed floor; the pour waits for a pressure test and a photo of the loops."""
    with Project.create(tmp_path / "house") as made:
        with made.action("Tell the story") as work:
            den = m.Room(key="den", name="Den", floor_area_m2=14.0)
            floor = m.Measure(
                key="floor",
                kind="radiant_floor",
                title="Floor loops in the den",
                state=MeasureState.COMMITTED,
            )
            floor.cost_cents, floor.own_work = 96000, True
            work.session.add_all([m.Site(name="Maple House", story_date=TODAY), floor])
            work.session.add(m.Storey(key="lower", name="Lower level", rooms=[den]))
            work.session.flush()
            needs = [
                m.HoldNeed(
                    kind=m.NeedKind.TEST, text="the loops have held pressure", test_kind="floor_pressure"
                ),
                m.HoldNeed(kind=m.NeedKind.PHOTO_SET, text="the loops are photographed", position=1),
            ]
            work.session.add(
                m.Hold(
                    key="pour",
                    action=HoldAction.COVER,
                    what="the loops in the den",
                    subject=m.HoldSubject.ROOM,
                    subject_id=den.id,
                    measure_id=floor.id,
                    needs=needs,
                )
            )
        yield made


def pressure(value_kpa: float | None, minutes: float | None = 35.0) -> WrittenTest:
    stated = StatedValue(value_kpa) if value_kpa is not None else StatedValue[float](None, Stated.NOT_STATED)
    return WrittenTest("floor_pressure", "Loop pressure", stated, "kPa", 689.5, None, minutes, 30.0)


def told(**changes: object) -> WriteUp:
    facts = {"measure_id": 1, "worked_on": date(2026, 11, 19), "who": "Owner"}
    return WriteUp(**(facts | changes))  # type: ignore[arg-type]


def a_photo(tmp_path: Path, need: int | None) -> WrittenPhoto:
    path = tmp_path / "loops.jpg"
    path.write_bytes(b"\xff\xd8\xff loops")
    return WrittenPhoto(path, "Loops before the pour", room_id=1, tape_in_view=True, answers_need_id=need)


def test_one_sitting_records_everything_and_says_what_it_frees(project: Project, tmp_path: Path) -> None:
    written = WorkLogService(project).record(
        told(
            hours=StatedValue(6.5),
            places=(WrittenPlace(1, inside="five loops, 15 cm apart"),),
            items=(WrittenItem("Floor pipe", "Tamarack", "T-16", "TK-88201"),),
            tests=(pressure(700.0),),
            photos=(a_photo(tmp_path, 2),),
        )
    )
    assert (written.before, written.after) == (MeasureState.COMMITTED, MeasureState.UNDER_WAY)
    assert written.effect.frees == ("Free since Nov 19, 2026: cover the loops in the den.",)
    sheet = MeasureService(project).sheet(1)
    (entry,) = sheet.entries
    assert (entry.items[0].serial, entry.inside) == ("TK-88201", ("five loops, 15 cm apart",))
    assert [paper.title for paper in sheet.papers] == ["Loops before the pour"]


def test_what_still_blocks_is_said_at_once(project: Project) -> None:
    written = WorkLogService(project).record(told(tests=(pressure(700.0),)))
    assert written.effect.frees == ()
    assert written.effect.still_blocks == (
        "Not yet: don't cover the loops in the den until the loops are photographed.",
    )


@pytest.mark.parametrize(
    ("value", "minutes", "passed"), [(689.5, 30, True), (689.4, 30, False), (700, 29, False)]
)
def test_a_test_passes_within_its_limits_for_its_minutes(value: float, minutes: float, passed: bool) -> None:
    assert pressure(value, minutes).passed is passed


def test_a_test_without_value_or_minutes_says_nothing() -> None:
    assert pressure(None).passed is None
    assert pressure(700.0, None).passed is None


def test_complete_work_with_a_failed_test_is_not_in_place(project: Project) -> None:
    written = WorkLogService(project).record(told(is_complete=True, tests=(pressure(600.0),)))
    assert written.after is MeasureState.UNDER_WAY
    with pytest.raises(CannotMove, match="the test passed: Loop pressure"):
        MeasureService(project).move(1, MeasureState.IN_PLACE)


def test_complete_and_tested_work_is_in_place_and_the_owner_signs_it_off(project: Project) -> None:
    WorkLogService(project).record(told(is_complete=True, tests=(pressure(700.0),)))
    measures = MeasureService(project)
    measures.accept_work(1)
    row = measures.rows()[0]
    assert (row.state, row.notches, row.placed_in_service_on) == (MeasureState.SIGNED_OFF, 6, TODAY)


def test_one_undo_takes_the_whole_write_up_back(project: Project, tmp_path: Path) -> None:
    WorkLogService(project).record(told(tests=(pressure(700.0),), photos=(a_photo(tmp_path, 2),)))
    assert project.undo() == "Write up the work"
    sheet = MeasureService(project).sheet(1)
    assert (sheet.entries, sheet.papers, sheet.row.state) == ((), (), MeasureState.COMMITTED)
    assert len(HoldService(project).blocking()) == 1


@pytest.mark.parametrize(
    ("changes", "says"), [({"who": " "}, "nobody is named"), ({"worked_on": date(2027, 1, 1)}, "lies ahead")]
)
def test_an_unclear_entry_is_refused_in_one_line(
    project: Project, changes: dict[str, object], says: str
) -> None:
    with pytest.raises(EntryUnclear, match=says):
        WorkLogService(project).record(told(**changes))
    assert MeasureService(project).sheet(1).entries == ()


def test_a_broken_photo_leaves_nothing_half_recorded(project: Project, tmp_path: Path) -> None:
    gone = WrittenPhoto(tmp_path / "gone.jpg", "Gone")
    with pytest.raises(Exception, match="gone"):
        WorkLogService(project).record(told(photos=(gone,)))
    assert MeasureService(project).sheet(1).entries == ()


@pytest.mark.parametrize(
    ("name", "serial"), [("tank serial=HW-20417.jpg", "HW-20417"), ("sn_88-A2.png", "88-A2"), ("den.jpg", "")]
)
def test_a_serial_is_read_from_the_photos_name(name: str, serial: str) -> None:
    assert serial_from_name(Path(name)) == serial
