"""The answer of the savings sum in a few lines, each with the part where it is told at length."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.rules.states import BillsAnswer
from retrofit_desk.services.did_it_work import WorkAnswer
from retrofit_desk.services.names import Names
from retrofit_desk.services.worth import SavingsSum
from retrofit_desk.services.worth_parts import WorthPart, WorthView
from retrofit_desk.services.worth_years import WorthYears
from retrofit_desk.services.worth_years_words import moves_text, over_years, returning
from retrofit_desk.values.cents import about_dollars_text, whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import Dimension, Units, show_about


@dataclass(frozen=True)
class AnswerLine:
    """One figure of the answer: what it is, the figure, how far it may lie off and why, where to read on."""

    what: str
    figure: str
    why: str
    where: WorthPart | WorthView


def headline(found: SavingsSum, units: Units) -> str:
    """The whole answer in one sentence."""
    before, after = found.before, found.after
    burned, left = (show_about(year.fuel_kwh(), found.fuel_dimension, units) for year in (before, after))
    fuel = f"burns {left} of fuel a year instead of {burned}"
    if after.fuel_kwh() < 0.5:
        fuel = f"burns nothing instead of {burned} a year"
    return (
        f"With all {len(found.lines)} measures the house {fuel}, and its bills go from "
        f"{whole_dollars_text(before.total_cents)} to {whole_dollars_text(after.total_cents)} a year."
    )


def answer_lines(found: SavingsSum, years: WorthYears, rooms: Names, units: Units) -> tuple[AnswerLine, ...]:
    """What the sum says, in the order of the story."""
    return (
        _fuel(found, units),
        _electricity(found),
        _bills(found),
        _payback(found),
        AnswerLine(f"Over {years.outlook.years} years", *over_years(years), WorthPart.MONEY),
        _carbon(found, units),
        *_comfort(found, rooms),
        AnswerLine("Still to do, best first", *returning(years), WorthView.LADDER),
        _sure(found),
        _rests_on(found),
    )


def worked_line(works: tuple[WorkAnswer, ...]) -> AnswerLine:
    """What the bills say of the work that is in service."""
    if not works:
        why = "No measure is in service: there is nothing to ask the bills about."
        return AnswerLine("Did it work?", "not yet to be asked", why, WorthPart.WORKED)
    counted = Counter(work.answer for work in works)
    figure = ", ".join(f"{counted[one]} {words.answer_word(one)}" for one in BillsAnswer if counted[one])
    told = "; ".join(f"{work.title}: {words.answer_word(work.answer)}" for work in works)
    return AnswerLine("Did it work?", figure, f"{told}.", WorthPart.WORKED)


def _fuel(found: SavingsSum, units: Units) -> AnswerLine:
    removed, left = found.whole.fuel_removed, found.after.fuel_kwh()

    def text(kwh: float) -> str:
        return show_about(kwh, found.fuel_dimension, units)

    told = "Nothing is burned any more." if left < 0.5 else f"{text(left)} are burned still."
    why = f"{_likely(removed, text)} {told}"
    return AnswerLine("Fuel removed", f"{text(removed.value)} a year", why, WorthPart.MEASURES)


def _electricity(found: SavingsSum) -> AnswerLine:
    added, before, after = found.whole.electricity_added, found.before, found.after
    solar, fed_in = words.about_energy(after.solar_kwh), words.about_energy(after.fed_in_kwh)
    made = f"; the modules make {solar}, of which {fed_in} are fed in" if after.solar_kwh >= 0.5 else ""
    drawn = [words.about_energy(year.drawn_kwh) for year in (before, after)]
    why = (
        f"{_likely(added, _more_or_less)} Drawn from the network: {drawn[0]} before, "
        f"{drawn[1]} with all measures{made}."
    )
    return AnswerLine("Electricity", f"{_more_or_less(added.value)} a year", why, WorthPart.SUN)


def _bills(found: SavingsSum) -> AnswerLine:
    before, after = found.before.total_cents, found.after.total_cents
    saved = found.whole.money_saved
    why = f"{_dollars(saved.value)} saved each year. {_likely(saved, _dollars)} At the tariffs of today."
    figure = f"{whole_dollars_text(before)} before, {whole_dollars_text(after)} after"
    return AnswerLine("Bills of a year", figure, why, WorthView.MONTHS)


def _payback(found: SavingsSum) -> AnswerLine:
    whole = found.whole
    left_out = whole.cost.unknown + whole.cost.not_stated
    missing = f", and {left_out} more whose cost is not known" if left_out else ""
    likely = (
        ""
        if whole.payback is None
        else f"{_likely(whole.payback, words.years_text).removesuffix('.')} years. "
    )
    why = (
        f"{likely}All of it costs {whole_dollars_text(whole.cost.known)}{missing}; "
        f"{whole_dollars_text(whole.rebates_cents)} of rebates are reserved or paid, and "
        f"{whole_dollars_text(whole.avoided_cents)} would have to be spent anyway."
    )
    figure = whole.payback_words if whole.payback is None else f"after {whole.payback.value:.0f} years"
    return AnswerLine("Pays back", figure, why, WorthView.FIGURES)


def _carbon(found: SavingsSum, units: Units) -> AnswerLine:
    saved, back = found.whole.carbon_saved, found.whole.carbon_payback_years

    def text(kg: float) -> str:
        return show_about(kg, Dimension.MASS, units)

    again = "never" if back is None else f"within {back:.1f} years"
    unknown = len(found.whole.made_unknown)
    without = (
        f", {unknown} material{'' if unknown == 1 else 's'} of unknown carbon left out" if unknown else ""
    )
    why = f"{_likely(saved, text)} What making and installing put in is saved again {again}{without}."
    return AnswerLine("Carbon saved", f"{text(saved.value)} a year", why, WorthPart.CARBON)


def _comfort(found: SavingsSum, rooms: Names) -> tuple[AnswerLine, ...]:
    """The room that is too cold longest."""
    if found.comfort is None:
        return ()
    cold = found.comfort.coldest
    figure = f"{cold.before.too_cold_hours:,} cold hours become {cold.after.too_cold_hours:,}"
    why = (
        f"In the {rooms.of(cold.before.room).lower()}, the room too cold longest, of the "
        f"{found.comfort.waking_hours:,} waking hours of a year."
    )
    return (AnswerLine("Comfort", figure, why, WorthPart.COMFORT),)


def _sure(found: SavingsSum) -> AnswerLine:
    least, moves = found.whole.money_saved.low, moves_text(found)
    why = f"Saved each year, nine times in ten. {f'Moved most by {moves}.' if moves else ''}"
    return AnswerLine("How sure", f"{_dollars(least)} or more", why.strip(), WorthPart.SURE)


def _rests_on(found: SavingsSum) -> AnswerLine:
    """The weather, the house and the prices that went in, with the day."""
    tariffs = " and ".join(bill.tariff.subject.removeprefix("tariff ") for bill in found.before.bills)
    why = (
        f"By the hour, on the tariffs {tariffs}. {found.range_basis} Likely ranges run from the tenth to the "
        "ninetieth percentile."
    )
    billed = {bill.fuel for bill in found.before.bills}
    unpriced = sorted({use.fuel for use in found.before.uses} - billed)
    if unpriced:
        why += f" No tariff is recorded for {' and '.join(unpriced)}: neither bills nor carbon count it."
    figure = f"{found.weather}; worked out {day_text(found.made_at.date())}"
    return AnswerLine("Rests on", figure, why, WorthView.SOURCES)


def _more_or_less(kwh: float) -> str:
    """A change of what is drawn, in words: `3,517 kWh less`."""
    if abs(kwh) < 0.5:
        return "no change"
    return f"{words.about_energy(abs(kwh))} {'more' if kwh > 0 else 'less'}"


def _dollars(cents: float) -> str:
    return about_dollars_text(cents)


def _likely(figure: Figure, text: Callable[[float], str]) -> str:
    return f"Likely {text(figure.low)} to {text(figure.high)}."
