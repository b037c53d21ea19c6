"""Quotes in words: the strips, the facts side by side, the scope line by line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from retrofit_desk.desk.pictures.quote_strip import LineIs, QuoteStrip, StripPart
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.services.quote_values import LineRow, QuoteSheet, RequestSheet
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, count_text, show
from retrofit_desk.values.stated import StatedValue


@dataclass(frozen=True)
class SideRow:
    """One line across all firms; `texts` in the order of the quotes, `guess` for lines of the scope."""

    name: str
    texts: tuple[str, ...]
    guess: str = ""


def money_text(value: StatedValue[int]) -> str:
    return str(value.stated) if value.value is None else cents_text(value.value)


def answered(sheet: RequestSheet) -> tuple[QuoteSheet, ...]:
    """The quotes that came, in the order in which they came."""
    return tuple(quote for quote in sheet.quotes if quote.is_answered)


def strip_of(quote: QuoteSheet) -> QuoteStrip:
    """The parts to the scale of money: what is in the price first, then what the owner adds."""
    inside = [part for line in quote.lines if (part := _inside(line)) is not None]
    if quote.not_itemized_cents > 0:
        name = "in the price, not itemized"
        at = sum(1 for part in inside if part.line_is is LineIs.INCLUDED)
        inside.insert(at, StripPart(name, LineIs.INCLUDED, quote.not_itemized_cents))
    outside = [
        StripPart(_beyond(line), LineIs(str(line.answer)), line.added_cents)
        for line in quote.lines
        if line.added_cents > 0 and line.answer is not ScopeAnswer.ALLOWANCE
    ]
    outside += [
        StripPart(_beyond(line), LineIs.NOT_STATED, line.added_cents)
        for line in quote.lines
        if line.added_cents > 0 and line.answer is ScopeAnswer.ALLOWANCE
    ]
    return QuoteStrip(
        key=quote.id,
        firm=quote.firm,
        parts=(*inside, *outside),
        price_text=money_text(quote.price_cents),
        like_for_like_text=quote.like_for_like.words,
    )


def told(sheet: RequestSheet) -> str:
    """The strips in words, for those who do not see them."""
    return " ".join(
        f"{quote.firm} asks {money_text(quote.price_cents)}, like for like {quote.like_for_like.words}."
        for quote in answered(sheet)
    )


def fact_rows(sheet: RequestSheet, units: Units) -> tuple[SideRow, ...]:
    """What the firms say beside each other, in the owner's units."""
    quotes = answered(sheet)
    rows: tuple[tuple[str, Callable[[QuoteSheet], str]], ...] = (
        ("State", lambda quote: str(quote.state)),
        ("Asks", lambda quote: money_text(quote.price_cents)),
        ("You add for what is left out", lambda quote: cents_text(quote.like_for_like.added_cents)),
        ("Like for like", lambda quote: quote.like_for_like.words),
        ("Product", lambda quote: quote.product or "not stated"),
        ("Capacity", lambda quote: _capacity(quote, units)),
        ("Against the load", lambda quote: _against(sheet, quote)),
        ("Load it sized for", lambda quote: _firm_load(quote, units)),
        ("Version of the house", lambda quote: quote.based_on or "not stated"),
        ("Measured at the house", lambda quote: _yes_no(quote.measured_on_site)),
        ("Price holds until", lambda quote: _day(quote.valid_until)),
        ("Deposit", lambda quote: money_text(quote.deposit_cents)),
        ("Tax in it", lambda quote: money_text(quote.tax_cents)),
        ("Warranty, parts", lambda quote: _years(quote.warranty_parts_years)),
        ("Warranty, labor", lambda quote: _years(quote.warranty_labor_years)),
        ("Start", lambda quote: _day(quote.start_on)),
        ("Finish", lambda quote: _day(quote.finish_on)),
    )
    return tuple(SideRow(name, tuple(text(quote) for quote in quotes)) for name, text in rows)


def scope_rows(sheet: RequestSheet) -> tuple[SideRow, ...]:
    """Each line asked for, with every firm's answer; then the lines that firms put in themselves."""
    quotes = answered(sheet)
    rows = [
        SideRow(
            item.text,
            tuple(_line_text(quote.line_for(item.id)) for quote in quotes),
            f"{money_text(item.guess_cents)}, {item.guess_source}"
            if item.guess_source
            else money_text(item.guess_cents),
        )
        for item in sheet.scope
    ]
    for at, quote in enumerate(quotes):
        for line in quote.lines:
            if line.scope_id is None:
                texts = tuple(_line_text(line) if at == n else "" for n in range(len(quotes)))
                rows.append(SideRow(line.text, texts))
    return tuple(rows)


def _inside(line: LineRow) -> StripPart | None:
    amount = line.amount_cents.value
    if not amount or line.per_unit or line.answer not in (ScopeAnswer.INCLUDED, ScopeAnswer.ALLOWANCE):
        return None
    return StripPart(line.text, LineIs(str(line.answer)), amount)


def _beyond(line: LineRow) -> str:
    return f"{line.text}, beyond the allowance" if line.answer is ScopeAnswer.ALLOWANCE else line.text


def _line_text(line: LineRow | None) -> str:
    if line is None:
        return "not stated"
    amount = line.amount_cents.value
    words = str(line.answer)
    if amount is not None:
        words += f", {cents_text(amount)}" + (f" per {line.per_unit}" if line.per_unit else "")
    if line.added_cents:
        words += f"; you add {cents_text(line.added_cents)}"
    elif line.answer in (ScopeAnswer.EXCLUDED, ScopeAnswer.NOT_STATED) and not line.guess_cents.is_known:
        words += "; no guess"
    return words


def _capacity(quote: QuoteSheet, units: Units) -> str:
    if quote.capacity_w.value is None:
        return str(quote.capacity_w.stated)
    at = "no temperature"
    if quote.capacity_at_c is not None:
        at = show(quote.capacity_at_c, Dimension.TEMPERATURE, units)
    return f"{show(quote.capacity_w.value, Dimension.POWER, units)} at {at}"


def _against(sheet: RequestSheet, quote: QuoteSheet) -> str:
    if sheet.load is None:
        return "no load named"
    if quote.capacity_percent is None:
        return "cannot be compared" if quote.capacity_w.is_known else str(quote.capacity_w.stated)
    return f"{quote.capacity_percent}%"


def _firm_load(quote: QuoteSheet, units: Units) -> str:
    method = f", {quote.load_method}" if quote.load_method else ""
    if quote.firm_load_w.value is None:
        return f"{quote.firm_load_w.stated}{method}"
    return f"{show(quote.firm_load_w.value, Dimension.POWER, units)}{method}"


def _years(value: StatedValue[float]) -> str:
    return str(value.stated) if value.value is None else count_text(value.value, "year")


def _yes_no(value: bool | None) -> str:
    return {True: "yes", False: "no", None: "not stated"}[value]


def _day(value: date | None) -> str:
    return "not stated" if value is None else day_text(value)
