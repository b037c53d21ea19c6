"""The model's months beside the bills, in the meter's own unit."""

import pytest
from sqlalchemy import select

from retrofit_desk.estimate.savings import YearSummary
from retrofit_desk.estimate.scenario import MonthlyUse
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.services.fuel_rows import kwh_per_unit
from retrofit_desk.services.modeled_use import ModeledUseService, months_of

THERM_KWH = 29.3071  # 100,000 Btu: NIST SP 811 (2008), appendix B


def a_year(*uses: MonthlyUse) -> YearSummary:
    return YearSummary(uses, (), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, ())


def test_before_the_first_sum_there_is_no_model(sample_project: Project) -> None:
    with sample_project.outside_history() as work:
        for row in work.session.scalars(select(m.SavingsResult)):
            work.session.delete(row)
    assert ModeledUseService(sample_project).year() is None


def test_all_uses_of_one_fuel_are_added_and_counted_as_the_meter_counts() -> None:
    meter = m.Meter(key="gas", name="Gas meter", fuel=m.Fuel.GAS, unit=m.EnergyUnit.THERM)
    year = a_year(
        MonthlyUse("gas", "heating", (THERM_KWH,) * 12),
        MonthlyUse("gas", "hot water", (2 * THERM_KWH,) * 12),
        MonthlyUse("electricity", "lights and plugs", (100.0,) * 12),
    )
    months = months_of(year, meter, kwh_per_unit(meter, Tables()))
    assert months == pytest.approx((3.0,) * 12, rel=1e-4)
