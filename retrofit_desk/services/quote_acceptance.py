"""Signing a quote: one step that makes the contract, or refuses while something must be waited for."""

from __future__ import annotations

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.tables import Tables
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.services.contract_entry import check_stages, file_contract, new_key, put_stages
from retrofit_desk.services.measures import advance
from retrofit_desk.services.quote_values import Acceptance, QuoteUnclear
from retrofit_desk.services.quotes import found_quote
from retrofit_desk.services.signing import pass_signing, signed_with
from retrofit_desk.services.usual_holds import take_usual


def accept_in(work: Work, acceptance: Acceptance, tables: Tables) -> int:
    """Inside an action: sign and make the contract. Returns its id. Raises `NotYet`, `QuoteUnclear`."""
    session = work.session
    quote = found_quote(session, acceptance.quote_id)
    if session.scalar(select(m.Contract).where(m.Contract.quote_id == quote.id)) is not None:
        raise QuoteUnclear("this quote is signed already", do="look for its contract on the Money page")
    taken_by = signed_with(session, quote)
    if taken_by:
        raise QuoteUnclear(
            f"this work is signed with {taken_by}", kept="nothing was signed", do="end that contract first"
        )
    check_stages(acceptance.price_cents, acceptance.stages)
    pass_signing(session, quote, tables, acceptance.signed_on, reason=acceptance.reason)
    request = quote.request
    contract = m.Contract(
        key=new_key(session, request.title),
        title=request.title,
        firm_id=quote.firm_id,
        quote_id=quote.id,
        state=ContractState.SIGNED,
        number=acceptance.number,
        signed_on=acceptance.signed_on,
        start_on=quote.start_on,
        finish_on=quote.finish_on,
        price_cents=acceptance.price_cents,
        retainage_percent=acceptance.retainage_percent,
        shares=[m.ContractShare(measure_id=request.measure_id, share_cents=acceptance.price_cents)],
    )
    contract.set_stated("special_order_cents", acceptance.special_order_cents)
    put_stages(contract, acceptance.stages)
    session.add(contract)
    quote.state = QuoteState.ACCEPTED
    if acceptance.decline_others:
        for other in request.quotes:
            if other is not quote and other.state is QuoteState.RECEIVED:
                other.state = QuoteState.DECLINED
    session.flush()
    file_contract(work, contract, acceptance.paper)
    advance(session, request.measure)
    take_usual(session, tables, request.measure, acceptance.usual_holds)
    return contract.id
