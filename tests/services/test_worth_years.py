"""The kept sum over the years: rebates that are sure and those hoped for stay apart; the loan's months."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import select

from retrofit_desk.estimate.later_money import Lasting, LaterMoney
from retrofit_desk.estimate.over_years import Outlook, Stake, money_over_years
from retrofit_desk.estimate.savings import Gain
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import WorthService
from retrofit_desk.services.worth_years import WorthYears, WorthYearsService, made_dollars_kwh
from retrofit_desk.services.worth_years_words import over_years, returning, years_figures
from retrofit_desk.values.stated import Stated, StatedValue
from tests.estimate.test_over_years import the_sum
from tests.services.small_house import a_recorded_house


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Project]:
    """The small house with a cost; tests that change it undo what they did."""
    with a_recorded_house(tmp_path_factory.mktemp("years") / "house") as made:
        with made.action("Cost it") as work:
            for measure in work.session.scalars(select(m.Measure)):
                measure.set_stated("cost_cents", StatedValue(400_000))
        yield made


def years(project: Project) -> WorthYears:
    return WorthYearsService(project).of(WorthService(project).savings())


def hope_for_a_rebate(project: Project, reserved_until: date | None = None) -> None:
    with project.action("Choose a programme") as work:
        measure = work.session.scalars(select(m.Measure).where(m.Measure.key == "sealing")).one()
        choice = m.ProgrammeChoice(measure=measure, programme_key="triad-warm-walls")
        choice.set_stated("expected_cents", StatedValue(120_000))
        if reserved_until is not None:
            held = m.Reservation(state=m.ReservationState.HELD, ends_on=reserved_until)
            held.set_stated("amount_cents", StatedValue(100_000))
            choice.reservations.append(held)
        work.session.add(choice)


def test_a_rebate_that_is_not_reserved_stands_apart(house: Project) -> None:
    plain = years(house)
    assert plain.hoped is None
    hope_for_a_rebate(house)
    found = years(house)
    house.undo()
    assert found.reserved == plain.reserved
    assert found.hoped is not None
    assert found.hoped_cents == 120_000
    assert found.hoped.net_present_cents - found.reserved.net_present_cents == 120_000


def test_a_measure_of_unknown_cost_is_neither_free_nor_worthless(house: Project) -> None:
    found = WorthService(house).savings()
    service = WorthYearsService(house)
    unknown, *priced = found.lines
    without = replace(unknown, cost_cents=StatedValue(None, Stated.UNKNOWN))
    years = service.of(replace(found, lines=(without, *priced)))
    assert years.left_out == (unknown.title,)
    saved = years.reserved.stake.fuel_saved_cents + years.reserved.stake.power_saved_cents
    assert saved == round(sum(one.in_its_place.money_saved_cents for one in priced))
    assert years.reserved.stake.cost_cents == sum(one.cost_cents.value or 0 for one in priced)
    figure, why = over_years(years)
    assert figure == "cannot say: the cost of 1 measure is not known"
    assert why.startswith(f"The {len(priced)} measure")
    assert unknown.title in returning(years)[1].partition("Cannot say")[2]
    assert unknown.title in years_figures(years)[0].note


def test_a_rebate_counts_while_its_reservation_lasts(house: Project) -> None:
    plain = years(house)
    hope_for_a_rebate(house, date(2099, 1, 1))
    held = years(house)
    house.undo()
    hope_for_a_rebate(house, date(2020, 1, 1))
    lapsed = years(house)
    house.undo()
    assert held.hoped is None
    assert held.reserved.net_present_cents - plain.reserved.net_present_cents == 100_000
    assert lapsed.reserved == plain.reserved
    assert lapsed.hoped_cents == 120_000


def test_without_a_loan_there_is_no_payment_and_with_one_each_month_has_it(house: Project) -> None:
    assert years(house).cash.with_loan_cents is None
    with house.action("Take a loan") as work:
        loan = m.Loan(key="loan", name="Loan", principal_cents=1_800_000, months=120)
        loan.set_stated("rate_percent", StatedValue(6.49))
        loan.set_stated("fees_cents", StatedValue(45_000))
        work.session.add(loan)
    found = years(house)
    house.undo()
    # FIN-11: payment 204.29; APR on 17,550 by Regulation Z with the last payment of 205.05: 7.058 %
    assert {month.payment_cents for month in found.months} == {20_429}
    assert found.loan is not None
    assert found.loan.apr_percent.value == pytest.approx(7.058, abs=0.0005)
    assert found.cash.with_loan_cents is not None
    assert found.cash.with_loan_cents[0] - found.cash.own_cents[0] == 1_755_000
    assert all(month.left_cents == month.saved_cents - 20_429 for month in found.months)


def test_the_months_are_those_of_the_bills(house: Project) -> None:
    found = years(house)
    kept = WorthService(house).latest()
    assert kept is not None
    assert sum(month.before_cents for month in found.months) == kept.before.total_cents
    assert sum(month.after_cents for month in found.months) == kept.after.total_cents


def test_what_is_done_is_not_called_best_of_what_is_still_to_do(house: Project) -> None:
    with house.action("Cost nothing, done") as work:
        for measure in work.session.scalars(select(m.Measure)):
            measure.set_stated("cost_cents", StatedValue(100))
    service, found = WorthYearsService(house), WorthService(house).savings()
    best, _ = returning(service.of(found))
    assert best.startswith("Air sealing")
    with house.action("Done") as work:
        for measure in work.session.scalars(select(m.Measure)):
            measure.state = m.MeasureState.SIGNED_OFF
    assert returning(service.of(found)) == ("nothing", "All that is in the line-up is in place.")
    house.undo()
    house.undo()


def test_a_rate_above_inflation_is_told_in_dollars_of_the_day_too_and_the_loan_in_constant_ones(
    house: Project,
) -> None:
    # FIN-14: (1 + D) = (1 + d)(1 + e): 3 % above 2.5 % of inflation is 5.575 %; 5.5 % is 2.9268 % above it
    told = next(one.subject for one in years(house).sources if one.subject.startswith("discount rate"))
    assert "3.0%" in told
    assert "5.6%" in told
    assert years(house).loan_above_inflation is None
    with house.action("Take a loan") as work:
        loan = m.Loan(key="loan", name="Loan", principal_cents=1_000_000, months=120)
        loan.set_stated("rate_percent", StatedValue(5.5))
        loan.set_stated("fees_cents", StatedValue(0))
        work.session.add(loan)
    found = years(house).loan_above_inflation
    house.undo()
    assert found is not None
    assert float(found) == pytest.approx(0.029268, abs=0.00003)  # the last payment is rounded to a cent


def test_what_a_roof_makes_has_its_cost_by_the_kilowatt_hour() -> None:
    # FIN-15: NREL/TP-462-5173 (Short et al. 1995): 21,000 and 150 a year for 8,400 kWh at 3 % over 25 years:
    # 0.16143 dollars; here the price is bought once and nothing is left of it
    own = (Lasting("roof", 2_100_000, 2_100_000, None),)
    later = LaterMoney("roof", own, (), StatedValue(15_000), StatedValue(0))
    outlook = Outlook(years=25)
    money = money_over_years(Stake((later,), 0, 0, 0), outlook)
    line = replace(the_sum().lines[0], in_its_place=Gain(0.0, -5_000.0, 3_400.0, 0.0, 0.0))
    found = made_dollars_kwh(line, money, outlook)
    assert found is not None
    assert float(found) == pytest.approx(0.16143, abs=5e-6)
    idle = replace(line, in_its_place=Gain(0.0, 10.0, 0.0, 0.0, 0.0))
    assert made_dollars_kwh(idle, money, outlook) is None
