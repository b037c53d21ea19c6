"""One request gathered from the record, with what follows from each answer on a day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules import quote_checks as checks
from retrofit_desk.rules.quote_checks import Point
from retrofit_desk.rules.quotes import ScopeAnswer, ScopeLine, highest_deposit_cents, like_for_like
from retrofit_desk.services.quote_values import (
    LineRow,
    LoadRow,
    QuestionRow,
    QuoteSheet,
    RequestSheet,
    ScopeRow,
)
from retrofit_desk.services.quotes import row_of
from retrofit_desk.services.signing import programme_name, programmes_chosen, signed_with, signing_sentences
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import Stated, StatedValue

SETTLED = (QuoteState.ACCEPTED, QuoteState.DECLINED, QuoteState.NO_ANSWER)


def sheet_of(session: Session, request: m.QuoteRequest, tables: Tables, on: date) -> RequestSheet:
    """Everything about one request, in plain values."""
    load = session.get(m.DesignLoad, request.design_load_id) if request.design_load_id else None
    return RequestSheet(
        row=row_of(request),
        notes=request.notes,
        load=_load(load) if load else None,
        scope=tuple(
            ScopeRow(item.id, item.text, item.stated("guess_cents"), item.guess_source)
            for item in request.scope
        ),
        quotes=tuple(_quote(session, quote, load, tables, on) for quote in request.quotes),
    )


def _quote(
    session: Session, quote: m.Quote, load: m.DesignLoad | None, tables: Tables, on: date
) -> QuoteSheet:
    lines = tuple(_lines(quote))
    contract = session.scalar(select(m.Contract).where(m.Contract.quote_id == quote.id))
    signed_on = contract.signed_on if contract is not None and contract.signed_on else on
    is_answered = quote.state not in (QuoteState.ASKED, QuoteState.NO_ANSWER)
    points = _points(session, quote, lines, load, tables, signed_on) if is_answered else ()
    return QuoteSheet(
        id=quote.id,
        firm_id=quote.firm_id,
        firm=quote.firm.name,
        state=quote.state,
        number=quote.number,
        quoted_on=quote.quoted_on,
        valid_until=quote.valid_until,
        price_cents=quote.stated("price_cents"),
        tax_cents=quote.stated("tax_cents"),
        deposit_cents=quote.stated("deposit_cents"),
        make=quote.make,
        model=quote.model,
        second_model=quote.second_model,
        match_number=quote.match_number,
        capacity_w=quote.stated("capacity_w"),
        capacity_at_c=quote.capacity_at_c,
        firm_load_w=quote.stated("load_w"),
        load_method=quote.load_method,
        based_on=quote.based_on,
        measured_on_site=quote.measured_on_site,
        warranty_parts_years=quote.stated("warranty_parts_years"),
        warranty_labor_years=quote.stated("warranty_labor_years"),
        start_on=quote.start_on,
        finish_on=quote.finish_on,
        notes=quote.notes,
        lines=lines,
        like_for_like=like_for_like(quote.stated("price_cents"), [_plain(line) for line in lines]),
        capacity_percent=_capacity_percent(session, quote, load),
        not_itemized_cents=_not_itemized(quote, lines),
        points=points,
        sign_holds=() if contract else signing_sentences(session, quote, tables, on),
        questions=tuple(
            QuestionRow(one.id, one.text, one.answer, one.asked_on, one.answered_on)
            for one in quote.questions
        ),
        suggested=_suggested(quote, points) if quote.state not in SETTLED else (),
        contract_id=contract.id if contract else None,
        signed_with=signed_with(session, quote),
        paper_id=quote.paper_id,
    )


def _lines(quote: m.Quote) -> Iterator[LineRow]:
    """One line for each that was asked for, in that order, then the firm's own."""
    said = {line.scope_item_id: line for line in quote.lines if line.scope_item_id is not None}
    for item in quote.request.scope:
        line = said.get(item.id)
        yield _line(line, item) if line else _silent(item)
    for line in quote.lines:
        if line.scope_item_id is None:
            yield _line(line, None)


def _line(line: m.QuoteLine, item: m.ScopeItem | None) -> LineRow:
    own: StatedValue[int] = line.stated("guess_cents")
    guess = own if own.is_known or item is None else item.stated("guess_cents")
    amount: StatedValue[int] = line.stated("amount_cents")
    counted = _counted(line.answer, amount, guess)
    left_out = line.answer is not ScopeAnswer.INCLUDED
    return LineRow(
        id=line.id,
        scope_id=line.scope_item_id,
        text=item.text if item else line.text,
        answer=line.answer,
        amount_cents=amount,
        per_unit=line.per_unit,
        own_guess_cents=own,
        guess_cents=guess,
        added_cents=(counted.value or 0) if left_out else 0,
        notes=line.notes,
    )


def _silent(item: m.ScopeItem) -> LineRow:
    """A line the firm says nothing about."""
    guess: StatedValue[int] = item.stated("guess_cents")
    return LineRow(
        id=0,
        scope_id=item.id,
        text=item.text,
        answer=ScopeAnswer.NOT_STATED,
        amount_cents=StatedValue(None, Stated.NOT_STATED),
        per_unit="",
        own_guess_cents=StatedValue(None, Stated.UNKNOWN),
        guess_cents=guess,
        added_cents=guess.value or 0,
        notes="",
    )


def _counted(answer: ScopeAnswer, amount: StatedValue[int], guess: StatedValue[int]) -> StatedValue[int]:
    """What a line left out adds; of an allowance only what is expected beyond it."""
    if answer is not ScopeAnswer.ALLOWANCE or guess.value is None:
        return guess
    if amount.value is None:
        return StatedValue(None, Stated.UNKNOWN)
    return StatedValue(max(guess.value - amount.value, 0))


def _plain(line: LineRow) -> ScopeLine:
    return ScopeLine(line.text, line.answer, _counted(line.answer, line.amount_cents, line.guess_cents))


def _not_itemized(quote: m.Quote, lines: tuple[LineRow, ...]) -> int:
    if quote.price_cents is None:
        return 0
    priced = (ScopeAnswer.INCLUDED, ScopeAnswer.ALLOWANCE)
    told = sum(line.amount_cents.value or 0 for line in lines if line.answer in priced and not line.per_unit)
    return quote.price_cents - told


def _load(row: m.DesignLoad) -> LoadRow:
    return LoadRow(
        row.id, row.name, row.heating_w, row.cooling_w, row.at_heating_c, row.method, row.made_at.date()
    )


def _points(
    session: Session,
    quote: m.Quote,
    lines: tuple[LineRow, ...],
    load: m.DesignLoad | None,
    tables: Tables,
    on: date,
) -> tuple[Point, ...]:
    """All that is open or was checked about a quote, on the day it is or was signed."""
    facts = [
        checks.ScopeFact(one.text, one.answer, one.guess_cents.is_known) for one in lines if one.scope_id
    ]
    return (
        *checks.validity_points(quote.valid_until, on, is_settled=quote.state in SETTLED),
        *_size_points(session, quote, load),
        *checks.scope_points(facts),
        *_sum_points(quote, lines),
        *checks.proof_points("license", _licenses(quote.firm), on),
        *checks.proof_points("liability insurance", _insurance(quote.firm, m.InsuranceKind.LIABILITY), on),
        *checks.proof_points(
            "workers' compensation insurance", _insurance(quote.firm, m.InsuranceKind.WORKERS), on
        ),
        *checks.listing_points(_listings(session, quote, tables), on),
        *_deposit_points(session, quote, tables),
        *_product_points(quote),
    )


def _size_points(session: Session, quote: m.Quote, load: m.DesignLoad | None) -> tuple[Point, ...]:
    return () if load is None else checks.size_points(_size_facts(session, quote, load))


def _capacity_percent(session: Session, quote: m.Quote, load: m.DesignLoad | None) -> int | None:
    return None if load is None else checks.capacity_percent(_size_facts(session, quote, load))


def _size_facts(session: Session, quote: m.Quote, load: m.DesignLoad) -> checks.SizeFacts:
    newest = session.scalar(select(m.DesignLoad).order_by(m.DesignLoad.made_at.desc()).limit(1))
    newer = newest is not None and newest.made_at > load.made_at
    return checks.SizeFacts(
        capacity_w=quote.stated("capacity_w"),
        capacity_at_c=quote.capacity_at_c,
        firm_load_w=quote.stated("load_w"),
        load_method=quote.load_method,
        based_on=quote.based_on,
        measured_on_site=quote.measured_on_site,
        load_w=load.heating_w,
        load_at_c=load.at_heating_c,
        load_name=load.name,
        newer_load_name=newest.name if newer and newest is not None else "",
    )


def _sum_points(quote: m.Quote, lines: tuple[LineRow, ...]) -> tuple[Point, ...]:
    if _not_itemized(quote, lines) < 0:
        return (
            Point(
                checks.Matter.MONEY,
                "The lines add up to more than the price.",
                True,
                "Your lines add up to more than your price. Which of the two holds?",
            ),
        )
    return ()


def _licenses(firm: m.Firm) -> list[checks.Proof]:
    return [
        checks.Proof(f"License {one.number} ({one.trade})", one.starts_on, one.ends_on, one.checked_on)
        for one in firm.licenses
    ]


def _insurance(firm: m.Firm, kind: m.InsuranceKind) -> list[checks.Proof]:
    names = {m.InsuranceKind.LIABILITY: "Liability insurance"}
    return [
        checks.Proof(f"{names.get(kind, str(kind).capitalize())} {one.number}", one.starts_on, one.ends_on)
        for one in firm.insurance
        if one.kind is kind
    ]


def _listings(session: Session, quote: m.Quote, tables: Tables) -> list[checks.Listing]:
    found: list[checks.Listing] = []
    for key in dict.fromkeys(
        choice.programme_key for choice in programmes_chosen(session, quote.request.measure_id)
    ):
        mine = [one for one in quote.firm.listings if one.programme_key == key]
        latest = max(mine, key=lambda one: one.checked_on, default=None)
        found.append(
            checks.Listing(
                programme_name(key, tables),
                None if latest is None else latest.listed_from is not None,
                latest.checked_on if latest else None,
                latest.listed_until if latest else None,
            )
        )
    return found


def _deposit_points(session: Session, quote: m.Quote, tables: Tables) -> tuple[Point, ...]:
    site = session.scalar(select(m.Site))
    limit = next((one for one in tables.deposit_limits if site is not None and one.state == site.state), None)
    highest, rule = None, f"{limit.text} {limit.origin.source}" if limit else ""
    if limit is not None and quote.price_cents is not None:
        try:
            highest = highest_deposit_cents(limit, quote.price_cents)
        except CannotSay as error:
            rule = f"{rule} {error.line()}"
    return checks.deposit_points(quote.stated("deposit_cents"), quote.stated("price_cents"), highest, rule)


def _product_points(quote: m.Quote) -> tuple[Point, ...]:
    matter = checks.Matter.PRODUCT
    found: list[Point] = []
    if not quote.model:
        ask = "Which exact make and model?"
        found.append(Point(matter, "Make and model: not stated.", question=ask))
    if "heat_pump" in quote.request.measure.kind and not quote.match_number:
        ask = "Which certificate shows that the parts belong together?"
        found.append(Point(matter, "No certificate that the parts belong together is named.", question=ask))
    if quote.warranty_labor_years is None:
        word = quote.warranty_labor_is
        ask = "How many years of warranty on labor, and who registers it?"
        found.append(Point(matter, f"Warranty on labor: {word}.", question=ask))
    if quote.start_on is None or quote.finish_on is None:
        ask = "When do you start, and when are you done?"
        found.append(Point(checks.Matter.DATES, "Start and finish: not stated.", question=ask))
    if not any(line.per_unit for line in quote.lines):
        ask = "What do surprises cost: by the hour, the foot, the sheet?"
        found.append(Point(checks.Matter.MONEY, "Unit prices for surprises: not stated.", question=ask))
    return tuple(found)


def _suggested(quote: m.Quote, points: tuple[Point, ...]) -> tuple[str, ...]:
    asked = {one.text for one in quote.questions}
    return tuple(dict.fromkeys(one.question for one in points if one.question and one.question not in asked))
