"""The fit of the sample house to its own bills: kept, shown, and out of date when its inputs change."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.bills_fit import BillsFitService, FitToBills, year_of_bills
from retrofit_desk.values.errors import CannotSay


@pytest.fixture
def project(fitted_folder: Path, tmp_path: Path) -> Iterator[Project]:
    """A copy of the sample house of this test's own, fitted to its bills."""
    with Project.open(
        Path(shutil.copytree(fitted_folder, tmp_path / "fitted" / fitted_folder.name))
    ) as opened:
        yield opened


@pytest.fixture
def found(project: Project) -> FitToBills:
    kept = BillsFitService(project).latest()
    assert kept is not None
    return kept


def test_the_sample_meets_its_bills_within_the_guidelines_limits(found: FitToBills) -> None:
    # FIT-5: ASHRAE Guideline 14-2014, monthly: CV(RMSE) 15 %, NMBE 5 % (second-hand)
    assert [fuel.fuel for fuel in found.fuels] == ["gas", "electricity"]
    for fuel in found.fuels:
        assert fuel.fitted.cv < 0.15
        assert abs(fuel.fitted.bias) < 0.05
        assert fuel.fitted.cv <= fuel.described.cv


def test_only_bills_of_before_the_first_work_count(found: FitToBills) -> None:
    assert found.until == date(2025, 10, 24)
    for fuel in found.fuels:
        assert len(fuel.periods) == 11
        assert max(one.end for one in fuel.periods) <= found.until


def test_leakage_and_the_envelope_are_said_to_be_not_told_apart(found: FitToBills) -> None:
    pairs = {frozenset((pair.one, pair.other)) for pair in found.alike}
    assert frozenset(("air leakage", "heat loss of the envelope")) in pairs


def test_the_months_hold_what_was_billed_and_what_was_not(found: FitToBills) -> None:
    gas = year_of_bills(found.fuels[0])
    assert [month for month, kwh in enumerate(gas.measured, start=1) if kwh is None] == [10]
    january = gas.measured[0]
    assert january is not None
    assert january > 8 * (gas.measured[6] or 0.0)


def test_a_kept_fit_is_no_step_to_undo_and_up_to_date(project: Project, sample_project: Project) -> None:
    assert project.undo_title == sample_project.undo_title
    assert BillsFitService(project).changed_since() == ()


def test_a_corrected_bill_or_wall_makes_the_fit_out_of_date(project: Project) -> None:
    with project.action("Correct a bill") as work:
        query = select(m.Bill).join(m.Meter).where(m.Meter.key == "gas-meter").order_by(m.Bill.period_start)
        bill = work.session.scalars(query).first()
        assert bill is not None
        bill.quantity = 90.0
    (told,) = BillsFitService(project).changed_since()
    assert told.startswith("the billing of Gas meter was changed")
    project.undo()
    assert BillsFitService(project).changed_since() == ()


def test_a_bill_of_after_the_work_leaves_the_fit_as_it_is(project: Project) -> None:
    with project.action("Correct a bill") as work:
        query = select(m.Bill).order_by(m.Bill.period_start.desc())
        bill = work.session.scalars(query).first()
        assert bill is not None
        bill.quantity = 90.0
    assert BillsFitService(project).changed_since() == ()


def test_a_house_without_bills_gets_a_clear_line(project: Project) -> None:
    with project.action("Take the bills out") as work:
        for bill in work.session.scalars(select(m.Bill)):
            work.session.delete(bill)
    with pytest.raises(CannotSay, match="two bills or more"):
        BillsFitService(project).fit()


def test_fuel_by_the_fill_is_fitted_from_one_fill_to_the_next(project: Project) -> None:
    with project.action("Fills instead of readings") as work:
        query = select(m.Bill).join(m.Meter).where(m.Meter.key == "gas-meter")
        for bill in work.session.scalars(query):
            bill.kind, bill.period_start = m.BillKind.DELIVERY, bill.period_end
            bill.period_end = bill.period_start + timedelta(days=1)
    gas = BillsFitService(project).fit().fuels[0]
    # the first fill only fills up: one period fewer than bills, each as long as between two fills
    assert len(gas.periods) == 10
    assert gas.periods[0].start == date(2024, 12, 4)
    assert all(28 <= (one.end - one.start).days <= 31 for one in gas.periods)
    assert gas.fitted.is_within_limits
