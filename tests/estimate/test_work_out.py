"""A whole savings sum on the small house: its parts, its words, and what makes it out of date."""

from __future__ import annotations

import time
from dataclasses import replace
from decimal import Decimal
from functools import cache
from threading import Event

import pytest

from retrofit_desk.estimate import work_out as work_out_module
from retrofit_desk.estimate.budget_ladder import Aim, ladder
from retrofit_desk.estimate.fingerprint import changed_since, fingerprint, parts_of
from retrofit_desk.estimate.line_up import LineUp, NotTogether
from retrofit_desk.estimate.savings import SavingsSum
from retrofit_desk.estimate.work_out import MeasureMoney, gain_of, work_out
from retrofit_desk.values.stated import Stated, StatedValue
from tests.estimate.builders import a_case
from tests.estimate.line_ups import (
    ALL_ELECTRIC,
    GAS_FIXED_CENTS,
    a_question,
    a_simulator,
    chosen,
    costs,
    terms,
)

KEYS = ("air_sealing", "insulation_cavity", *ALL_ELECTRIC, "gas_account_closed")


def quietly(share: float, doing: str) -> None:
    """A report that nobody reads."""


@cache
def the_sum() -> SavingsSum:
    return work_out(a_question(*KEYS), a_simulator(), quietly)


def one_line(money: MeasureMoney, key: str = "air_sealing") -> SavingsSum:
    return work_out(a_question(key, money=(money,)), a_simulator(), quietly)


def test_the_lines_add_up_to_the_whole_in_every_figure() -> None:
    found = the_sum()
    for name in ("fuel_removed", "electricity_added", "money_saved", "carbon_saved"):
        parts = sum(getattr(line, name).value for line in found.lines)
        assert parts == pytest.approx(getattr(found.whole, name).value, abs=1e-6), name


def test_a_fuel_without_a_meter_is_said_and_not_taken_for_free() -> None:
    question = a_question("air_sealing")
    power = tuple(one for one in question.terms.fuels if one.fuel == "electricity")
    found = work_out(replace(question, terms=replace(question.terms, fuels=power)), a_simulator(), quietly)
    said = "gas: no meter with a tariff is recorded for it; its bills and carbon are not in this sum"
    assert said in found.notes
    assert not any("no meter" in note for note in the_sum().notes)


def test_before_less_after_is_what_is_saved() -> None:
    found = the_sum()
    assert found.before.total_cents - found.after.total_cents == found.whole.money_saved.value
    assert found.before.fuel_kwh() - found.after.fuel_kwh() == pytest.approx(found.whole.fuel_removed.value)
    assert found.before.carbon_kg - found.after.carbon_kg == pytest.approx(found.whole.carbon_saved.value)
    assert found.after.fuel_kwh() == 0.0


def test_months_and_end_uses_tell_the_same_year_as_the_line() -> None:
    for line in the_sum().lines:
        assert sum(line.fuel_months_kwh) == pytest.approx(line.fuel_removed.value, abs=1e-6)
        burned = -sum(change for fuel, _, change in line.end_uses if fuel != "electricity")
        assert burned == pytest.approx(
            line.fuel_removed.value, abs=2.0
        )  # changes below half a kWh are left out


def test_every_figure_lies_in_its_likely_range_with_a_source_and_a_date() -> None:
    found = the_sum()
    for line in (*found.lines, found.whole):
        for figure in (line.fuel_removed, line.electricity_added, line.money_saved, line.carbon_saved):
            assert figure.low <= figure.value <= figure.high
            assert figure.source
            assert figure.as_of == found.made_at.date()


def test_a_closed_account_bills_nothing_not_even_its_fixed_charge() -> None:
    (gas,) = [bill for bill in the_sum().after.bills if bill.fuel == "gas"]
    assert gas.is_closed
    assert set(gas.month_cents) == {0}
    closing = the_sum().line("gas_account_closed")
    assert closing is not None
    assert closing.money_saved.value == 12 * GAS_FIXED_CENTS


def test_only_what_can_be_done_without_the_rest_has_a_figure_alone() -> None:
    alone = {line.key: line.alone for line in the_sum().lines}
    sealing = alone["air_sealing"]
    assert sealing is not None
    assert sealing.money_saved_cents > 0
    assert alone["gas_account_closed"] is not None  # over a house in which nothing burns gas


def test_simple_payback_is_cost_less_rebate_less_what_is_bought_anyway_over_savings() -> None:
    # by hand: (5,000 - 1,000 - 500) dollars over a year's savings
    found = one_line(MeasureMoney(StatedValue(500_000), StatedValue(100_000), 50_000)).lines[0]
    assert found.payback is not None
    assert found.payback.value == pytest.approx(350_000 / found.money_saved.value)
    assert found.payback.low < found.payback.value < found.payback.high


@pytest.mark.parametrize("word", [Stated.UNKNOWN, Stated.NOT_STATED, Stated.EXCLUDED])
def test_a_missing_cost_is_said_in_its_own_word_and_never_taken_for_zero(word: Stated) -> None:
    found = one_line(MeasureMoney(StatedValue(None, word), StatedValue(0), 0))
    assert found.lines[0].payback is None
    assert found.lines[0].payback_words == f"cost {word}"
    assert found.whole.cost.known == 0
    assert found.whole.cost.is_complete is (word is Stated.EXCLUDED)


def test_a_cost_of_zero_is_known_and_pays_back_at_once() -> None:
    found = one_line(costs(0))
    assert found.lines[0].payback_words == "costs no more than what would be bought anyway"
    assert found.whole.cost.is_complete


def test_what_costs_more_to_run_does_not_pay_back_by_itself() -> None:
    found = work_out(
        replace(a_question("induction_range"), terms=terms(gas_price="0.10")), a_simulator(), quietly
    )
    assert found.lines[0].money_saved.value < 0
    assert found.lines[0].payback_words == "does not pay back by itself"


def test_carbon_of_unknown_material_is_named_and_the_store_is_not_taken_off() -> None:
    found = the_sum()
    slope = found.line("insulation_cavity")
    assert slope is not None
    assert slope.material.stored_kg > 0
    assert found.whole.made_kg == pytest.approx(sum(line.material.made_kg for line in found.lines))
    assert found.whole.stored_kg >= slope.material.stored_kg
    sealing = found.line("air_sealing")
    assert sealing is not None
    assert set(sealing.material.unknown) <= set(found.whole.made_unknown)


def test_the_report_runs_from_nothing_to_all_and_can_stop_the_work() -> None:
    told: list[float] = []
    work_out(a_question("induction_range"), a_simulator(), lambda share, doing: told.append(share))
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert told == sorted(told)

    class Stopped(Exception):
        pass

    def stop(share: float, doing: str) -> None:
        raise Stopped

    with pytest.raises(Stopped):
        work_out(a_question("induction_range"), a_simulator(), stop)


def test_an_order_that_cannot_be_gone_is_refused_in_one_line() -> None:
    with pytest.raises(NotTogether, match="something still burns gas"):
        work_out(a_question("gas_account_closed", *ALL_ELECTRIC), a_simulator(), quietly)


# the fingerprint


def as_it_is(name: str, value: str) -> tuple[str, str]:
    """A fact told as the model calls it; the words and units of the owner are the services'."""
    return name, value


def parts(**changes: object):  # type: ignore[no-untyped-def]
    inputs = {
        "base": a_case(),
        "chosen": chosen("air_sealing", "induction_range"),
        "terms": terms(),
        "weather_fingerprint": "w",
        "money": (costs(200_000), costs(90_000)),
    }
    return parts_of(**(inputs | changes))  # type: ignore[arg-type]


CASE = a_case()
CHANGES = {
    "the described house was changed": {"base": CASE.with_house(name="other")},
    "the equipment was changed": {"base": CASE.with_plant(cooking=None)},
    "the family's use was changed": {
        "base": replace(CASE, use=CASE.use.model_copy(update={"occupants": 5.0}))
    },
    "the weather was changed": {"weather_fingerprint": "another year"},
    "the carbon of the grid was changed": {"terms": terms(grid=0.4)},
    "the tariff gas was changed": {"terms": terms(gas_price="1.30")},
    "the measure Air sealing was changed": {
        "chosen": chosen("air_sealing", flow_50pa_m3_s=0.21) + chosen("induction_range")
    },
    "the order of the line-up was changed": {
        "chosen": chosen("induction_range", "air_sealing"),
        "money": (costs(90_000), costs(200_000)),
    },
    "the list of costs and rebates was changed": {"money": (costs(200_000), costs(1))},
}


@pytest.mark.parametrize("told", CHANGES)
def test_each_part_of_the_inputs_changes_the_fingerprint_and_is_named(told: str) -> None:
    before, now = parts(), parts(**CHANGES[told])
    (line,) = changed_since(before, now, as_it_is)
    assert line.startswith(told)
    assert told == "the weather was changed" or " from " in line  # hours are not told one by one
    assert fingerprint(before, "1") != fingerprint(now, "1")


def test_what_changed_is_told_by_the_thing_its_field_and_both_values() -> None:
    base = CASE.house.zones[0]
    larger = base.model_copy(update={"volume_m3": base.volume_m3 + 1})
    now = parts(base=CASE.with_house(zones=(larger, *CASE.house.zones[1:])))
    (line,) = changed_since(parts(), now, as_it_is)
    assert line == (
        f"the described house was changed (zones, {base.name}, volume m3: "
        f"from {base.volume_m3:.6g} to {base.volume_m3 + 1:.6g})"
    )


def test_of_many_changed_facts_some_are_told_and_the_rest_counted() -> None:
    now = parts(terms=terms(gas_price="1.30"), base=CASE.with_plant(cooking=None))
    equipment = next(line for line in changed_since(parts(), now, as_it_is) if "equipment" in line)
    assert equipment.count(" from ") <= 3


def test_equal_inputs_have_one_fingerprint_and_another_program_another() -> None:
    assert fingerprint(parts(), "1") == fingerprint(parts(), "1")
    assert fingerprint(parts(), "1") != fingerprint(parts(), "2")
    assert changed_since(parts(), parts(), as_it_is) == ()


def test_measures_added_and_taken_away_are_told() -> None:
    more = parts(
        chosen=chosen("air_sealing", "induction_range", "photovoltaics"), money=(costs(), costs(), costs())
    )
    title = chosen("photovoltaics")[0].title
    assert f"the measure {title} was added" in changed_since(parts(), more, as_it_is)
    assert f"the measure {title} was taken away" in changed_since(more, parts(), as_it_is)


def test_bills_are_whole_cents() -> None:
    assert all(Decimal(bill.total_cents) == sum(bill.month_cents) for bill in the_sum().before.bills)


def test_each_rung_of_the_ladder_tells_its_set_as_the_engine_runs_it() -> None:
    # what is told of a set before every set was run is the year of that very set, not a sum of gains
    found = the_sum()
    fresh = LineUp(a_question(*KEYS).belief.house(a_case()), chosen(*KEYS), a_simulator(), terms())
    masks = {one.members for one in found.sets}
    assert not found.every_set_was_run
    assert {0, (1 << len(KEYS)) - 1} < masks < fresh.possible_sets()
    for aim in Aim:
        for rung in ladder(found.lines, found.sets, aim):
            members = sum(1 << bit for bit in rung.measures)
            gain = gain_of(fresh.worth(members) - fresh.worth(0))
            assert rung.money_saved_cents == round(gain.money_saved_cents)
            assert rung.carbon_saved_kg == pytest.approx(gain.carbon_saved_kg)
            assert rung.fuel_removed_kwh == pytest.approx(gain.fuel_removed_kwh)


class Stopped(Exception):
    """What the window raises when the person cancels."""


@pytest.mark.parametrize("stuck_at", [(LineUp, "worth"), (work_out_module, "comfort_of")])
def test_a_stop_is_heard_while_one_year_is_still_at_work(
    stuck_at: tuple[object, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, released = Event(), Event()

    def stuck(*_given: object) -> None:
        begun.set()
        released.wait(30.0)

    def report(share: float, told: str) -> None:
        if told.startswith("each measure alone"):
            monkeypatch.setattr(*stuck_at, stuck)
        if begun.is_set():
            raise Stopped

    start = time.monotonic()
    with pytest.raises(Stopped):
        work_out(a_question(*KEYS), a_simulator(), report)
    assert time.monotonic() - start < 25.0  # what is at work would hold for thirty
    released.set()
