"""The answer of the savings sum in a few lines, each with the part where it is told at length."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.rules.states import BillsAnswer
from retrofit_desk.services.did_it_work import WorkAnswer
from retrofit_desk.services.did_it_work_words import answer_word
from retrofit_desk.services.names import Names
from retrofit_desk.services.worth import SavingsSum
from retrofit_desk.services.worth_parts import WorthPart, WorthView
from retrofit_desk.services.worth_years import WorthYears
from retrofit_desk.services.worth_years_words import moves_text, over_years_briefly, returning
from retrofit_desk.values.cents import about_dollars_text, whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import Dimension, Units, count_text, show_about


@dataclass(frozen=True)
class AnswerLine:
    """One figure of the answer: what it is, the figure, how far it may lie off and why, where to read on."""

    what: str
    figure: str
    why: str
    where: WorthPart | WorthView


def how_sure(found: SavingsSum) -> str:
    """What the likely ranges are, and the least of the savings."""
    return (
        f"Likely ranges run from the tenth to the ninetieth percentile: nine times in ten "
        f"{_dollars(found.whole.money_saved.low)} or more are saved each year. {found.range_basis}"
    )


def headline(found: SavingsSum, units: Units) -> str:
    """The whole answer in one sentence."""
    before, after = found.before, found.after
    burned, left = (show_about(year.fuel_kwh(), found.fuel_dimension, units) for year in (before, after))
    fuel = f"burns {left} of fuel a year instead of {burned}"
    if after.fuel_kwh() < 0.5:
        fuel = f"burns nothing instead of {burned} a year"
    measures = "its one measure" if len(found.lines) == 1 else f"all {len(found.lines)} measures"
    return (
        f"With {measures} the house {fuel}, and its bills go from "
        f"{whole_dollars_text(before.total_cents)} to {whole_dollars_text(after.total_cents)} a year."
    )


def answer_lines(found: SavingsSum, years: WorthYears, rooms: Names, units: Units) -> tuple[AnswerLine, ...]:
    """What the sum says, in the order of the story; what more there is to say stands in the parts."""
    over = f"Over {count_text(years.outlook.years, 'year')}"
    return (
        _fuel(found, units),
        _electricity(found),
        _bills(found),
        _payback(found),
        AnswerLine(over, *over_years_briefly(years), WorthPart.MONEY),
        _carbon(found, units),
        *_comfort(found, rooms),
        AnswerLine("Still to do, best first", *returning(years), WorthView.LADDER),
    )


def worked_line(works: tuple[WorkAnswer, ...]) -> AnswerLine:
    """What the bills say of the work that is in service."""
    if not works:
        why = "No measure is in service: there is nothing to ask the bills about."
        return AnswerLine("Did it work?", "not yet to be asked", why, WorthPart.WORKED)
    counted = Counter(work.answer for work in works)
    figure = ", ".join(f"{counted[one]} {answer_word(one)}" for one in BillsAnswer if counted[one])
    said = [work for work in works if work.answer is not BillsAnswer.TOO_SOON]
    told = "; ".join(f"{work.title}: {answer_word(work.answer)}" for work in said)
    why = f"{told}." if said else "Too little is recorded since the work."
    return AnswerLine("Did it work?", figure, why, WorthPart.WORKED)


def _fuel(found: SavingsSum, units: Units) -> AnswerLine:
    removed, left = found.whole.fuel_removed, found.after.fuel_kwh()

    def text(kwh: float) -> str:
        return show_about(kwh, found.fuel_dimension, units)

    told = "Nothing is burned any more." if left < 0.5 else f"{text(left)} are burned still."
    why = f"{_likely(removed, text)} {told}"
    return AnswerLine("Fuel removed", f"{text(removed.value)} a year", why, WorthPart.MEASURES)


def _electricity(found: SavingsSum) -> AnswerLine:
    added, solar = found.whole.electricity_added, found.after.solar_kwh
    made = f" The modules make {words.about_energy(solar)}." if solar >= 0.5 else ""
    why = f"{_likely(added, _more_or_less)}{made}"
    return AnswerLine("Electricity drawn", f"{_more_or_less(added.value)} a year", why, WorthPart.SUN)


def _bills(found: SavingsSum) -> AnswerLine:
    """The saving is of the headline's bills; the two of the many things that move it most."""
    saved, moves = found.whole.money_saved, moves_text(found)
    most = f" Moved most by {moves}." if moves else ""
    figure = _dollars(saved.value)
    return AnswerLine("Saved each year", figure, f"{_likely(saved, _dollars)}{most}", WorthPart.SURE)


def _payback(found: SavingsSum) -> AnswerLine:
    """Over what is paid beyond what must be bought anyway, rebates off."""
    whole = found.whole
    extra = whole_dollars_text(max(whole.cost.known - whole.rebates_cents - whole.avoided_cents, 0))
    why = f"For {extra} beyond what must be bought anyway"
    if whole.payback is not None:
        likely = _likely(whole.payback, words.years_text).removesuffix(".")
        why = f"{likely} years, for {extra} beyond what must be bought anyway"
    left_out = whole.cost.unknown + whole.cost.not_stated
    why += f", and {left_out} more whose cost is not known." if left_out else "."
    figure = whole.payback_words
    if whole.payback is not None:
        figure = f"after {count_text(round(whole.payback.value), 'year')}"
    return AnswerLine("Pays back", figure, why, WorthView.FIGURES)


def _carbon(found: SavingsSum, units: Units) -> AnswerLine:
    saved, back = found.whole.carbon_saved, found.whole.carbon_payback_years

    def text(kg: float) -> str:
        return show_about(kg, Dimension.MASS, units)

    again = "never" if back is None else f"within {back:.1f} years"
    unknown = len(found.whole.made_unknown)
    without = f" ({unknown} unknown)" if unknown else ""
    why = f"{_likely(saved, text)} Its materials{without} are saved again {again}."
    return AnswerLine("Carbon saved", f"{text(saved.value)} a year", why, WorthPart.CARBON)


def _comfort(found: SavingsSum, rooms: Names) -> tuple[AnswerLine, ...]:
    """The room that gains most, and the one that stays the coldest."""
    if found.comfort is None:
        return ()
    most, still = found.comfort.most_changed, found.comfort.coldest_after
    figure = f"{most.before.too_cold_hours:,} cold hours become {most.after.too_cold_hours:,}"
    room = rooms.of(most.before.room).lower()
    why = f"In the {room}, which gains most, of {found.comfort.waking_hours:,} waking hours a year."
    if still is not most:
        name = rooms.of(still.after.room).lower()
        why += f" The {name} stays coldest: {still.after.too_cold_hours:,} at its thermostat."
    return (AnswerLine("Comfort", figure, why, WorthPart.COMFORT),)


def rests_on(found: SavingsSum) -> AnswerLine:
    """The weather, the house and the day; the tariffs and all other sources stand in their part."""
    why = f"Worked out {day_text(found.made_at.date())}. {found.range_basis}"
    billed = {bill.fuel for bill in found.before.bills}
    unpriced = sorted({use.fuel for use in found.before.uses} - billed)
    if unpriced:
        why += f" No tariff is recorded for {' and '.join(unpriced)}: neither bills nor carbon count it."
    return AnswerLine("Rests on", found.weather, why, WorthView.SOURCES)


def _more_or_less(kwh: float) -> str:
    """A change of what is drawn, in words: `3,517 kWh less`."""
    if abs(kwh) < 0.5:
        return "no change"
    return f"{words.about_energy(abs(kwh))} {'more' if kwh > 0 else 'less'}"


def _dollars(cents: float) -> str:
    return about_dollars_text(cents)


def _likely(figure: Figure, text: Callable[[float], str]) -> str:
    return f"Likely {text(figure.low)} to {text(figure.high)}."
