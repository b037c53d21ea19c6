"""Several programmes for one work: order, what each leaves the next, caps over measures, "not with"."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.programme_amounts import WorkDates, WorkFacts, WorkItem
from retrofit_desk.rules.programme_file import Programme, TaxTreatment
from retrofit_desk.rules.programme_stack import Stack, Wanted, adds_cents, stack
from retrofit_desk.rules.programmes import evaluate
from retrofit_desk.values.stated import Stated

TODAY = date(2026, 11, 25)
TABLES = Tables()


def a_programme(key: str, amount: dict[str, object], **more: object) -> Programme:
    version = {
        "starts_on": date(2020, 1, 1),
        "checked_on": TODAY,
        "funding": "open",
        "date_tested": "invoiced",
        "kinds": ("work",),
        "amount": amount,
        "source": {"title": "own example", "retrieved": TODAY, "confidence": "constructed"},
        **more,
    }
    return Programme.model_validate({"key": key, "name": key.upper(), "office": "x", "versions": [version]})


def flat(dollars: int) -> dict[str, object]:
    return {"kind": "flat", "flat_dollars": dollars}


def share(of_cost: str) -> dict[str, object]:
    return {"kind": "share of cost", "share": Decimal(of_cost)}


def wanted(
    programme: Programme,
    cost: int = 10_000,
    work: str = "work",
    kind: str = "work",
    facts: WorkFacts | None = None,
    received: int | None = None,
) -> Wanted:
    known = facts or WorkFacts((WorkItem(kind, cost * 100),))
    return Wanted(programme, work, known, evaluate(programme, known, TODAY), received)


def amounts(found: Stack) -> list[tuple[str, int | None]]:
    return [(one.programme_key, one.taken_cents.value) for one in found.taken]


def hear(kind: str, cost: int, income: str) -> Wanted:
    dates = WorkDates(application_received=TODAY, reservation_held=TODAY)
    facts = WorkFacts((WorkItem(kind, cost * 100),), dates, Decimal(income), "electricity")
    return wanted(TABLES.programme("federal-hear"), work=kind, facts=facts)


@pytest.mark.parametrize(("income", "without_cap"), [("0.6", 1_869_000), ("1.0", 1_570_000)])
def test_the_cap_of_the_household_binds_over_all_measures(income: str, without_cap: int) -> None:
    # REB-7: IRA sec. 50122 (second-hand), constructed; here each piece of work is a measure of its own
    work = (
        ("heat_pump_water_heater", 3800),
        ("heat_pump", 17000),
        ("panel", 4500),
        ("wiring", 2700),
        ("envelope", 4000),
        ("cooking", 1500),
    )
    found = stack([hear(kind, cost, income) for kind, cost in work], TODAY)
    assert found.total_cents.value == 1_400_000
    cuts = [cut for one in found.taken for cut in one.cuts]
    assert {cut.why for cut in cuts} == {"$14,000 a household"}
    assert sum(cut.cents for cut in cuts) == without_cap - 1_400_000


def test_what_lowers_the_price_comes_before_a_credit_on_the_cost() -> None:
    # IRS Announcement 2024-19 (2024-04-05): of a price of 600 with a rebate of 500 a cost of 100 is left,
    # second-hand as a tax firm tells it; 30 % of it by 26 USC 25C(a)
    facts = WorkFacts(
        (WorkItem("air_source_heat_pump", 600_00),),
        WorkDates(placed_in_service=date(2024, 6, 1), invoiced=date(2024, 6, 1)),
    )
    rebate = a_programme("rebate", flat(500), kinds=("air_source_heat_pump",))
    credit = TABLES.programme("federal-25c")
    found = stack([wanted(credit, facts=facts), wanted(rebate, facts=facts)], TODAY)
    assert amounts(found) == [("rebate", 500_00), ("federal-25c", 30_00)]
    first, second = found.taken
    assert (first.place, second.place, second.of) == (1, 2, 2)
    assert first.why == "it counts the whole cost, and others count what it leaves"
    assert second.why == "it counts only what REBATE leaves"
    assert second.alone_cents.value == 180_00
    assert [(cut.cents, cut.why) for cut in second.cuts] == [(150_00, "it counts only what REBATE leaves")]
    assert (first.tax.treatment, second.tax.treatment) == (TaxTreatment.UNKNOWN, TaxTreatment.CREDIT)


def test_two_federal_rebates_for_one_work_leave_the_smaller_out_and_tell_what_that_costs() -> None:
    # 42 USC 18795(c)(7) (second-hand); amounts by REB-4 (25 %, low income: 3,200) and REB-8 (8,000)
    dates = WorkDates(application_received=TODAY, reservation_held=TODAY)
    facts = WorkFacts(
        (WorkItem("heat_pump", 1_600_000),),
        dates,
        income_of_median=Decimal("0.6"),
        existing_fuel="electricity",
        savings_share=Decimal("0.25"),
    )
    whole = TABLES.programme("federal-homes-modeled")
    version = whole.versions[0].model_copy(update={"kinds": ("whole_house", "heat_pump")})
    homes = wanted(whole.model_copy(update={"versions": (version,)}), facts=facts)
    assert homes.answer.amount_cents.value == 400_000
    found = stack([homes, wanted(TABLES.programme("federal-hear"), facts=facts)], TODAY)
    assert amounts(found) == [("federal-hear", 800_000)]
    (apart,) = found.apart
    assert (apart.left_out, apart.costs_cents) == ((whole.name,), 400_000)
    assert found.total_cents.value == 800_000


def test_which_of_two_pays_more_is_not_guessed_while_one_is_unknown() -> None:
    other = a_programme("other", share("0.2"), not_together_with=("tons",))
    by_ton = a_programme("tons", {"kind": "per unit", "per_unit_dollars": 500, "unit": "tons"})
    found = stack([wanted(other), wanted(by_ton)], TODAY)
    assert found.total_cents.stated is Stated.UNKNOWN
    assert "how many tons" in found.apart[0].needs
    assert found.taken == ()


def test_what_counts_after_an_unknown_amount_is_unknown_too() -> None:
    by_ton = a_programme("tons", {"kind": "per unit", "per_unit_dollars": 500, "unit": "tons"})
    found = stack([wanted(a_programme("last", share("0.3"), taken_after=("tons",))), wanted(by_ton)], TODAY)
    assert amounts(found) == [("tons", None), ("last", None)]
    whole = stack([wanted(a_programme("first", share("0.3"))), wanted(by_ton)], TODAY)
    assert whole.total_cents.stated is Stated.UNKNOWN
    assert whole.known_cents == 300_000


def test_a_share_of_all_together_cuts_the_last_one() -> None:
    # own example: 50 % + 40 % of 10,000 under a rule of 80 % together
    found = stack(
        [
            wanted(a_programme("a", share("0.5"), total_share_of_cost=0.8)),
            wanted(a_programme("b", share("0.4"))),
        ],
        TODAY,
    )
    assert amounts(found) == [("a", 500_000), ("b", 300_000)]
    (cut,) = found.taken[1].cuts
    assert (cut.cents, cut.why) == (100_000, "all together pay no more than 80% of the cost")


def test_what_was_paid_already_is_not_taken_away_again() -> None:
    found = stack(
        [wanted(a_programme("a", flat(7_000))), wanted(a_programme("b", flat(6_000)), received=600_000)],
        TODAY,
    )
    assert sorted(amounts(found)) == [("a", 400_000), ("b", 600_000)]


def test_rules_that_wait_for_each_other_are_told_and_nothing_is_guessed() -> None:
    found = stack(
        [
            wanted(a_programme("a", share("0.5"), taken_after=("b",))),
            wanted(a_programme("b", share("0.4"), taken_after=("a",))),
        ],
        TODAY,
    )
    assert found.total_cents.stated is Stated.UNKNOWN
    assert found.apart[0].is_order
    assert set(found.apart[0].left_out) == {"A", "B"}


def test_a_programme_not_chosen_tells_what_it_would_add() -> None:
    chosen = [wanted(a_programme("a", share("0.5")))]
    assert (
        adds_cents(wanted(a_programme("b", share("0.4"), taken_after=("a",))), chosen, TODAY).value == 200_000
    )
    against = a_programme("c", share("0.6"), not_together_with=("a",))
    assert adds_cents(wanted(against), chosen, TODAY).value == 100_000


@st.composite
def some_programmes(draw: st.DrawFn) -> list[Programme]:
    keys = ["a", "b", "c", "d"][: draw(st.integers(1, 4))]
    made = []
    for at, key in enumerate(keys):
        amount = draw(
            st.one_of(
                st.integers(0, 20_000).map(flat),
                st.integers(1, 100).map(lambda n: share(str(Decimal(n) / 100))),
            )
        )
        before = draw(st.lists(st.sampled_from(keys[:at]), unique=True)) if at else []
        more: dict[str, object] = {
            "taken_after": tuple(before) or draw(st.sampled_from([(), ("all others",)]))
        }
        if more["taken_after"] == ("all others",) and at < len(keys) - 1:
            more["taken_after"] = ()  # a later one could name it, and then they would wait for each other
        if at and draw(st.booleans()):
            more["not_together_with"] = (draw(st.sampled_from(keys[:at])),)
        if draw(st.booleans()):
            dollars = draw(st.integers(1, 8_000))
            more["caps"] = [
                {"scope": draw(st.sampled_from(["kind", "all"])), "dollars": dollars, "name": "cap"}
            ]
        if draw(st.booleans()):
            more["total_share_of_cost"] = Decimal(draw(st.integers(10, 100))) / 100
        made.append(a_programme(key, amount, **more))
    return made


@given(some_programmes(), st.lists(st.integers(1, 30_000), min_size=1, max_size=2))
def test_no_order_of_clicks_makes_programmes_pay_more_than_the_work_costs(
    programmes: list[Programme], costs: list[int]
) -> None:
    chosen = [wanted(one, cost, f"work {at}") for one in programmes for at, cost in enumerate(costs)]
    found = stack(chosen, TODAY)
    assert found.total_cents.value is not None
    for at, cost in enumerate(costs):
        mine = [one for one in found.taken if one.work == f"work {at}"]
        assert sum(one.taken_cents.value or 0 for one in mine) <= cost * 100
    for one in found.taken:
        assert one.taken_cents.value is not None
        assert one.alone_cents.value is not None
        assert 0 <= one.taken_cents.value <= one.alone_cents.value
        assert one.alone_cents.value - sum(cut.cents for cut in one.cuts) == one.taken_cents.value
    if len(costs) == 1:
        for order in list(permutations(chosen))[:6]:
            again = stack(order, TODAY)
            assert again.total_cents == found.total_cents


def for_the_house(programme: Programme, *costs: tuple[str, int]) -> Wanted:
    facts = WorkFacts((WorkItem("work", sum(cost for _, cost in costs) * 100),))
    over = tuple((work, cost * 100) for work, cost in costs)
    return Wanted(programme, "house", facts, evaluate(programme, facts, TODAY), over=over)


def test_one_for_the_house_and_one_for_a_part_of_it_are_weighed_against_each_other() -> None:
    # REB-9, REB-10: two that may not pay for the same upgrade, of which one counts several upgrades
    house = a_programme("house", share("0.5"), not_together_with=("pump",))
    pump, attic = a_programme("pump", flat(8_000)), a_programme("attic", flat(500))
    both = [for_the_house(house, ("pump", 20_000), ("attic", 2_000)), wanted(pump, 20_000, "pump")]
    found = stack([*both, wanted(attic, 2_000, "attic")], TODAY)
    assert found.of("pump", "pump") is None
    assert found.total_cents.value == (11_000 + 500) * 100
    assert found.apart[0].left_out == ("PUMP",)
    elsewhere = [both[0], wanted(pump, 20_000, "garage")]
    assert stack(elsewhere, TODAY).total_cents.value == (11_000 + 8_000) * 100


@given(
    st.lists(st.integers(1, 30_000), min_size=1, max_size=4),
    st.integers(1, 100),
    st.integers(0, 20_000),
    st.booleans(),
)
def test_one_for_the_house_and_those_for_its_parts_never_pay_more_than_the_work_costs(
    costs: list[int], percent: int, dollars: int, house_first: bool
) -> None:
    parts = [(f"work {at}", cost) for at, cost in enumerate(costs)]
    house = for_the_house(a_programme("house", share(str(Decimal(percent) / 100))), *parts)
    each = [wanted(a_programme(f"p{at}", flat(dollars)), cost, work) for at, (work, cost) in enumerate(parts)]
    found = stack([house, *each] if house_first else [*each, house], TODAY)
    assert found.total_cents.value is not None
    assert found.total_cents.value <= sum(costs) * 100
    for one in found.taken:
        assert one.taken_cents.value is not None
        assert one.taken_cents.value >= 0


def test_a_cap_of_the_year_counts_anew_in_the_next_year() -> None:
    # REB-1: IRS FS-2025-01 (2025-01-17): caps of 25C are for a year; 30 % of 5,000 becomes 1,200 in each
    def sealed(year: int, work: str) -> Wanted:
        day = date(year, 6, 1)
        facts = WorkFacts((WorkItem("air_sealing", 500_000),), WorkDates(placed_in_service=day))
        return wanted(TABLES.programme("federal-25c"), work=work, facts=facts)

    assert stack([sealed(2024, "attic"), sealed(2025, "cellar")], TODAY).total_cents.value == 240_000
    assert stack([sealed(2025, "attic"), sealed(2025, "cellar")], TODAY).total_cents.value == 120_000
