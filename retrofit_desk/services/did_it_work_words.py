"""What the bills say of finished work, in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from retrofit_desk.rules.states import BillsAnswer
from retrofit_desk.services.did_it_work import Basis, MeterAnswer, Saved, WorkAnswer
from retrofit_desk.values.cents import whole_dollars_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import billed_text, count_text, percent_text, unit_of_many

NOTHING = "No measure is in service yet: there is nothing to ask the bills about."
ANSWERS = {
    BillsAnswer.CONFIRMED: "proven",
    BillsAnswer.TOO_SOON: "too soon",
    BillsAnswer.NOT_BORNE_OUT: "not borne out",
    BillsAnswer.NOT_ASKED: "not asked",
}


def answer_word(answer: BillsAnswer) -> str:
    return ANSWERS[answer]


def waits_for_owner(work: WorkAnswer) -> bool:
    """The bills have spoken and nobody has kept what they said."""
    return work.answer is not BillsAnswer.TOO_SOON and not work.is_kept


def bills_weather(weather: str) -> str:
    hint = "" if weather.startswith("the daily") else " Read in the daily temperatures for a firmer answer."
    return f"Temperatures are those of {weather}.{hint}"


def work_why(work: WorkAnswer) -> str:
    """When it was done, why the bills say so, what was kept before."""
    days = day_text(work.began)
    if work.ended != work.began:
        days = f"{days} to {day_text(work.ended)}"
    together = ""
    if len(work.measures) > 1:
        together = " Done so close together that bills speak for them as one."
    asked = [one.asked_on for one in work.measures if one.asked_on is not None]
    kept = f" Answer last kept {day_text(max(asked))}." if asked else ""
    return f"Done {days}.{together} {_sentence(work.reason)}{kept}"


def work_saved(work: WorkAnswer) -> str:
    """The saving at the house with its range, fuel and electricity together."""
    if work.site_kwh is None:
        return ""
    energy = f"{_saved_text(work.site_kwh, 'kWh')} saved, {percent_text(work.site_kwh.share)} of all energy"
    return energy if work.money_cents is None else f"{energy}; {money_saved(work.money_cents)}"


def money_saved(saved: Saved | None) -> str:
    """Dollars over the time since the work, by the tariff of its days."""
    if saved is None:
        return "cannot say"
    half = "" if saved.half_width is None else f" ± {whole_dollars_text(round(saved.half_width))}"
    return f"{whole_dollars_text(round(saved.saved))}{half}"


def periods_text(basis: Basis, periods: int, days: int) -> str:
    """How many bills or fills over how many days; days read are told by their number."""
    if not periods:
        return "none"
    if basis is Basis.DAYS:
        return f"{count_text(periods, 'day')} read"
    return f"{count_text(periods, 'bill' if basis is Basis.BILLS else 'fill')} over {count_text(days, 'day')}"


def metered(meter: MeterAnswer, pick: Callable[[Saved], float]) -> str:
    return "cannot say" if meter.saved is None else billed_text(pick(meter.saved), meter.unit)


def meter_saved(meter: MeterAnswer) -> str:
    return "cannot say" if meter.saved is None else _saved_text(meter.saved, meter.unit)


def grounds(work: WorkAnswer) -> str:
    """What each meter's answer leans on and why, and over which days they all count; a line each."""
    lines = [_ground(meter) for meter in work.meters]
    if work.counted is not None:
        start, end = work.counted
        last = day_text(end - timedelta(days=1))
        lines.append(f"All are counted from {day_text(start)} to {last}, the days that every meter covers.")
    return "\n".join(lines)


def _ground(meter: MeterAnswer) -> str:
    told = f"{meter.name}: by {meter.basis}; {meter.why}."
    if meter.cv is not None:
        fitted = count_text(meter.parameters, "parameter")
        told += f" Model of before: {meter.shape}, {fitted}, CV(RMSE) {meter.cv:.1%}."
    if meter.left_out:
        told += f" Left out: {'; '.join(meter.left_out)}."
    return told


def _saved_text(saved: Saved, unit: str) -> str:
    if saved.half_width is None:
        return billed_text(saved.saved, unit)
    amount = f"{saved.saved:,.0f}".replace("-", "−")
    return f"{amount} ± {saved.half_width:,.0f} {unit_of_many(unit)}"


def _sentence(clause: str) -> str:
    return f"{clause[0].upper()}{clause[1:]}."
