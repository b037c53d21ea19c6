"""Works a savings sum out: runs the line-up, prices it, adds carbon and likely ranges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.carbon.payback import avoided_by_year_kg, carbon_return
from retrofit_desk.estimate import ranges
from retrofit_desk.estimate.all_cores import while_heard
from retrofit_desk.estimate.belief import Belief
from retrofit_desk.estimate.budget_ladder import proposals
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.comfort import comfort_of
from retrofit_desk.estimate.factors import HOUSE_FACTORS, NEW_FACTORS, TERM_FACTORS, WEATHER_FACTOR
from retrofit_desk.estimate.line_up import FIGURES, FUELS_BURNED, Chosen, LineUp, Report, SetYear
from retrofit_desk.estimate.measure_carbon import material_carbon, refrigerant_carbon
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.estimate.measures.base import no_refrigerant
from retrofit_desk.estimate.ranges import Draws
from retrofit_desk.estimate.savings import (
    FuelBills,
    Gain,
    SavingsLine,
    SavingsSum,
    SetWorth,
    SourceLine,
    WholeSum,
    YearSummary,
)
from retrofit_desk.estimate.scenario import Simulator, Terms
from retrofit_desk.estimate.shares import OrderImpossible
from retrofit_desk.money.tariff import Tariff
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.records.tables import Tables
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.stated import StatedTotal, StatedValue, total

Array = NDArray[np.float64]
_AT = {name: number for number, name in enumerate(FIGURES)}
METHOD = "hourly model of the described house"
NEVER_YEARS = 500.0
"""A payback beyond this is none."""
MONEY = ("fuel_bill_cents", "power_bill_cents", "own_cents")
Step = tuple[int, int]
"""The sets without and with a measure."""
LIFE_YEARS = 25
"""Years over which carbon put in is set against carbon saved."""


@dataclass(frozen=True)
class MeasureMoney:
    """What one measure costs, what would be bought anyway, and the rebates reserved for it."""

    cost_cents: StatedValue[int]
    avoided_cents: StatedValue[int]
    rebates_cents: int


@dataclass(frozen=True)
class Question:
    """Everything a sum is made from: the house as described and what is believed of it.

    `money` follows `chosen`.
    """

    described: HouseCase
    belief: Belief
    chosen: tuple[Chosen, ...]
    terms: Terms
    money: tuple[MeasureMoney, ...]
    tables: Tables
    fingerprint: str
    made_at: datetime
    sources: tuple[SourceLine, ...]

    @property
    def as_of(self) -> date:
        return self.made_at.date()


def work_out(question: Question, simulator: Simulator, report: Report) -> SavingsSum:
    """The whole sum. `report` may raise to stop it. Raises `NotTogether`, `DoesNotFit`, `CannotSay`."""
    base = question.belief.house(question.described)
    line_up = LineUp(base, question.chosen, simulator, question.terms)
    exact = line_up.in_its_place(_part(report, 0.0, 0.3))
    alone, last = _sides(line_up, _part(report, 0.3, 0.45))
    masks = line_up.prefixes()
    years = [line_up.year(mask) for mask in masks]
    comfort = while_heard(
        lambda: comfort_of(years[0].case, years[-1].case, simulator.weather),
        lambda: report(0.45, "comfort of the rooms, before and after"),
    )
    spread = _part(report, 0.5, 0.95)
    asked = (question.described, question.belief, question.chosen)
    response = ranges.responses(*asked, simulator, question.terms, spread)
    draws = ranges.draw(exact, response, question.belief)
    lines = tuple(
        replace(
            _line(question, bit, years[bit], years[bit + 1], exact, draws),
            needs=_needs(line_up, bit),
            alone=_gain_between(line_up, alone[bit]),
            last=_gain_between(line_up, last[bit]),
            last_without=_left_out(line_up, bit, last[bit]),
            excludes=_excludes(question.chosen[bit]),
        )
        for bit in range(len(question.chosen))
    )
    proposed = [mask for mask in proposals(lines) if line_up.is_possible(mask)]
    line_up.run_sets(proposed, _part(report, 0.95, 1.0))
    report(1.0, "done")
    return SavingsSum(
        fingerprint=question.fingerprint,
        made_at=question.made_at,
        weather=simulator.weather.name,
        before=summary(years[0], question.terms),
        after=summary(years[-1], question.terms),
        lines=lines,
        whole=_whole(question, exact, draws, lines),
        moves=draws.moves,
        range_basis=question.belief.words,
        sources=(*question.sources, *_range_sources(question)),
        notes=_notes(years[0], years[-1]),
        grid=question.terms.grid,
        grid_by_hour=question.terms.grid_hours is not None,
        comfort=comfort,
        sets=sets_of(line_up),
        every_set_was_run=len(line_up.known) == line_up.whole + 1,
    )


def _notes(before: SetYear, after: SetYear) -> tuple[str, ...]:
    """What the plant says of itself, and the fuels that no meter and tariff speak for."""
    told = [note for year in (before, after) for note in year.energy.notes]
    told += [
        f"{fuel}: no meter with a tariff is recorded for it; its bills and carbon are not in this sum"
        for year in (before, after)
        for fuel in year.cost.unpriced
    ]
    return tuple(dict.fromkeys(told))


def summary(year: SetYear, terms: Terms) -> YearSummary:
    """One set's year in plain values."""
    bills = []
    for fuel, bill in year.cost.bills:
        of_fuel = terms.of(fuel)
        assert of_fuel is not None
        source = tariff_source(of_fuel.tariff)
        closed = fuel in year.cost.closed
        bills.append(FuelBills(fuel, bill.month_cents, bill.total_cents, source, closed))
    energy = year.energy
    return YearSummary(
        uses=energy.uses,
        bills=tuple(bills),
        drawn_kwh=energy.drawn_kwh,
        fed_in_kwh=energy.fed_in_kwh,
        solar_kwh=energy.solar_kwh,
        peak_drawn_w=energy.peak_drawn_w,
        carbon_kg=year.cost.carbon_kg,
        unmet_kwh=energy.unmet_kwh,
        seasonal_cop=energy.seasonal_cop,
        own_cents_saved=year.own_cents_saved,
        fuel_carbon_kg=year.cost.fuel_carbon_kg,
    )


def tariff_source(tariff: Tariff) -> SourceLine:
    """Where the prices come from; a tariff without an origin says so."""
    origin = tariff.origin
    if origin is None:
        return SourceLine(f"tariff {tariff.name}", "not stated", None)
    return SourceLine(f"tariff {tariff.name}", origin.line, origin.as_of)


def gain_of(row: Array) -> Gain:
    """A row of changes, (figures,), with the signs of a gain."""
    at = {name: float(row[number]) for name, number in _AT.items()}
    return Gain(
        fuel_removed_kwh=-sum(at[f"{fuel}_kwh"] for fuel in FUELS_BURNED),
        electricity_added_kwh=at["drawn_kwh"],
        fed_in_kwh=at["fed_in_kwh"],
        money_saved_cents=-(at["fuel_bill_cents"] + at["power_bill_cents"] + at["own_cents"]),
        carbon_saved_kg=-(at["fuel_carbon_kg"] + at["power_carbon_kg"]),
        fuel_money_saved_cents=-at["fuel_bill_cents"],
    )


def _part(report: Report, start: float, end: float) -> Report:
    def told(share: float, doing: str) -> None:
        report(start + (end - start) * share, doing)

    return told


def sets_of(line_up: LineUp) -> tuple[SetWorth, ...]:
    """Every set whose figures are worked out, against the house as it is."""
    now = line_up.worth(0)
    gains = ((mask, gain_of(line_up.worth(mask) - now)) for mask in line_up.known)
    return tuple(
        SetWorth(mask, gain.money_saved_cents, gain.carbon_saved_kg, gain.fuel_removed_kwh)
        for mask, gain in gains
    )


def _sides(line_up: LineUp, report: Report) -> tuple[list[Step | None], list[Step | None]]:
    """For each measure the step that adds it alone, and the one that adds it last of all; their sets run."""
    bits = range(len(line_up.chosen))
    alone, last = while_heard(
        lambda: ([_alone(line_up, bit) for bit in bits], [line_up.largest_with(bit) for bit in bits]),
        lambda: report(0.0, "each measure alone, and last of all"),
    )
    line_up.run_sets(
        {mask for step in (*alone, *last) if step is not None for mask in step},
        lambda share, doing: report(share, f"each measure alone, and last of all: {doing}"),
    )
    return alone, last


def _alone(line_up: LineUp, bit: int) -> Step | None:
    try:
        return line_up.smallest_with(bit)
    except OrderImpossible:
        return None


def _gain_between(line_up: LineUp, step: Step | None) -> Gain | None:
    return None if step is None else gain_of(line_up.worth(step[1]) - line_up.worth(step[0]))


def _left_out(line_up: LineUp, bit: int, step: Step | None) -> tuple[str, ...]:
    """What cannot stand without the measure and is left out for it to be the last."""
    out = 0 if step is None else line_up.whole & ~step[1]
    return tuple(one.title for other, one in enumerate(line_up.chosen) if out >> other & 1)


def _excludes(one: Chosen) -> tuple[str, ...]:
    """Other kinds that cannot stand beside it, by their titles."""
    known = kinds()
    return tuple(
        sorted(known[key].title for key in one.kind.excludes if key in known and key != one.kind.key)
    )


def _needs(line_up: LineUp, bit: int) -> tuple[str, ...]:
    """Keys of what must be done for a measure to be possible; its whole line-up where less is not enough."""
    try:
        needed, _ = line_up.smallest_with(bit)
    except OrderImpossible:
        needed = line_up.prefixes()[bit]
    return tuple(one.key for other, one in enumerate(line_up.chosen) if needed >> other & 1)


def _line(
    question: Question,
    bit: int,
    before: SetYear,
    after: SetYear,
    exact: Array,
    draws: Draws,
) -> SavingsLine:
    one, money = question.chosen[bit], question.money[bit]
    gain = gain_of(exact[bit])
    figures = _figures(gain, draws, [bit], question.as_of)
    material = material_carbon(one.kind.materials(before.case, one.inputs), question.tables)
    refrigerant = refrigerant_carbon(one.kind.refrigerant(one.inputs), question.tables)
    put_in = material.upfront_kg + (refrigerant.installing_kg_co2e if refrigerant else 0.0)
    payback, words = _payback(money, gain.money_saved_cents, draws, [bit], question.as_of)
    fuel_months, power_months = _month_changes(before, after)
    return SavingsLine(
        key=one.key,
        title=one.title,
        kind=one.kind.title,
        fuel_removed=figures[0],
        electricity_added=figures[1],
        money_saved=figures[2],
        carbon_saved=figures[3],
        in_its_place=gain,
        alone=None,
        fair_part=None,
        fuel_months_kwh=fuel_months,
        electricity_months_kwh=power_months,
        end_uses=_end_use_changes(before, after),
        cost_cents=money.cost_cents,
        avoided_cents=money.avoided_cents,
        rebates_cents=money.rebates_cents,
        payback=payback,
        payback_words=words,
        material=material,
        refrigerant=refrigerant,
        refrigerant_is_unknown=refrigerant is None and one.kind.refrigerant is not no_refrigerant,
        carbon_payback_years=_carbon_payback(put_in, exact[bit], question.terms),
        beside=one.kind.beside(before.case, one.inputs),
    )


def _figures(
    gain: Gain, draws: Draws, bits: Sequence[int], as_of: date
) -> tuple[Figure, Figure, Figure, Figure]:
    fuel = -np.sum([draws.of(bits, f"{fuel}_kwh") for fuel in FUELS_BURNED], axis=0)
    money = _money_saved(draws, bits)
    carbon = -(draws.of(bits, "fuel_carbon_kg") + draws.of(bits, "power_carbon_kg"))
    values = (
        (gain.fuel_removed_kwh, fuel, "kWh/year"),
        (gain.electricity_added_kwh, draws.of(bits, "drawn_kwh"), "kWh/year"),
        (gain.money_saved_cents, money, "cents/year"),
        (gain.carbon_saved_kg, carbon, "kg/year"),
    )
    made = [_figure(value, drawn, unit, as_of) for value, drawn, unit in values]
    return made[0], made[1], made[2], made[3]


def _money_saved(draws: Draws, bits: Sequence[int]) -> Array:
    return np.asarray(-np.sum([draws.of(bits, name) for name in MONEY], axis=0))


def _figure(value: float, drawn: Array, unit: str, as_of: date) -> Figure:
    found = ranges.band(value, drawn)
    return Figure(found.value, found.low, found.high, unit, METHOD, as_of)


def _payback(
    money: MeasureMoney, saved_cents: float, draws: Draws, bits: Sequence[int], as_of: date
) -> tuple[Figure | None, str]:
    """Simple payback of what it costs more than what would be bought anyway, rebates off."""
    cost = money.cost_cents.value
    if cost is None:
        return None, f"cost {money.cost_cents.stated}"
    extra = cost - (money.avoided_cents.value or 0) - money.rebates_cents
    if extra <= 0:
        return None, "costs no more than what would be bought anyway"
    value = extra / saved_cents if saved_cents > 0 else NEVER_YEARS
    if value >= NEVER_YEARS:
        return None, "does not pay back by itself"
    saved = _money_saved(draws, bits)
    years = np.minimum(extra * draws.costs / np.maximum(saved, 1.0), NEVER_YEARS)
    low, high = np.percentile(years, [ranges.LOW, ranges.HIGH])
    return Figure(value, min(float(low), value), max(float(high), value), "years", METHOD, as_of), ""


def _carbon_payback(put_in_kg: float, row: Array, terms: Terms) -> float | None:
    """Years until the carbon put in is saved; None when it never is, or when nothing put in is known."""
    if put_in_kg <= 0:
        return None
    fuel_kg = -float(row[_AT["fuel_carbon_kg"]])
    power_kg = float(row[_AT["power_carbon_kg"]])
    avoided = avoided_by_year_kg(fuel_kg, power_kg, terms.grid, LIFE_YEARS)
    return carbon_return(put_in_kg, avoided).payback_years


def _month_changes(before: SetYear, after: SetYear) -> tuple[tuple[float, ...], tuple[float, ...]]:
    def months(year: SetYear, *, burned: bool) -> Array:
        uses = [use.kwh for use in year.energy.uses if (use.fuel != "electricity") is burned]
        total_kwh: Array = np.array(uses).reshape(-1, 12).sum(axis=0)
        return total_kwh

    fuel = months(before, burned=True) - months(after, burned=True)
    power = months(after, burned=False) - months(before, burned=False)
    return tuple(float(one) for one in fuel), tuple(float(one) for one in power)


def _end_use_changes(before: SetYear, after: SetYear) -> tuple[tuple[Fuel, str, float], ...]:
    def by_use(year: SetYear) -> dict[tuple[Fuel, str], float]:
        return {(use.fuel, use.end_use): use.year_kwh for use in year.energy.uses}

    old, new = by_use(before), by_use(after)
    changes = [
        (fuel, use, new.get((fuel, use), 0.0) - old.get((fuel, use), 0.0)) for fuel, use in {**old, **new}
    ]
    return tuple(change for change in changes if abs(change[2]) >= 0.5)


def _cost_missing(cost: StatedTotal) -> str:
    """Why no payback can be told of all measures together; empty where every cost is known."""
    missing = cost.unknown + cost.not_stated
    if not missing:
        return ""
    return f"cannot say: the cost of {'one measure' if missing == 1 else f'{missing} measures'} is not known"


def _whole(question: Question, exact: Array, draws: Draws, lines: Sequence[SavingsLine]) -> WholeSum:
    bits = list(range(len(lines)))
    row = exact.sum(axis=0)
    gain = gain_of(row)
    figures = _figures(gain, draws, bits, question.as_of)
    cost = total(one.cost_cents for one in question.money)
    avoided = sum(one.avoided_cents.value or 0 for one in question.money)
    rebates = sum(one.rebates_cents for one in question.money)
    payback, words = None, _cost_missing(cost)
    if not words:
        known = MeasureMoney(StatedValue(cost.known), StatedValue(avoided), rebates)
        payback, words = _payback(known, gain.money_saved_cents, draws, bits, question.as_of)
    escaped = sum(line.refrigerant.escaped_kg_co2e for line in lines if line.refrigerant)
    installing = sum(line.refrigerant.installing_kg_co2e for line in lines if line.refrigerant)
    made = sum(line.material.made_kg for line in lines)
    upfront = sum(line.material.upfront_kg for line in lines)
    return WholeSum(
        fuel_removed=figures[0],
        electricity_added=figures[1],
        money_saved=figures[2],
        carbon_saved=figures[3],
        cost=cost,
        rebates_cents=rebates,
        avoided_cents=avoided,
        payback=payback,
        payback_words=words,
        made_kg=made,
        made_unknown=tuple(dict.fromkeys(name for line in lines for name in line.material.unknown)),
        refrigerant_kg=escaped,
        stored_kg=sum(line.material.stored_kg for line in lines),
        carbon_payback_years=_carbon_payback(upfront + installing, row, question.terms),
    )


def _range_sources(question: Question) -> tuple[SourceLine, ...]:
    left = "; the fit to the bills leaves {:.0%} of it"
    lines = []
    for one, spread in zip(HOUSE_FACTORS, question.belief.spread, strict=True):
        after = left.format(spread) if question.belief.is_fitted else ""
        lines.append(SourceLine(f"range of {one.name}: {one.spread}", one.source + after, question.as_of))
    for other in (*NEW_FACTORS, WEATHER_FACTOR, *TERM_FACTORS):
        name = f"range of {other.name}: {other.spread}"
        lines.append(SourceLine(name, other.source, question.as_of))
    return tuple(lines)
