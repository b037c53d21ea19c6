"""Best for the money, against a plain search over every set."""

from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.estimate.budget_ladder import Aim, ladder, proposals
from retrofit_desk.estimate.savings import Gain, MaterialCarbon, SavingsLine, SetWorth
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.stated import Stated, StatedValue

ZERO = Figure(0.0, 0.0, 0.0, "", "", date(2026, 11, 20))


def a_line(key: str, cost_cents: int | None, saved_cents: float, needs: tuple[str, ...] = ()) -> SavingsLine:
    cost = StatedValue.of(cost_cents, Stated.KNOWN if cost_cents is not None else Stated.NOT_STATED)
    return SavingsLine(
        key=key,
        title=key,
        kind="",
        fuel_removed=ZERO,
        electricity_added=ZERO,
        money_saved=ZERO,
        carbon_saved=ZERO,
        in_its_place=Gain(0.0, 0.0, 0.0, saved_cents, saved_cents / 100),
        alone=None,
        fair_part=None,
        fuel_months_kwh=(0.0,) * 12,
        electricity_months_kwh=(0.0,) * 12,
        end_uses=(),
        cost_cents=cost,
        avoided_cents=StatedValue(0),
        rebates_cents=0,
        payback=None,
        payback_words="",
        material=MaterialCarbon(0.0, 0.0, 0.0, (), (), 0.0),
        refrigerant=None,
        carbon_payback_years=None,
        needs=needs,
    )


measures = st.lists(
    st.tuples(st.integers(0, 5_000_000), st.integers(-50_000, 100_000)), min_size=1, max_size=6
)


def every_set(lines: list[SavingsLine]) -> list[SetWorth]:
    """Each set in which all have what they need, as if nothing did anything to another."""
    made = []
    for members in range(1 << len(lines)):
        group = [line for bit, line in enumerate(lines) if members >> bit & 1]
        keys = {line.key for line in group}
        if all(set(line.needs) <= keys for line in group):
            money = sum(line.in_its_place.money_saved_cents for line in group)
            made.append(SetWorth(members, money, money / 100, 0.0))
    return made


@given(measures, st.integers(0, 5))
@settings(max_examples=40, deadline=None)
def test_where_gains_only_add_up_the_proposals_hold_the_best_set(
    facts: list[tuple[int, int]], needy: int
) -> None:
    lines = [a_line(f"m{number}", cost, saved) for number, (cost, saved) in enumerate(facts)]
    if 0 < needy < len(lines):
        lines[needy] = replace(lines[needy], needs=("m0",))
    every = every_set(lines)
    proposed = [one for one in every if one.members in proposals(lines)]
    for rung, best in zip(ladder(lines, proposed), ladder(lines, every), strict=True):
        assert rung.cost_cents <= rung.budget_cents
        assert rung.money_saved_cents == best.money_saved_cents
        chosen = {lines[place].key for place in rung.measures}
        assert all(set(lines[place].needs) <= chosen for place in rung.measures)


def test_a_measure_of_unknown_cost_stands_on_no_rung() -> None:
    lines = [a_line("known", 100_000, 5_000), a_line("unknown", None, 90_000)]
    rungs = ladder(lines, every_set(lines))
    assert all(rung.measures in ((), (0,)) for rung in rungs)
    assert rungs[-1].measures == (0,)
    assert all(mask in (0b00, 0b01) for mask in proposals(lines))


def test_a_larger_budget_never_saves_less() -> None:
    lines = [a_line(f"m{n}", 700_000 * (n + 1), 9_000 + 500 * n) for n in range(5)]
    saved = [rung.money_saved_cents for rung in ladder(lines, every_set(lines))]
    assert saved == sorted(saved)


def test_nothing_to_choose_from_and_nothing_run_give_no_ladder() -> None:
    assert ladder([], [SetWorth(0, 0.0, 0.0, 0.0)]) == ()
    assert ladder([a_line("one", 100_000, 5_000)], []) == ()
    assert proposals([a_line(f"m{number}", 100_000, 5_000) for number in range(17)]) == ()


@given(st.lists(st.integers(0, 4_000_000), min_size=1, max_size=5), st.data())
@settings(deadline=None)
def test_where_every_set_was_run_each_counts_as_it_was_run(costs: list[int], data: st.DataObject) -> None:
    lines = [a_line(f"m{n}", cost, 0.0) for n, cost in enumerate(costs)]
    gains = st.lists(st.integers(-90_000, 200_000), min_size=3, max_size=3)
    sets = [SetWorth(0, 0.0, 0.0, 0.0)]
    for members in range(1, 1 << len(lines)):
        if data.draw(st.booleans(), label="can stand together"):
            money, carbon, fuel = data.draw(gains)
            sets.append(SetWorth(members, money, carbon, fuel))
    worth = {
        Aim.MONEY: lambda one: one.money_saved_cents,
        Aim.CARBON: lambda one: one.carbon_saved_kg,
        Aim.FUEL: lambda one: one.fuel_removed_kwh,
    }
    for aim in Aim:
        for rung in ladder(lines, sets, aim):
            priced = [
                (worth[aim](one), sum(cost for bit, cost in enumerate(costs) if one.members >> bit & 1))
                for one in sets
            ]
            most = max(gain for gain, cost in priced if cost <= rung.budget_cents)
            mask = sum(1 << bit for bit in rung.measures)
            (chosen,) = [one for one in sets if one.members == mask]
            assert worth[aim](chosen) == most
            assert rung.cost_cents <= rung.budget_cents
