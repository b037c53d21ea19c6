"""The end of gas: nothing burns it, the line is capped, the meter pulled, the account closed."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.estimate.savings import YearSummary
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.services.account_closing import AccountClosingService, AccountEnd, AccountUnclear
from retrofit_desk.services.equipment_entry import EquipmentEntryService
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import CannotMove, MeasureService
from retrofit_desk.services.worth import WorthService
from tests.services.small_house import a_recorded_house

TODAY = date(2026, 11, 20)


def gas(project: Project) -> AccountEnd | None:
    with project.session() as session:
        meter = session.scalars(select(m.Meter.id).where(m.Meter.fuel == m.Fuel.GAS)).one()
    return AccountClosingService(project).of_meter(meter)


def test_the_account_stays_while_the_furnace_burns(sample_project: Project) -> None:
    # BILL-9: the fixed charge goes only with the last appliance
    end = gas(sample_project)
    assert end is not None
    assert end.burns == ("Gas furnace",)
    with pytest.raises(NotYet):
        AccountClosingService(sample_project).close(end.account_id, TODAY)
    assert gas(sample_project) == end


def test_oil_without_any_recorded_hold_waits_for_the_boiler_too(sample_project: Project) -> None:
    with sample_project.action("An oil account") as work:
        account = m.UtilityAccount(key="oil", utility="Fernway Oil", fuel=m.Fuel.OIL)
        boiler = m.Equipment(key="boiler", kind=m.EquipmentKind.BOILER, name="Oil boiler", fuel=m.Fuel.OIL)
        work.session.add_all([account, boiler])
        work.session.flush()
        account_id, boiler_id = account.id, boiler.id
    service = AccountClosingService(sample_project)
    with pytest.raises(NotYet, match="Oil boiler is out"):
        service.close(account_id, TODAY)
    with pytest.raises(AccountUnclear, match="lies ahead"):
        service.close(account_id, date(2027, 1, 1))
    EquipmentEntryService(sample_project).take_out(boiler_id, TODAY)
    service.close(account_id, TODAY)
    with sample_project.session() as session:
        closed = session.get(m.UtilityAccount, account_id)
        assert closed is not None
        assert closed.closed_on == TODAY


HEAT_PUMP = {
    "heads": 3,
    "capacity_at_8c_w": 10_500.0,
    "cop_at_8c": 3.6,
    "capacity_at_minus_8c_w": 8200.0,
    "cop_at_minus_8c": 2.3,
    "cooling_capacity_w": 9000.0,
    "cooling_cop": 3.8,
    "refrigerant": "R-32",
    "refrigerant_charge_kg": 2.6,
}
WATER_HEATER = {
    "volume_l": 250.0,
    "loss_w_k": 2.0,
    "compressor_heat_w": 1800.0,
    "cop_rated": 3.4,
    "element_w": 4500.0,
    "set_point_c": 52.0,
    "stands_in": "room",
}


def test_the_closed_account_ends_its_fixed_charge_in_a_new_sum(tmp_path: Path) -> None:
    # BILL-9: the fixed charge goes only with the account
    with a_recorded_house(tmp_path / "house") as project:
        with project.action("Electrify") as work:
            for kind, facts in (
                ("air_source_heat_pump", HEAT_PUMP),
                ("heat_pump_water_heater", WATER_HEATER),
            ):
                row = m.Measure(key=kind, kind=kind, title=kind, inputs=facts, position=5, cost_cents=900_000)
                work.session.add(row)
            account = work.session.scalars(select(m.UtilityAccount)).one().id
        worth, closing = WorthService(project), AccountClosingService(project)
        open_still = worth.savings()
        assert [bill.is_closed for bill in open_still.after.bills if bill.fuel == "gas"] == [False]
        fixed = gas_bill(open_still.after)
        assert fixed > 0  # nothing burns gas any more, and the account still costs
        with pytest.raises(NotYet, match="Gas furnace is out"):
            closing.close(account, TODAY)
        with project.session() as session:
            burns = session.scalars(select(m.Equipment.id).where(m.Equipment.fuel == m.Fuel.GAS)).all()
        for machine in burns:
            EquipmentEntryService(project).take_out(machine, TODAY)
        closing.close(account, TODAY)
        assert worth.is_out_of_date()
        assert "the end of the account for gas was added" in worth.changed_since()
        closed = worth.savings()
        assert gas_bill(closed.after) == 0
        assert gas_bill(closed.before) == gas_bill(open_still.before)
        assert closed.before.total_cents == open_still.before.total_cents
        assert open_still.after.total_cents - closed.after.total_cents == fixed
        assert worth.changed_since() == ()
        project.undo()  # the new sum is no step of its own
        assert gas_bill(worth.savings().after) == fixed


def gas_bill(year: YearSummary) -> int:
    return next(bill.total_cents for bill in year.bills if bill.fuel == "gas")


def test_closing_for_a_reason_stays_visible_and_files_the_final_bill(
    sample_project: Project, tmp_path: Path
) -> None:
    end, bill = gas(sample_project), tmp_path / "final.pdf"
    bill.write_bytes(b"%PDF-1.4 final bill")
    assert end is not None
    service = AccountClosingService(sample_project)
    service.close(end.account_id, TODAY, reason="The street main is closed", paper=bill)
    assert gas(sample_project) is None
    told = [one.sentence for one in HoldService(sample_project).overridden()]
    assert any("The street main is closed" in one for one in told)
    with sample_project.session() as session:
        (meter,) = session.scalars(select(m.Meter).where(m.Meter.fuel == m.Fuel.GAS))
        assert meter.removed_on == TODAY
        assert session.scalar(select(m.Paper).where(m.Paper.title.startswith("Final bill"))) is not None
    sample_project.undo()
    assert gas(sample_project) == end


def test_an_account_that_the_house_has_not_got_is_not_planned_to_be_closed(
    oil_folder: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "oil.retrofit"
    shutil.copytree(oil_folder, folder)
    with Project.open(folder) as project:
        measures = MeasureService(project)
        before = measures.rows()
        with pytest.raises(CannotMove, match="no meter, account or machine on record uses natural gas"):
            measures.add("gas_account_closed", "Gas account closed")
        assert measures.rows() == before
        measures.add("oil_account_closed", "The end of the oil")
        assert len(measures.rows()) == len(before) + 1
