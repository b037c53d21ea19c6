"""Did it work? asked of a recorded house: the bills' answer, kept as one step, and what it moves."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import select

from retrofit_desk.estimate.proof import daily_means_f
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.bills_cleaning import MeterSpan
from retrofit_desk.physics.outside_temps import OutsideTemps
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.states import BillsAnswer, MeasureState
from retrofit_desk.services.did_it_work import Basis, DidItWorkService
from retrofit_desk.services.measures import MeasureGone
from retrofit_desk.services.read_in import read_in
from retrofit_desk.values.errors import CannotSay
from tests.services.small_house import Work, a_recorded_house, add_bills, put_in_service

FIRST = date(2024, 10, 1)
DONE = FIRST + timedelta(days=360)
BILLS, DAYS = 25, 30


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with a_recorded_house(tmp_path / "house") as made:
        yield made


def file_bills(project: Project, heating_after: float, bills: int = BILLS) -> None:
    """Gas follows the degrees below 60 F, from the work on by a share of that; power stays as it is."""
    outside = OutsideTemps(daily_means_f(greensboro()))
    gas = []
    for number in range(bills):
        start = FIRST + timedelta(days=DAYS * number)
        span = MeterSpan(start, start + timedelta(days=DAYS), None)
        below = float(sum(max(60.0 - float(day), 0.0) for day in outside.of(span.start, span.end)))
        share = 1.0 if start < DONE else heating_after
        gas.append(15.0 + 0.3 * share * below)
    add_bills(project, "gas", FIRST, gas, DAYS)
    add_bills(project, "power", FIRST, [600.0 + number % 3 for number in range(bills)], DAYS)


def sealed(project: Project) -> int:
    (measure_id,) = put_in_service(project, Work("sealed", "Sealed", DONE))
    return measure_id


def state_of(project: Project, measure_id: int) -> tuple[MeasureState, BillsAnswer]:
    with project.session() as session:
        measure = session.get_one(m.Measure, measure_id)
        return measure.state, measure.bills_answer


def test_a_house_without_finished_work_has_nothing_to_ask(project: Project) -> None:
    file_bills(project, 1.0)
    assert DidItWorkService(project).works() == ()


def test_a_real_saving_is_proven_and_the_answer_moves_the_measure_in_one_step(project: Project) -> None:
    measure_id = sealed(project)
    file_bills(project, 0.7)
    service = DidItWorkService(project)
    (work,) = service.works()
    assert work.answer is BillsAnswer.CONFIRMED
    assert work.site_kwh is not None
    assert work.site_kwh.half_width is not None
    assert 0 < work.site_kwh.half_width < work.site_kwh.saved
    assert not work.is_kept
    assert service.keep([measure_id]) is BillsAnswer.CONFIRMED
    assert state_of(project, measure_id) == (MeasureState.PROVEN, BillsAnswer.CONFIRMED)
    assert service.works()[0].is_kept
    assert project.undo_title == "Ask the bills"
    project.undo()
    assert state_of(project, measure_id) == (MeasureState.SIGNED_OFF, BillsAnswer.NOT_ASKED)


@pytest.mark.parametrize("left_bare", [["gas", "power"], ["gas"]])
def test_a_meter_of_which_nothing_is_recorded_makes_it_too_soon(
    project: Project, left_bare: list[str]
) -> None:
    sealed(project)
    file_bills(project, 0.7)
    with project.action("Throw bills away") as work:
        meters = work.session.scalars(select(m.Meter).where(m.Meter.key.in_(left_bare))).all()
        names = [meter.name for meter in meters]
        for meter in meters:
            meter.bills.clear()
    assert len(names) == len(left_bare)
    (found,) = DidItWorkService(project).works()
    assert found.answer is BillsAnswer.TOO_SOON
    assert all(f"{name}, no bill and no reading is recorded" in found.reason for name in names)


def test_more_use_than_before_is_not_borne_out(project: Project) -> None:
    measure_id = sealed(project)
    file_bills(project, 1.3)
    service = DidItWorkService(project)
    assert service.works()[0].answer is BillsAnswer.NOT_BORNE_OUT
    service.keep([measure_id])
    assert state_of(project, measure_id)[0] is MeasureState.NOT_BORNE_OUT


def test_a_few_months_are_too_soon_and_a_later_answer_takes_its_place(project: Project) -> None:
    measure_id = sealed(project)
    file_bills(project, 0.7, bills=15)
    service = DidItWorkService(project)
    assert service.works()[0].answer is BillsAnswer.TOO_SOON
    service.keep([measure_id])
    assert state_of(project, measure_id)[0] is MeasureState.TOO_SOON
    with project.action("Take the bills away") as work:
        for bill in work.session.scalars(select(m.Bill)):
            work.session.delete(bill)
    file_bills(project, 0.7)
    service.keep([measure_id])
    assert state_of(project, measure_id)[0] is MeasureState.PROVEN


def test_a_measure_that_is_not_signed_off_keeps_its_state(project: Project) -> None:
    (measure_id,) = put_in_service(project, Work("sealed", "Sealed", DONE, MeasureState.IN_PLACE))
    file_bills(project, 0.7)
    DidItWorkService(project).keep([measure_id])
    assert state_of(project, measure_id) == (MeasureState.IN_PLACE, BillsAnswer.CONFIRMED)


def test_work_done_close_together_gets_one_answer(project: Project) -> None:
    first, second = put_in_service(
        project, Work("sealed", "Sealed", DONE), Work("filled", "Filled", DONE + timedelta(days=20))
    )
    file_bills(project, 0.7)
    (work,) = DidItWorkService(project).works()
    assert [one.id for one in work.measures] == [first, second]
    DidItWorkService(project).keep([first, second])
    assert {state_of(project, one)[0] for one in (first, second)} == {MeasureState.PROVEN}


def test_what_is_fed_in_is_taken_off_the_electricity(project: Project) -> None:
    sealed(project)
    file_bills(project, 1.0)
    with project.action("Sun") as work:
        for bill in work.session.scalars(select(m.Bill).join(m.Meter).where(m.Meter.key == "power")):
            if bill.period_start >= DONE:
                bill.exported = 200.0
    power = DidItWorkService(project).works()[0].meters[1]
    assert power.saved is not None
    assert power.saved.saved == pytest.approx(200.0 * power.periods_after, rel=0.02)


def test_the_months_show_what_the_house_as_it_was_would_have_used(project: Project) -> None:
    sealed(project)
    file_bills(project, 0.7)
    gas = DidItWorkService(project).works()[0].meters[0]
    january = gas.before[0], gas.as_it_was[0], gas.after[0]
    assert all(month is not None for month in january)
    before, as_it_was, after = (month or 0.0 for month in january)
    assert as_it_was == pytest.approx(before, rel=0.15)  # one January against another, bills spread by day
    assert after < 0.8 * as_it_was


def test_work_that_is_not_recorded_so_is_refused_and_an_odd_unit_is_named(project: Project) -> None:
    sealed(project)
    file_bills(project, 0.7)
    with pytest.raises(MeasureGone):
        DidItWorkService(project).keep([999])
    with project.action("Odd unit") as work:
        work.session.scalars(select(m.Meter).where(m.Meter.key == "gas")).one().unit = m.EnergyUnit.CORD
    with pytest.raises(CannotSay, match="billed in another unit"):
        DidItWorkService(project).works()


def test_the_sample_house_answers_as_its_record_says(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as project:
        sealing, autumn = DidItWorkService(project).works()
    assert sealing.title == "Air sealing"
    assert sealing.answer is BillsAnswer.CONFIRMED
    assert sealing.is_kept
    assert sealing.site_kwh is not None
    assert sealing.site_kwh.half_width is not None
    assert sealing.site_kwh.half_width < sealing.site_kwh.saved
    assert autumn.answer is BillsAnswer.TOO_SOON
    assert "Heat-pump water heater" in autumn.title


# money


def test_money_is_both_uses_priced_by_the_tariff(project: Project) -> None:
    sealed(project)
    file_bills(project, heating_after=0.7)
    (work,) = DidItWorkService(project).works()
    gas = next(one for one in work.meters if one.unit == "therm")
    assert gas.saved is not None
    assert gas.money_cents is not None
    tariff = Tables(project.own_tables).tariff(tariff_of(project, gas.name))
    prices = [float(tier.price) * 100.0 for charge in tariff.charges for tier in charge.tiers]
    # between the cheapest and the dearest price of the year, taxes on top
    assert min(prices) * gas.saved.saved <= gas.money_cents.saved <= max(prices) * gas.saved.saved * 1.1
    assert gas.money_cents.half_width is not None
    assert work.money_cents is not None
    power = next(one for one in work.meters if one.unit == "kWh")
    assert power.money_cents is not None
    assert work.money_cents.saved == pytest.approx(gas.money_cents.saved + power.money_cents.saved)


def tariff_of(project: Project, meter: str) -> str:
    with project.session() as session:
        row = session.scalars(select(m.Meter).where(m.Meter.name == meter)).one()
        return row.tariffs[-1].tariff_key


def test_without_a_tariff_money_cannot_be_said(project: Project) -> None:
    sealed(project)
    file_bills(project, heating_after=0.7)
    with project.action("Take the tariffs out") as work:
        for meter in work.session.scalars(select(m.Meter)):
            meter.tariffs.clear()
    (found,) = DidItWorkService(project).works()
    assert found.money_cents is None
    assert found.site_kwh is not None


# what the answer leans on


def by_day(first: date, days: int, use: Callable[[date], float], unit: str) -> str:
    """A file of hourly readings in local time, each day's use spread over 24 hours of standard time."""
    lines = [f"Start,Usage ({unit})"]
    for at in range(days):
        day = first + timedelta(days=at)
        lines += [f"{day} {hour:02d}:00-05:00,{use(day) / 24.0:.4f}" for hour in range(24)]
    return "\n".join(lines)


def file_readings(project: Project, folder: Path, days: int = 750) -> None:
    """Temperatures of the days, gas that follows them, and power that does not, each with its noise."""
    chance = np.random.default_rng(2)
    typical = OutsideTemps(daily_means_f(greensboro()))
    dates = [FIRST + timedelta(days=at) for at in range(days)]
    temp = {day: float(typical.of(day, day + timedelta(days=1))[0] + chance.normal(0, 3)) for day in dates}
    noise = {day: float(chance.normal(0, 0.4)) for day in dates}

    def gas(day: date) -> float:
        return 2.0 + 0.3 * (1.0 if day < DONE else 0.7) * max(60.0 - temp[day], 0.0) + noise[day]

    with project.action("Say the time zone") as work:
        work.session.scalars(
            select(m.Site)
        ).one().time_zone = "Etc/GMT+5"  # no clock changes in the made file
    files = {
        "days.csv": "date,mean (°F)\n" + "\n".join(f"{day},{temp[day]:.2f}" for day in dates),
        "gas.csv": by_day(FIRST, days, gas, "therm"),
        "power.csv": by_day(FIRST, days, lambda day: 20.0 + noise[day], "kWh"),
    }
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
        read_in(project, folder / name)


def test_readings_of_the_meter_take_the_place_of_bills(project: Project, tmp_path: Path) -> None:
    measure_id = sealed(project)
    file_bills(project, 0.7)
    service = DidItWorkService(project)
    (by_bills,) = service.works()
    assert {one.basis for one in by_bills.meters} == {Basis.BILLS}
    assert {one.why for one in by_bills.meters} == {"no readings by the day or finer are filed"}
    file_readings(project, tmp_path)
    (work,) = service.works()
    assert {one.basis for one in work.meters} == {Basis.DAYS}
    gas = next(one for one in work.meters if one.unit == "therm")
    assert (gas.periods_before, gas.periods_after) == (360, 390)
    assert "its readings cover both sides of the work" in gas.why
    assert (gas.shape, gas.parameters) == ("heating", 3)
    assert work.answer is BillsAnswer.CONFIRMED
    assert gas.money_cents is not None
    assert gas.money_cents.saved > 0
    assert all(month is not None for month in gas.after)
    assert work.counted == (DONE, FIRST + timedelta(days=750))
    assert service.keep([measure_id]) is BillsAnswer.CONFIRMED


def test_without_the_temperatures_of_the_days_bills_are_taken_and_it_is_said(
    project: Project, tmp_path: Path
) -> None:
    sealed(project)
    file_bills(project, 0.7)
    file_readings(project, tmp_path)
    with project.action("Take the temperatures away") as work:
        kind = m.PaperKind.DAILY_TEMPERATURES
        for paper in work.session.scalars(select(m.Paper).where(m.Paper.kind == kind)):
            work.session.delete(paper)
    (found,) = DidItWorkService(project).works()
    assert {one.basis for one in found.meters} == {Basis.BILLS}
    assert "its readings wait for the temperatures of their days" in found.meters[0].why


def test_a_tank_speaks_by_its_fills(project: Project) -> None:
    sealed(project)
    file_bills(project, 0.7)
    with project.action("Make the gas meter a tank") as work:
        for bill in work.session.scalars(select(m.Bill).join(m.Meter).where(m.Meter.key == "gas")):
            bill.kind = m.BillKind.DELIVERY
            bill.period_start, bill.period_end = bill.period_end, bill.period_end + timedelta(days=1)
    (found,) = DidItWorkService(project).works()
    gas = next(one for one in found.meters if one.unit == "therm")
    assert gas.basis is Basis.FILLS
    assert (gas.periods_before, gas.days_before) == (11, 330)  # the first fill says when the tank was full
    assert found.answer is BillsAnswer.CONFIRMED


def test_days_away_of_a_bill_are_told(project: Project) -> None:
    sealed(project)
    file_bills(project, 0.7)
    with project.action("Away") as work:
        for bill in work.session.scalars(select(m.Bill).where(m.Bill.period_start == FIRST)):
            bill.days_away = 15
    (found,) = DidItWorkService(project).works()
    gas = next(one for one in found.meters if one.unit == "therm")
    assert gas.periods_before == 11
    assert gas.left_out == ("Oct 2024: nobody was at home for 50% of its days",)
