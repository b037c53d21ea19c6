"""What the Worth page says in words, and its numbers as text in the owner's units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from retrofit_desk.desk.pictures.line_up_steps import Step
from retrofit_desk.desk.pictures.month_bars import MonthSeries
from retrofit_desk.services.worth import NEVER_YEARS, Gain, SavingsLine, SavingsSum, YearSummary
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import (
    Dimension,
    Units,
    count_text,
    in_unit,
    show,
    to_three_digits,
    unit_word,
)


class Shown(StrEnum):
    """The figure that the steps of the line-up show."""

    FUEL = "fuel"
    ELECTRICITY = "electricity"
    MONEY = "money"
    CARBON = "carbon"


class Yearly(StrEnum):
    """What is compared month by month."""

    FUEL = "fuel"
    ELECTRICITY = "electricity used"
    BILLS = "bills"


@dataclass(frozen=True)
class Steps:
    """The line-up in one figure, ready to be drawn."""

    start: float
    start_text: str
    steps: tuple[Step, ...]
    end_text: str


def payback_text(figure: Figure | None, words: str) -> str:
    """`47 years (likely 36 to 63)`, or why there is none."""
    if figure is None:
        return words
    likely = f"(likely {years_text(figure.low)} to {years_text(figure.high)})"
    return f"{count_text(round(figure.value), 'year')} {likely}"


def brief_payback(figure: Figure | None, words: str) -> str:
    return words if figure is None else brief(figure, years_text)


def years_text(value: float) -> str:
    """A number of years, under words that say so; the end of what is worked out is never."""
    return "never" if value >= NEVER_YEARS else f"{value:.0f}"


def brief(figure: Figure, text: Callable[[float], str]) -> str:
    """`$201 ($151 to $254)`, under a heading that says what the brackets are."""
    return f"{text(figure.value)} ({text(figure.low)} to {text(figure.high)})"


def ranged(figure: Figure, text: Callable[[float], str]) -> str:
    """`$201 (likely $151 to $254)`."""
    return f"{text(figure.value)} (likely {text(figure.low)} to {text(figure.high)})"


def energy(kwh: float) -> str:
    return f"{kwh:,.0f} kWh".replace("-", "−")


def about_energy(kwh: float) -> str:
    """To three digits, where it need not add up with others."""
    return energy(to_three_digits(kwh))


def change(kwh: float) -> str:
    """A signed change of electricity."""
    return f"{kwh:+,.0f} kWh".replace("-", "−") if abs(kwh) >= 0.5 else "no change"


def mass(kg: float, units: Units) -> str:
    return show(kg, Dimension.MASS, units, decimals=0)


def fuel_text(kwh: float, dimension: Dimension, units: Units) -> str:
    return show(kwh, dimension, units, decimals=0)


def month_series(
    found: SavingsSum, what: Yearly, units: Units
) -> tuple[tuple[MonthSeries, MonthSeries], str]:
    """Before and after, twelve months each, with the unit."""
    of_fuel = found.fuel_dimension

    def months(year: YearSummary) -> tuple[float | None, ...]:
        if what is Yearly.BILLS:
            return tuple(sum(bill.month_cents[at] for bill in year.bills) / 100 for at in range(12))
        burned = year.months_kwh(burned=what is Yearly.FUEL)
        return tuple(in_unit(kwh, of_fuel, units) if what is Yearly.FUEL else kwh for kwh in burned)

    unit = {Yearly.BILLS: "$", Yearly.FUEL: unit_word(of_fuel, units), Yearly.ELECTRICITY: "kWh"}[what]
    return (
        MonthSeries("before", months(found.before)),
        MonthSeries("with all measures", months(found.after)),
    ), unit


def steps_of(found: SavingsSum, what: Shown, units: Units) -> Steps:
    """The line-up as steps in one figure; a step down is less fuel, power, money or carbon."""
    start, text, pick = _reading(found, what, units)
    steps = []
    total = start
    for line in found.lines:
        figure, sign = pick(line)
        value = sign * figure.value
        ends = sorted((sign * figure.low, sign * figure.high))
        steps.append(Step(line.title, value, ends[0], ends[1], _signed(value, text)))
        total += value
    return Steps(start, text(start), tuple(steps), text(total))


def _reading(
    found: SavingsSum, what: Shown, units: Units
) -> tuple[float, Callable[[float], str], Callable[[SavingsLine], tuple[Figure, float]]]:
    before = found.before
    match what:
        case Shown.FUEL:
            return (
                before.fuel_kwh(),
                lambda kwh: fuel_text(kwh, found.fuel_dimension, units),
                lambda line: (line.fuel_removed, -1.0),
            )
        case Shown.ELECTRICITY:
            return before.drawn_kwh, energy, lambda line: (line.electricity_added, 1.0)
        case Shown.MONEY:
            return (
                float(before.total_cents),
                lambda cents: whole_dollars_text(round(cents)),
                lambda line: (line.money_saved, -1.0),
            )
        case Shown.CARBON:
            return before.carbon_kg, lambda kg: mass(kg, units), lambda line: (line.carbon_saved, -1.0)


def _signed(value: float, text: Callable[[float], str]) -> str:
    shown = text(abs(value))
    if not any(digit in shown for digit in "123456789"):
        return "no change"
    return f"−{shown}" if value < 0 else f"+{shown}"


def gain_money(gain: Gain | None, otherwise: str) -> str:
    """What a measure saves a year, alone or as its fair part, or the word for why there is none."""
    return otherwise if gain is None else whole_dollars_text(round(gain.money_saved_cents))


FAIR_PART = (
    "Its mean saving over all orders in which the measures can be done; the parts add up to the whole."
)


def fair_part_money(line: SavingsLine) -> str:
    """The fair part, with its standard error where its orders were drawn."""
    money = gain_money(line.fair_part, "not counted")
    error = line.fair_part_error_cents
    return money if error is None else f"{money} ± {whole_dollars_text(round(error))}"


def fair_part_hint(line: SavingsLine) -> str:
    """What a fair part is, and what the ± beside it says."""
    if line.fair_part_error_cents is None:
        return FAIR_PART
    return f"{FAIR_PART} There are too many sets to run: some orders were drawn, ± is the standard error."


def last_hint(line: SavingsLine) -> str:
    """How the figure as the last of all was counted."""
    if line.last is None:
        return "Other measures cannot stand without it."
    if not line.last_without:
        return "Added to a house in which all the others are done."
    return f"Added to all the others but those that cannot stand without it: {', '.join(line.last_without)}."
