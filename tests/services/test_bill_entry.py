"""Bills typed by hand: four words of a value, no day billed twice, deliveries told as such."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.bill_entry import BillEntryService, BillKind, WrittenBill
from retrofit_desk.services.meters import CannotRecord, MeterService
from retrofit_desk.services.read_in import read_in
from retrofit_desk.values.stated import Stated, StatedValue

NOVEMBER = WrittenBill(
    date(2026, 11, 4),
    date(2026, 12, 4),
    BillKind.READ,
    StatedValue(512.0),
    None,
    StatedValue(None, Stated.NOT_STATED),
    7,
)


@pytest.fixture
def house(sample_copy: Path) -> Iterator[Project]:
    with Project.open(sample_copy) as project:
        yield project


def meter_id(project: Project) -> int:
    return next(one.id for one in MeterService(project).meters() if one.fuel == "electricity")


def test_a_bill_is_entered_changed_and_taken_out_each_in_one_step(house: Project) -> None:
    entry, meter = BillEntryService(house), meter_id(house)
    assert entry.next_start(meter) == NOVEMBER.period_start
    bill = entry.enter(meter, NOVEMBER)
    assert entry.written(bill) == NOVEMBER
    known = replace(NOVEMBER, cost_cents=StatedValue(8_123), kind=BillKind.ESTIMATED)
    entry.change(bill, known)
    assert entry.written(bill) == known
    entry.take_out(bill)
    assert entry.next_start(meter) == NOVEMBER.period_start
    house.undo()
    assert entry.written(bill) == known
    house.undo()
    assert entry.written(bill) == NOVEMBER


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"period_start": date(2026, 11, 3)}, "lies over the recorded one of Oct 5, 2026 to Nov 4, 2026"),
        ({"period_end": date(2026, 11, 4)}, "does not end after its start"),
        ({"days_away": 31}, "the bill has 30 days"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_recorded(
    house: Project, changes: dict[str, object], says: str
) -> None:
    entry, meter = BillEntryService(house), meter_id(house)
    with pytest.raises(CannotRecord, match=says):
        entry.enter(meter, replace(NOVEMBER, **changes))  # type: ignore[arg-type]
    assert entry.next_start(meter) == NOVEMBER.period_start


def test_what_comes_by_the_truck_is_a_delivery(oil_folder: Path) -> None:
    with Project.open(oil_folder, read_only=True) as project:
        tank = next(one for one in MeterService(project).meters() if one.unit == "gal")
        assert BillEntryService(project).usual_kind(tank.id) is BillKind.DELIVERY


def test_a_table_that_bills_days_twice_is_refused_whole(house: Project, tmp_path: Path) -> None:
    path = tmp_path / "history.csv"
    path.write_text(
        "Start,End,kWh,Amount\n2026-11-04,2026-12-04,512,80.00\n2026-10-20,2026-11-04,300,50.00\n",
        encoding="utf-8",
    )
    before = MeterService(house).meters()
    with pytest.raises(CannotRecord, match="Oct 20, 2026 to Nov 4, 2026 lies over"):
        read_in(house, path)
    assert MeterService(house).meters() == before


def test_a_years_sum_makes_way_for_the_bills_themselves(house: Project, tmp_path: Path) -> None:
    meter = meter_id(house)
    with house.action("Only a year's sum") as work:
        row = work.session.get_one(m.Meter, meter)
        row.bills[:] = [m.Bill(period_start=date(2025, 11, 20), period_end=date(2026, 11, 20))]
    path = tmp_path / "history.csv"
    path.write_text("Start,End,kWh\n2026-10-05,2026-11-04,512\n", encoding="utf-8")
    told = read_in(house, path)
    assert "the year's sum that was entered first made way for them" in told.about
    sheet = next(one for one in MeterService(house).meters() if one.id == meter)
    assert [row.days for row in sheet.bills] == [30]
