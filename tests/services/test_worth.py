"""The savings sum of a recorded house: kept, found again, out of date with the reason, or not kept at all."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import func, select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.worth import FactsMissing, OutOfDate, WorthService
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import Stated, StatedValue
from tests.services.small_house import a_recorded_house


class Stopped(Exception):
    """The owner asked the work to stop."""


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with a_recorded_house(tmp_path / "house") as made:
        yield made


@pytest.fixture(scope="module")
def worked_out(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Project, WorthService]]:
    """A house with its sum; tests that change it undo what they did."""
    with a_recorded_house(tmp_path_factory.mktemp("worth") / "house") as made:
        service = WorthService(made)
        service.savings()
        yield made, service


def kept_sums(project: Project) -> int:
    with project.session() as session:
        return session.scalar(select(func.count()).select_from(m.SavingsResult)) or 0


def measure_called(session, key: str) -> m.Measure:  # type: ignore[no-untyped-def]
    found = session.scalars(select(m.Measure).where(m.Measure.key == key)).one()
    assert isinstance(found, m.Measure)
    return found


def test_a_sum_is_kept_and_found_again_as_it_was(project: Project) -> None:
    found = WorthService(project).savings()
    assert [line.key for line in found.lines] == ["sealing", "induction"]
    assert found.whole.fuel_removed.value > 1000.0
    assert WorthService(project).latest() == found
    assert kept_sums(project) == 1


def test_a_new_sum_is_up_to_date(worked_out: tuple[Project, WorthService]) -> None:
    _, service = worked_out
    assert service.changed_since() == ()
    assert not service.is_out_of_date()


def test_a_sum_is_no_step_that_undo_takes_back(worked_out: tuple[Project, WorthService]) -> None:
    project, _ = worked_out
    assert project.undo_title == "Describe the house"


def test_what_was_changed_since_is_told_and_undo_takes_it_off(
    worked_out: tuple[Project, WorthService],
) -> None:
    project, service = worked_out
    with project.action("Seal better") as work:
        measure_called(work.session, "sealing").inputs = {"flow_50pa_m3_s": 0.18}
    assert service.changed_since() == (
        "the measure Air sealing was changed (Leakage at 50 Pa: from 424 cfm to 381 cfm)",
    )
    project.undo()
    assert not service.is_out_of_date()


def test_another_order_makes_it_out_of_date_in_one_undo_step(
    worked_out: tuple[Project, WorthService],
) -> None:
    project, service = worked_out
    rows = MeasureService(project).rows()
    MeasureService(project).set_order([row.id for row in reversed(rows)])
    (told,) = service.changed_since()
    assert told == (
        "the order of the line-up was changed (Air sealing: from place 1 to place 2; "
        "Induction range: from place 2 to place 1)"
    )
    project.undo()
    assert not service.is_out_of_date()


def test_a_measure_taken_out_and_a_cost_typed_in_are_both_told(
    worked_out: tuple[Project, WorthService],
) -> None:
    project, service = worked_out
    with project.action("Think again") as work:
        measure_called(work.session, "induction").in_line_up = False
    told = service.changed_since()
    assert "the measure Induction range was taken away" in told
    assert any(line.startswith("the order of the line-up was changed") for line in told)
    project.undo()
    with project.action("Cost it") as work:
        measure_called(work.session, "sealing").set_stated("cost_cents", StatedValue(300_000))
    (told_cost,) = service.changed_since()
    assert told_cost.startswith("the list of costs and rebates was changed (Air sealing, cost: ")
    assert "to $3,000.00" in told_cost
    project.undo()


def test_an_unknown_cost_is_told_as_unknown(project: Project) -> None:
    with project.action("Forget the cost") as work:
        cost = StatedValue[int](None, Stated.NOT_STATED)
        measure_called(work.session, "sealing").set_stated("cost_cents", cost)
    found = WorthService(project).savings()
    assert found.lines[0].payback_words == "cost not stated"
    assert found.whole.cost.not_stated == 1


def test_a_cancel_keeps_nothing(project: Project) -> None:
    def cancel(share: float, doing: str) -> None:
        if share > 0.4:
            raise Stopped

    with pytest.raises(Stopped):
        WorthService(project).savings(cancel)
    assert kept_sums(project) == 0
    assert WorthService(project).latest() is None


def test_a_sum_of_an_older_program_is_not_shown(project: Project) -> None:
    service = WorthService(project)
    service.savings()
    with project.outside_history() as work:
        work.session.scalars(select(m.SavingsResult)).one().program_version = "0.0.1"
    assert service.latest() is None


def test_missing_facts_and_missing_values_are_named(project: Project) -> None:
    with project.action("Empty the facts") as work:
        measure_called(work.session, "induction").inputs = {}
    # by the words of the form, not by the name with its unit
    with pytest.raises(FactsMissing, match="“Efficiency” is not stated"):
        WorthService(project).savings()
    project.undo()
    with project.action("Move away") as work:
        work.session.scalars(select(m.Site)).one().state = "ZZ"
    with pytest.raises(CannotSay, match="the carbon of the grid"):
        WorthService(project).savings()


def test_an_order_that_cannot_be_gone_is_told_before_anything_is_run(project: Project) -> None:
    service = WorthService(project)
    assert service.obstacle() == ""
    with project.action("Close the account") as work:
        work.session.add(
            m.Measure(
                key="gas-off",
                kind="gas_account_closed",
                title="Gas account closed",
                inputs={"account": "gas"},
                position=5,
            )
        )
    assert "something still burns gas" in service.obstacle()


def test_fair_parts_are_counted_into_the_kept_sum_and_add_up(project: Project) -> None:
    service = WorthService(project)
    found = service.savings()
    assert all(line.fair_part is None for line in found.lines)
    counted = service.fair_parts()
    assert service.latest() == counted
    parts = [line.fair_part.money_saved_cents for line in counted.lines if line.fair_part is not None]
    assert len(parts) == 2
    assert sum(parts) == pytest.approx(found.whole.money_saved.value, abs=1e-6)
    assert counted.whole == found.whole
    assert not service.is_out_of_date()


def test_a_sum_worked_out_again_from_the_same_keeps_its_fair_parts(project: Project) -> None:
    service = WorthService(project)
    service.savings()
    counted = service.fair_parts()
    again = service.savings()
    assert [line.fair_part for line in again.lines] == [line.fair_part for line in counted.lines]
    assert again.every_set_was_run
    with project.action("Seal better") as work:
        measure_called(work.session, "sealing").inputs = {"flow_50pa_m3_s": 0.18}
    assert not service.savings().fair_parts_are_counted


def test_fair_parts_wait_for_a_sum_of_the_house_as_it_is(project: Project) -> None:
    service = WorthService(project)
    with pytest.raises(OutOfDate, match="Work the sum out first"):
        service.fair_parts()
    service.savings()
    with project.action("Seal better") as work:
        measure_called(work.session, "sealing").inputs = {"flow_50pa_m3_s": 0.18}
    with pytest.raises(OutOfDate):
        service.fair_parts()


def test_fair_parts_that_are_cancelled_leave_the_sum_as_it_was(project: Project) -> None:
    def cancel(share: float, doing: str) -> None:
        if "set" in doing:
            raise Stopped

    service = WorthService(project)
    found = service.savings()
    with pytest.raises(Stopped):
        service.fair_parts(cancel)
    assert service.latest() == found
