"""The savings sum over the years in words: how sure, what moves it, what it is worth and returns."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from retrofit_desk.money.worth import LifeCycle
from retrofit_desk.services.worth import SavingsSum
from retrofit_desk.services.worth_years import (
    LaterMoney,
    LineYears,
    MoneyOverYears,
    NetPresentRange,
    ReturnRange,
    WorthYears,
)
from retrofit_desk.values.cents import about_dollars_text, cents_text, whole_dollars_text
from retrofit_desk.values.quantity import count_text, percent_text

MOST_NAMED = 2
"""Measures that are named after the best; the ladder shows all."""


def moves_text(found: SavingsSum) -> str:
    """The two things that move the answer most, with their shares of the spread; empty where nothing does."""
    moves = (f"{name} ({percent_text(share)})" for name, share in found.moves[:2] if share >= 0.005)
    return " and ".join(moves)


def over_years(years: WorthYears) -> tuple[str, str]:
    """What all of it is worth over the years, beside buying only what must be bought anyway; and how sure."""
    money, outlook, found = years.reserved, years.outlook, years.ranges.net_present
    ratio = money.savings_to_investment
    each = "" if ratio is None else f" Each extra dollar brings {cents_text(round(ratio * 100))} back."
    low, high = (about_dollars_text(cents) for cents in (found.low_cents, found.high_cents))
    beside = (
        f"at {percent_text(outlook.discount_rate, 1)} above inflation (NPV). Likely {low} to {high}.{each}"
    )
    figure, missing = _more_or_less(money.net_present_cents), len(years.left_out)
    if not missing:
        return figure, f"Compared with buying only what must be bought anyway, {beside}"
    unknown = f"cannot say: the cost of {count_text(missing, 'measure')} is not known"
    rest = len(years.lines) - missing
    if not rest:
        return unknown, "Enter what each measure costs on its page."
    return unknown, f"The {count_text(rest, 'measure')} of known cost: {figure}, {beside}"


def over_years_briefly(years: WorthYears) -> tuple[str, str]:
    """The same in one short sentence, for who has little time."""
    figure, why = over_years(years)
    if years.left_out:
        return figure, why
    found = years.ranges.net_present
    low, high = (about_dollars_text(cents) for cents in (found.low_cents, found.high_cents))
    return figure, f"Likely {low} to {high}, beside buying only what must be bought anyway."


def _more_or_less(cents: int) -> str:
    return f"{about_dollars_text(abs(cents))} {'more' if cents >= 0 else 'less'}"


def returning(years: WorthYears) -> tuple[str, str]:
    """What is still to do and returns more than it costs within the years, best first; and of the others."""
    still = [one for one in years.lines if not one.is_done]
    if not still:
        return "nothing", "All that is in the line-up is in place."
    good = [
        (one.money.savings_to_investment, one.line.title)
        for one in still
        if one.money is not None and one.money.net_present_cents > 0
    ]
    good.sort(key=lambda one: one[0] or Decimal("Infinity"), reverse=True)
    untold = [one.line.title for one in still if one.money is None]
    cannot = f" Cannot say, the cost is not known: {'; '.join(untold)}." if untold else ""
    if not good:
        known = " of known cost" if untold else ""
        why = f"Nothing{known} that is still to do returns its cost in that time.{cannot}"
        return "nothing by the bills alone", why
    best, *rest = (title for _, title in good)
    more = f", and {len(rest) - MOST_NAMED} more" if len(rest) > MOST_NAMED else ""
    then = f"Then: {'; '.join(rest[:MOST_NAMED])}{more}. " if rest else ""
    others = len(still) - len(good) - len(untold)
    not_these = " The others do not return their cost by the bills alone." if others else ""
    return best, f"{then}Each in its place.{not_these}{cannot}"


def ratio_text(ratio: Decimal | None) -> str:
    """The savings-to-investment ratio; none where nothing extra is invested."""
    return "nothing extra invested" if ratio is None else f"{ratio:.2f}".replace("-", "−")


def discounted_text(money: MoneyOverYears, years: int) -> str:
    found = money.discounted_payback_years
    if found == 0:
        return "at once"
    return f"not within {count_text(years, 'year')}" if found is None else count_text(found, "year")


def falls_back_text(money: MoneyOverYears) -> str:
    """That it is under water again after it had paid back; empty where it stays above."""
    year = money.falls_back_in
    return "" if year is None else f"below zero again in year {year}, when something is bought again"


def return_text(money: MoneyOverYears) -> str:
    rate = money.internal.rate
    return "none" if rate is None else percent_text(rate, 1)


def return_hint(money: MoneyOverYears) -> str:
    """The warnings of the internal rate of return."""
    told = "; ".join(money.internal.warnings)
    return f"{told[0].upper()}{told[1:]}." if told else "One change of sign: the rate is the only one."


def adjusted_text(money: MoneyOverYears) -> str:
    return "none" if money.adjusted_return is None else percent_text(money.adjusted_return, 1)


def line_figure(one: LineYears, text: str) -> str:
    """The figure, or the word for why there is none."""
    return f"cost {one.line.cost_cents.stated}" if one.money is None else text


@dataclass(frozen=True)
class YearsFigure:
    """One row: the figure with the rebates that are reserved, and with those hoped for."""

    name: str
    reserved: str
    hoped: str
    note: str = ""


def years_figures(found: WorthYears) -> list[YearsFigure]:
    """The figures of the whole line-up, those hoped for beside those reserved."""
    years = found.outlook.years
    whole = whole_dollars_text
    rows: tuple[tuple[str, Callable[[MoneyOverYears], str], str], ...] = (
        ("Cost of all of it", lambda one: whole(one.stake.cost_cents), "as quoted, paid or costed"),
        (
            "Extra cost",
            lambda one: whole(one.extra_cents),
            "cost less what is bought anyway, rebates off",
        ),
        ("What would be bought anyway", lambda one: whole(one.stake.avoided_cents), "each when it is due"),
        ("Rebates", lambda one: whole(one.stake.rebates_cents), ""),
        (
            "Bought again later",
            lambda one: whole(one.done.replacement_cents - one.base.replacement_cents),
            _beside(found.reserved, lambda one: one.replacement_cents),
        ),
        (
            "Worth at the end",
            lambda one: whole(one.done.residual_cents - one.base.residual_cents),
            _beside(found.reserved, lambda one: one.residual_cents),
        ),
        (
            "Upkeep",
            lambda one: _upkeep_text(one, found.later),
            f"present value over {count_text(years, 'year')}, as far as it is known; below zero: less than "
            "without",
        ),
        (
            "Saved in the first year",
            lambda one: whole(one.stake.fuel_saved_cents + one.stake.power_saved_cents),
            "prices of today",
        ),
        ("Discounted payback", lambda one: discounted_text(one, years), falls_back_text(found.reserved)),
        (
            "Net present value (NPV)",
            lambda one: whole(one.net_present_cents),
            f"{count_text(years, 'year')}; {_net_present_words(found.ranges.net_present)}",
        ),
        ("Savings to investment (SIR)", lambda one: ratio_text(one.savings_to_investment), "1 is even"),
        ("Adjusted return (AIRR)", adjusted_text, "above inflation"),
        ("Internal return (IRR)", return_text, return_note(found)),
    )
    figures = [
        YearsFigure(name, text(found.reserved), "" if found.hoped is None else text(found.hoped), note)
        for name, text, note in rows
    ]
    return [*_left_out(found), *figures]


def _left_out(found: WorthYears) -> list[YearsFigure]:
    """That measures of unknown cost are in none of the figures; nothing where all costs are known."""
    if not found.left_out:
        return []
    note = f"cost not known; nor is what they save counted: {'; '.join(found.left_out)}"
    return [YearsFigure("Left out", count_text(len(found.left_out), "measure"), "", note)]


def _beside(money: MoneyOverYears, part: Callable[[LifeCycle], int]) -> str:
    """The two sides of a difference."""
    done, base = whole_dollars_text(part(money.done)), whole_dollars_text(part(money.base))
    return f"present value; {done} with the measures, {base} without"


def _upkeep_text(money: MoneyOverYears, later: Sequence[LaterMoney]) -> str:
    """Unknown where nobody said anything of it: never zero."""
    said = any(one.upkeep_cents.is_known or one.ended_upkeep_cents.is_known for one in later)
    return whole_dollars_text(money.done.upkeep_cents - money.base.upkeep_cents) if said else "unknown"


def loan_real_text(found: WorthYears) -> str:
    """The loan's rate beside the return, both above inflation; empty without a known rate."""
    rate = found.loan_above_inflation
    if rate is None:
        return ""
    returned = return_text(found.reserved)
    return f"Above inflation the loan costs {percent_text(rate, 1)}; the measures return {returned}."


def return_note(found: WorthYears) -> str:
    """The likely range of the return, and what must be said beside it."""
    return f"above inflation; {return_range_text(found.ranges.internal)}. {return_hint(found.reserved)}"


def return_range_text(found: ReturnRange) -> str:
    """How far the return may lie off, and how often there is none."""
    if found.low is None or found.high is None:
        return "no likely range: no rate fits any of the draws"
    likely = f"likely {percent_text(found.low, 1)} to {percent_text(found.high, 1)}"
    if found.none_share == 0:
        return likely
    share = "less than 1%" if found.none_share < 0.01 else percent_text(found.none_share)
    return f"{likely} where a rate fits; none fits {share} of the draws"


def _net_present_words(found: NetPresentRange) -> str:
    """The likely range with what moves it most."""
    low, high = (about_dollars_text(cents) for cents in (found.low_cents, found.high_cents))
    most = f", most by {found.moves[0][0]}" if found.moves else ""
    return f"likely {low} to {high}{most}"
