"""The end of gas: nothing burns it, the line is capped, the meter pulled, the account closed."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.services.account_closing import AccountClosingService, AccountEnd, AccountUnclear
from retrofit_desk.services.equipment_entry import EquipmentEntryService
from retrofit_desk.services.holds import HoldService

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
