"""The latest savings sum as a packet tells it, and whether it still stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from retrofit_desk.paperwork.contents import (
    CashMonth,
    LineUpStep,
    MonthOfFuel,
    NamedFigure,
    ReadinessLine,
    SavingsPart,
    SourceLine,
    YearsPart,
)
from retrofit_desk.paperwork.show import day
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.services.worth_parts import WorthPart, worth_place
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import Dimension, count_text

if TYPE_CHECKING:
    from retrofit_desk.estimate.savings import SavingsLine, SavingsSum
    from retrofit_desk.services.worth_years import WorthYears

METHOD = (
    "Each measure is a change to the described house or its equipment. The house is worked out hour by hour "
    "over a typical year of weather, with its rooms, the sun on each face and the recorded air leakage.",
    "A measure's figures here are those at its place in the line-up; they add up to the whole.",
)


def savings_part(
    worked: SavingsSum, is_out_of_date: bool, states: Mapping[str, str], years: WorthYears | None = None
) -> SavingsPart:
    """`states`: of each measure, by its key. `years`: the same sum over the study period."""
    return SavingsPart(
        made_on=worked.made_at.date(),
        method=(*METHOD, f"Weather: {worked.weather}.", *worked.notes),
        is_out_of_date=is_out_of_date,
        fingerprint=worked.fingerprint,
        headline=_headline(worked),
        fuel=worked.fuel_dimension,
        months=_months(worked),
        steps=tuple(_step(line, states.get(line.key, "")) for line in worked.lines),
        years=None if years is None else _years_part(years),
    )


def savings_readiness(worked: SavingsSum | None, is_out_of_date: bool) -> ReadinessLine:
    """The line that tells whether the sum can be shown."""
    need, place = "Savings sum", worth_place(WorthPart.ANSWER)
    if worked is None:
        return ReadinessLine(need, Readiness.MISSING, "", "Work it out under Worth.", place)
    found = f"worked out {day(worked.made_at.date())}"
    if is_out_of_date:
        told = f"{found}; the house or a measure changed since"
        return ReadinessLine(need, Readiness.OUT_OF_DATE, told, "Work it out again under Worth.", place)
    return ReadinessLine(need, Readiness.HAVE, found, "", place)


def savings_sources(worked: SavingsSum) -> tuple[SourceLine, ...]:
    return tuple(SourceLine(line.subject, line.source, line.as_of) for line in worked.sources)


def _headline(worked: SavingsSum) -> tuple[NamedFigure, ...]:
    whole = worked.whole
    lines = [
        NamedFigure("Fuel removed", whole.fuel_removed, worked.fuel_dimension),
        NamedFigure("Electricity added", whole.electricity_added, Dimension.ENERGY),
        NamedFigure("Money saved", whole.money_saved, None, _bills(worked)),
        NamedFigure("Carbon saved in use", whole.carbon_saved, Dimension.MASS, "CO2 equivalent"),
    ]
    if whole.payback is not None:
        lines.append(NamedFigure("Simple payback", whole.payback, None))
    if whole.made_kg > 0:
        lines.append(_made(worked))
    return tuple(lines)


def _years_part(years: WorthYears) -> YearsPart:
    from retrofit_desk.services.later_money_words import not_known
    from retrofit_desk.services.worth_years import HOW, WHAT_COMES
    from retrofit_desk.services.worth_years_words import years_figures

    rows = years_figures(years)
    figures = [(row.name, row.reserved, row.note) for row in rows]
    if years.hoped is not None:
        hoped = f"with {whole_dollars_text(years.hoped_cents)} more of rebates that are not reserved"
        figures += [(row.name, row.hoped, hoped) for row in rows if row.hoped != row.reserved]
    sources = "; ".join(f"{one.subject}, {one.source}" for one in years.sources)
    months = tuple(
        CashMonth(number, one.before_cents, one.after_cents, one.payment_cents)
        for number, one in enumerate(years.months, start=1)
    )
    return YearsPart(tuple(figures), months, (f"{HOW}{WHAT_COMES}{not_known(years)}", f"Rates: {sources}."))


def _bills(worked: SavingsSum) -> str:
    before, after = worked.before.total_cents, worked.after.total_cents
    return f"bills {whole_dollars_text(before)} before, {whole_dollars_text(after)} after"


def _made(worked: SavingsSum) -> NamedFigure:
    low = sum(line.material.low_kg for line in worked.lines)
    high = sum(line.material.high_kg for line in worked.lines)
    made = worked.whole.made_kg
    unknown = len(worked.whole.made_unknown)
    figure = Figure(
        made, min(low, made), max(high, made), "kg", "tables of material carbon", worked.made_at.date()
    )
    missing = f"; {count_text(unknown, 'material')} unknown" if unknown else ""
    note = f"once, not by year{missing}"
    return NamedFigure("Carbon in the material", figure, Dimension.MASS, note)


def _months(worked: SavingsSum) -> tuple[MonthOfFuel, ...]:
    before, after = worked.before, worked.after
    columns = (
        before.months_kwh(burned=True),
        after.months_kwh(burned=True),
        before.months_kwh(burned=False),
        after.months_kwh(burned=False),
    )
    return tuple(MonthOfFuel(number, *values) for number, values in enumerate(zip(*columns, strict=True), 1))


def _step(line: SavingsLine, state: str) -> LineUpStep:
    return LineUpStep(
        title=line.title,
        state=state,
        fuel_removed=line.fuel_removed,
        electricity_added=line.electricity_added,
        saved_cents=line.money_saved,
        cost_cents=line.cost_cents,
    )
