"""The savings sum: headline figures with ranges and sources, the year by month, the line-up, the method."""

from __future__ import annotations

from reportlab.platypus import Flowable, KeepTogether

from retrofit_desk.paperwork.charts import MONTHS, MonthBars, StepsOfLineUp
from retrofit_desk.paperwork.contents import (
    CashMonth,
    LineUpStep,
    MonthOfFuel,
    NamedFigure,
    SavingsPart,
    YearsPart,
)
from retrofit_desk.paperwork.layout import BODY, NOTE, SUBSECTION, NeedsOwner, text
from retrofit_desk.paperwork.show import day, number_with_range, stated, total_cents, with_range
from retrofit_desk.paperwork.tables import block, table
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.quantity import Dimension, Units, unit_word
from retrofit_desk.values.stated import total


def savings(part: SavingsPart, units: Units) -> list[Flowable]:
    """Figures first, then pictures, then how they were worked out."""
    story: list[Flowable] = []
    if part.is_out_of_date:
        story.append(NeedsOwner(f"Out of date: the house or a measure changed after {day(part.made_on)}."))
    if part.headline:
        story.append(_headline(part.headline, units))
        story.append(text("In brackets the likely range: 10 to 90%.", NOTE))
    story += _months(part.months, part.fuel, units)
    if part.steps:
        story.append(
            KeepTogether([text("The line-up", SUBSECTION), StepsOfLineUp(part.steps, part.fuel, units)])
        )
        story.append(_steps(part.steps, part.fuel, units))
    if part.years is not None:
        story += _years(part.years)
    story.append(KeepTogether([text("How this was worked out", SUBSECTION), *_method(part)]))
    return story


def _headline(lines: tuple[NamedFigure, ...], units: Units) -> Flowable:
    rows = [
        (
            line.name + (f" ({line.note})" if line.note else ""),
            with_range(line.figure, line.dimension, units),
            f"{line.figure.source}, {day(line.figure.as_of)}",
        )
        for line in lines
    ]
    return table(("", "Figure and likely range", "Source and date"), rows, (30, 34, 36))


def _months(months: tuple[MonthOfFuel, ...], fuel: Dimension, units: Units) -> list[Flowable]:
    if len(months) != 12:
        return []
    year = sorted(months, key=lambda one: one.month)
    burned = ("Fuel", [one.gas_before_kwh for one in year], [one.gas_after_kwh for one in year], fuel)
    power = (
        "Electricity used in the house",
        [one.electricity_before_kwh for one in year],
        [one.electricity_after_kwh for one in year],
        Dimension.ENERGY,
    )
    return [MonthBars(*bars, units) for bars in (burned, power)]


def _steps(steps: tuple[LineUpStep, ...], of_fuel: Dimension, units: Units) -> Flowable:
    """The line-up as a table; its costs only for a reader who may see them."""
    fuel, power = (unit_word(dimension, units) for dimension in (of_fuel, Dimension.ENERGY))
    heads = [
        "Measure at its place",
        "State",
        f"Fuel removed, {fuel} a year",
        f"Electricity added, {power} a year",
    ]
    rows = [
        [f"{place}. {step.title}", step.state, *_worth(step, of_fuel, units)]
        for place, step in enumerate(steps, start=1)
    ]
    costs = [step.cost_cents for step in steps if step.cost_cents is not None]
    if len(costs) < len(steps):
        return table([*heads, "Saved a year"], rows, (32, 14, 16, 20, 18), numbers=(2, 3, 4))
    for row, cost in zip(rows, costs, strict=True):
        row.append(stated(cost, cents_text))
    rows.append(["All costs", "", "", "", "", total_cents(total(costs))])
    heads += ["Saved a year", "Cost"]
    return table(heads, rows, (24, 10, 16, 18, 18, 14), numbers=(2, 3, 4, 5), total=True)


def _years(part: YearsPart) -> list[Flowable]:
    """Present values, then the first year's cash by month."""
    figures = table(("Over the years", "Figure", ""), part.figures, (34, 26, 40), numbers=(1,))
    story: list[Flowable] = [
        KeepTogether([text("Money over the years", SUBSECTION), figures]),
        *(text(line, NOTE) for line in part.how),
    ]
    if part.months:
        story += block("Cash by month, first year", _cash(part.months))
    return story


def _cash(months: tuple[CashMonth, ...]) -> Flowable:
    with_loan = any(one.payment_cents is not None for one in months)
    rows = []
    for one in months:
        saved = one.before_cents - one.after_cents
        cents = [one.before_cents, one.after_cents, saved]
        cents += [one.payment_cents or 0, one.left_cents] if with_loan else []
        rows.append([MONTHS[one.month - 1], *(cents_text(value) for value in cents)])
    heads = ["Month", "Bills before", "Bills after", "Saved"]
    heads += ["Loan's payment", "Left"] if with_loan else []
    return table(heads, rows, (12, *(18 for _ in heads[1:])), numbers=tuple(range(1, len(heads))))


def _worth(step: LineUpStep, of_fuel: Dimension, units: Units) -> list[str]:
    return [
        number_with_range(step.fuel_removed, of_fuel, units),
        number_with_range(step.electricity_added, Dimension.ENERGY, units),
        number_with_range(step.saved_cents, None, units),
    ]


def _method(part: SavingsPart) -> list[Flowable]:
    story: list[Flowable] = [text(line, BODY) for line in part.method]
    story.append(
        text(f"Worked out on {day(part.made_on)}; fingerprint of the inputs {part.fingerprint[:16]}.", NOTE)
    )
    return story
