"""The past: any day of it, one row put back, and ten steps of any kind taken back to the byte."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from retrofit_desk.records import models as m
from retrofit_desk.records.errors import NothingTo, OnlyForReading
from retrofit_desk.records.project import Project
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.days import today_of
from retrofit_desk.services.hazard_entry import HazardEntryService, WrittenFind
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenChange, WrittenPayment
from retrofit_desk.services.papers import Filing, PaperKind, PaperService
from retrofit_desk.services.past import NoSuchDay, PastService, restored
from retrofit_desk.services.people import FirmKind, PeopleService, WrittenFirm
from retrofit_desk.services.permits import PermitService
from retrofit_desk.services.steps import StepService, WrittenStep
from retrofit_desk.services.visits import VisitResult, VisitService, WrittenCorrection
from retrofit_desk.services.work_log import WorkLogService, WriteUp
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.stated import StatedValue
from tests.journeys.papers import a_letter
from tests.records.builders import everything_stored

MARCH = datetime(2026, 3, 2, 17, tzinfo=UTC)


class Days:
    """A clock that the test moves."""

    def __init__(self) -> None:
        self.now = MARCH

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now

    def wait(self, days: int) -> None:
        self.now += timedelta(days=days)


@pytest.fixture
def days() -> Days:
    return Days()


@pytest.fixture
def project(tmp_path: Path, days: Days) -> Iterator[Project]:
    with Project.create(tmp_path / "house", clock=days) as made:
        yield made


def titles(project: Project) -> list[str]:
    return [row.title for row in MeasureService(project).rows()]


def test_what_was_known_on_a_day_is_shown_as_of_that_day(project: Project, days: Days) -> None:
    measures = MeasureService(project)
    first = measures.add("air_sealing", "Seal the attic")
    days.wait(10)
    measures.add("induction_range", "Induction range")
    measures.cost_it(first, StatedValue(98_000), "Own costing")
    with PastService(project).look_at(date(2026, 3, 5)) as past:
        assert titles(past) == ["Seal the attic"]
        assert MeasureService(past).rows()[0].state is MeasureState.IDEA
        with past.session() as session:
            assert today_of(session) == date(2026, 3, 5)
        with pytest.raises(OnlyForReading, match="a day of the past is only looked at"):
            MeasureService(past).add("air_sealing", "Too late")
    assert len(titles(project)) == 2


def test_a_day_to_come_and_one_before_the_record_are_refused_in_one_line(project: Project) -> None:
    MeasureService(project).add("air_sealing", "Seal the attic")
    past = PastService(project)
    with pytest.raises(NoSuchDay, match="has not come yet"):
        past.look_at(date(2026, 3, 3))
    with pytest.raises(
        NoSuchDay, match=r"nothing was recorded on Feb 1, 2026 yet\. The first line is of Mar 2"
    ):
        past.look_at(date(2026, 2, 1))


def test_the_record_right_after_one_line_can_be_looked_at(project: Project) -> None:
    measures = MeasureService(project)
    measures.add("air_sealing", "Seal the attic")
    measures.add("induction_range", "Induction range")
    past = PastService(project)
    with past.look_after(past.lines()[-1]) as then:
        assert titles(then) == ["Seal the attic"]


def test_one_row_is_put_back_and_undo_takes_that_back(project: Project, days: Days) -> None:
    measures = MeasureService(project)
    kept = measures.add("air_sealing", "Seal the attic")
    measures.cost_it(kept, StatedValue(98_000), "Own costing")
    measures.add("induction_range", "Induction range")
    past = PastService(project)
    (costing,) = [line for line in past.lines_of("measure", kept) if line.title == "Cost a measure"]
    row = next(one for one in past.changed(costing.action_id) if one.table == "measure")
    assert row.what == "measure “Seal the attic”"
    assert ("Cost", "nothing", "$980.00") in row.columns
    before = everything_stored(project)
    assert past.put_back(row) == "Put back: measure “Seal the attic”"
    assert not MeasureService(project).rows()[0].cost_cents.is_known
    assert titles(project) == ["Seal the attic", "Induction range"]
    with pytest.raises(NothingTo):
        past.put_back(row)
    project.undo()
    assert everything_stored(project) == before


def test_the_facts_of_a_measure_are_told_one_by_one_in_the_owners_words(project: Project) -> None:
    kept = MeasureService(project).add("air_sealing", "Seal the attic")
    for flow in (0.5, 0.4):
        with project.action("State the leakage") as work:
            work.session.get_one(m.Measure, kept).inputs = {"flow_50pa_m3_s": flow, "flow_exponent": 0.65}
    past = PastService(project)
    row = past.changed(past.lines()[0].action_id, Units.SI)[0]
    assert row.columns == (("Leakage at 50 Pa", "500 L/s", "400 L/s"),)


def test_what_was_ticked_is_told_as_yes_or_no(project: Project) -> None:
    HazardEntryService(project).record(
        WrittenFind("asbestos", "Duct wrap", HazardState.FOUND, date(2026, 3, 1), stops_work=True)
    )
    past = PastService(project)
    (find,) = [
        row for row in past.changed(past.lines()[0].action_id) if row.what.startswith("hazard finding")
    ]
    assert ("Stops work", "nothing", "yes") in find.columns


def test_a_backup_is_put_back_and_what_it_replaced_is_kept(tmp_path: Path) -> None:
    with Project.create(tmp_path / "house") as project:
        MeasureService(project).add("air_sealing", "Seal the attic")
        project.backup_now()
        MeasureService(project).add("induction_range", "Induction range")
        path, backup = project.path, PastService(project).backups()[0]
    told = restored(path, backup)
    assert told.startswith("The record stands as in the backup")
    with Project.open(path) as project:
        assert titles(project) == ["Seal the attic"]
        assert len(PastService(project).backups()) == 2


def test_a_clock_set_back_neither_reorders_nor_loses_anything(project: Project, days: Days) -> None:
    measures = MeasureService(project)
    measures.add("air_sealing", "Seal the attic")
    days.wait(-400)
    measures.add("induction_range", "Induction range")
    assert [line.title for line in PastService(project).lines()] == [
        "Add Induction range",
        "Add Seal the attic",
    ]
    project.undo()
    assert titles(project) == ["Seal the attic"]
    project.redo()
    assert titles(project) == ["Seal the attic", "Induction range"]


# --- ten steps of any kind -----------------------------------------------------------

Act = Callable[[Project, int], object]
TODAY = date(2026, 11, 20)


def _any(rows: tuple[object, ...] | list[object], number: int) -> int:
    return rows[number % len(rows)].id  # type: ignore[attr-defined,no-any-return]


def _write_up(project: Project, number: int) -> object:
    measure = _any(MeasureService(project).rows(), number)
    return WorkLogService(project).record(WriteUp(measure, TODAY, "Owner", notes=f"Hour {number}"))


def _move(project: Project, number: int) -> object:
    state = list(MeasureState)[number % len(MeasureState)]
    measure = _any(MeasureService(project).rows(), number)
    return MeasureService(project).move(measure, state, reason=f"Reason {number}")


def _pay(project: Project, number: int) -> object:
    money = MoneyService(project)
    sheet = money.sheet(_any(money.contracts(), number))
    stage = sheet.stages[number % len(sheet.stages)]
    return money.pay_stage(stage.id, WrittenPayment(max(stage.due_cents, 1), TODAY, reason="It was agreed"))


def _change_order(project: Project, number: int) -> object:
    money = MoneyService(project)
    return money.record_change(_any(money.contracts(), number), WrittenChange(TODAY, "Rot", 100 * number))


def _visit(project: Project, number: int) -> object:
    permits = PermitService(project)
    visits = [one for office in permits.authorities() for sheet in office.permits for one in sheet.visits]
    told = VisitResult(TODAY, InspectionResult.FAILED, corrections=(WrittenCorrection(f"Item {number}"),))
    return VisitService(project).record_result(_any(visits, number), told)


def _step(project: Project, number: int) -> object:
    return StepService(project).add(WrittenStep(f"Step {number}", m.TaskKind.WORK, number % 7))


def _hold(project: Project, number: int) -> object:
    return HoldService(project).do_step(_any(HoldService(project).all(), number), reason="Seen", by="owner")


def _firm(project: Project, number: int) -> object:
    return PeopleService(project).record(WrittenFirm(f"Firm {number}", FirmKind.CONTRACTOR))


def _paper(project: Project, number: int) -> object:
    letter = a_letter(project.path.parent / f"letter {number % 3}.pdf", f"Letter {number % 3}")
    return PaperService(project).file(letter, Filing(PaperKind.LETTER, f"Letter {number}"))


def _take_out(project: Project, number: int) -> object:
    papers = PaperService(project)
    return papers.take_out(_any(papers.rows(), number))


ACTS: tuple[Act, ...] = (
    *(_write_up, _move, _pay, _change_order, _visit, _step, _hold, _firm, _paper, _take_out),
)


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.sampled_from(ACTS), st.integers(0, 40)), min_size=10, max_size=10))
def test_ten_steps_of_any_kind_are_taken_back_to_the_byte(
    sample_folder: Path, acts: list[tuple[Act, int]]
) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(shutil.copytree(sample_folder, Path(place) / sample_folder.name))
        with Project.open(folder) as project:
            given_steps = len(project.history())
            before = everything_stored(project)
            for act, number in acts:
                with suppress(DeskError):
                    act(project, number)
            done = len(project.history()) - given_steps
            after = everything_stored(project)
            for _ in range(done):
                project.undo()
            assert everything_stored(project) == before
            for _ in range(done):
                project.redo()
            assert everything_stored(project) == after
