"""Writes requests and quotes into the record, as the owner types them."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.services.days import today_of
from retrofit_desk.services.measures import advance
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.quote_values import (
    QuoteUnclear,
    WrittenLine,
    WrittenQuote,
    WrittenRequest,
    WrittenScope,
)
from retrofit_desk.services.quotes import found_quote, found_request

PLAIN = (
    *("firm_id", "number", "quoted_on", "valid_until", "make", "model", "second_model", "match_number"),
    *("capacity_at_c", "load_method", "based_on", "measured_on_site", "start_on", "finish_on", "notes"),
)
STATED = (
    *("price_cents", "tax_cents", "deposit_cents", "capacity_w", "load_w"),
    *("warranty_parts_years", "warranty_labor_years"),
)


def put_request(session: Session, written: WrittenRequest, request_id: int | None) -> int:
    """Inside an action: a new request, or the changed one. Raises `QuoteUnclear`."""
    if not any(line.text.strip() for line in written.scope):
        raise QuoteUnclear(
            "nothing is asked for yet", where="Scope", do="write down at least one line of what is to be done"
        )
    measure = session.get_one(m.Measure, written.measure_id)
    request = m.QuoteRequest() if request_id is None else found_request(session, request_id)
    request.measure_id = written.measure_id
    request.title = written.title.strip() or measure.title
    request.asked_on, request.answer_by = written.asked_on, written.answer_by
    request.design_load_id, request.notes = written.design_load_id, written.notes
    _put_scope(session, request, written.scope)
    session.add(request)
    session.flush()
    return request.id


def _put_scope(session: Session, request: m.QuoteRequest, lines: tuple[WrittenScope, ...]) -> None:
    before = {item.id: item for item in request.scope if item.id is not None}
    kept: list[m.ScopeItem] = []
    for line in lines:
        if not line.text.strip():
            continue
        item = before.pop(line.id, None) if line.id is not None else None
        item = item or m.ScopeItem()
        item.position, item.text, item.guess_source = len(kept), line.text.strip(), line.guess_source
        item.set_stated("guess_cents", line.guess_cents)
        kept.append(item)
    answered = set(session.scalars(select(m.QuoteLine.scope_item_id)))
    lost = [item.text for item in before.values() if item.id in answered]
    if lost:
        raise QuoteUnclear(
            f"firms have answered to “{lost[0]}”",
            where="Scope",
            kept="nothing was changed",
            do="keep this line",
        )
    request.scope = kept


def ask(session: Session, request: m.QuoteRequest, firm_ids: tuple[int, ...]) -> None:
    """Inside an action: these firms were sent the sheet. One that was asked before is not asked twice."""
    today = today_of(session)
    request.asked_on = request.asked_on or today
    known = {quote.firm_id for quote in request.quotes}
    for firm_id in dict.fromkeys(firm_ids):
        if firm_id not in known:
            request.quotes.append(m.Quote(firm_id=firm_id, state=QuoteState.ASKED))


def put_quote(work: Work, request: m.QuoteRequest, written: WrittenQuote, quote_id: int | None) -> int:
    """Inside an action: a firm's answer. A firm that was only asked gets its answer on the same row."""
    session = work.session
    _look_over(written)
    quote = _row_for(session, request, written.firm_id, quote_id)
    for name in PLAIN:
        setattr(quote, name, getattr(written, name))
    for name in STATED:
        quote.set_stated(name, getattr(written, name))
    if quote.state in (QuoteState.ASKED, QuoteState.NO_ANSWER):
        quote.state = QuoteState.RECEIVED
    _put_lines(quote, written.lines)
    session.flush()
    if written.paper is not None:
        title = f"Quote of {session.get_one(m.Firm, written.firm_id).name}, {request.title}"
        filing = Filing(PaperKind.QUOTE, title, written.quoted_on, uses=(Use(PaperSubject.QUOTE, quote.id),))
        quote.paper_id, _same = file_in(work, written.paper, filing)
    advance(session, request.measure)
    return quote.id


def _look_over(written: WrittenQuote) -> None:
    dates = written.quoted_on, written.valid_until
    if dates[0] is not None and dates[1] is not None and dates[1] < dates[0]:
        raise QuoteUnclear(
            "the price would run out before the quote was written", where="Valid until", do="check both dates"
        )
    if written.capacity_w.is_known and written.capacity_at_c is None:
        raise QuoteUnclear(
            "a capacity says little without its temperature",
            where="Capacity",
            do="type the outdoor temperature it is stated for",
        )


def _row_for(session: Session, request: m.QuoteRequest, firm_id: int, quote_id: int | None) -> m.Quote:
    if quote_id is not None:
        return found_quote(session, quote_id)
    waiting = (QuoteState.ASKED, QuoteState.NO_ANSWER)
    asked = next((one for one in request.quotes if one.firm_id == firm_id and one.state in waiting), None)
    if asked is not None:
        return asked
    quote = m.Quote(firm_id=firm_id, state=QuoteState.RECEIVED)
    request.quotes.append(quote)
    return quote


def _put_lines(quote: m.Quote, lines: tuple[WrittenLine, ...]) -> None:
    before = {line.scope_item_id: line for line in quote.lines if line.scope_item_id is not None}
    kept: list[m.QuoteLine] = []
    for line in lines:
        row = before.get(line.scope_id) if line.scope_id is not None else None
        row = row or m.QuoteLine(scope_item_id=line.scope_id)
        row.position, row.text, row.answer, row.per_unit = len(kept), line.text, line.answer, line.per_unit
        row.set_stated("amount_cents", line.amount_cents)
        row.set_stated("guess_cents", line.guess_cents)
        kept.append(row)
    quote.lines = kept
