"""Writes contracts, bills, waivers, change orders and draws into the record."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.tables import Tables
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.services.contract_entry import check_stages, file_contract, new_key, put_stages
from retrofit_desk.services.contract_sheet import held_back
from retrofit_desk.services.measures import advance
from retrofit_desk.services.money_values import (
    MoneyGone,
    PaymentUnclear,
    WrittenChange,
    WrittenContract,
    WrittenInvoice,
    WrittenWaiver,
)
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.usual_holds import take_usual
from retrofit_desk.values.cents import cents_text


def put_contract(work: Work, written: WrittenContract, tables: Tables) -> int:
    """Inside an action: a contract that had no quote. Raises `ContractUnclear`."""
    session = work.session
    check_stages(written.price_cents, written.stages)
    measure = session.get_one(m.Measure, written.measure_id)
    title = written.title.strip() or measure.title
    contract = m.Contract(
        key=new_key(session, title),
        title=title,
        firm_id=written.firm_id,
        state=ContractState.SIGNED if written.signed_on else ContractState.DRAFT,
        number=written.number,
        signed_on=written.signed_on,
        price_cents=written.price_cents,
        retainage_percent=written.retainage_percent,
        shares=[m.ContractShare(measure_id=measure.id, share_cents=written.price_cents)],
    )
    put_stages(contract, written.stages)
    session.add(contract)
    session.flush()
    file_contract(work, contract, written.paper)
    advance(session, measure)
    take_usual(session, tables, measure, written.usual_holds)
    return contract.id


def put_invoice(work: Work, written: WrittenInvoice) -> int:
    """Inside an action: a bill. Raises `PaymentUnclear`."""
    session = work.session
    if written.amount_cents <= 0:
        raise PaymentUnclear("a bill must be more than zero", where="Amount", do="type the amount")
    contract = session.get(m.Contract, written.contract_id) if written.contract_id else None
    retained = _held_back(session, written, contract)
    if not 0 <= retained <= written.amount_cents:
        raise PaymentUnclear("more is held back than is billed", where="Held back", do="check the amount")
    firm_id = written.firm_id or (contract.firm_id if contract else None)
    if firm_id is None:
        raise PaymentUnclear("nobody sent it", where="Firm", do="choose who sent the bill")
    measure_id = written.measure_id
    if measure_id is None and contract is not None and len(contract.shares) == 1:
        measure_id = contract.shares[0].measure_id
    invoice = m.Invoice(
        firm_id=firm_id,
        contract_id=written.contract_id,
        stage_id=written.stage_id,
        measure_id=measure_id,
        number=written.number.strip(),
        on=written.on,
        due_on=written.due_on,
        amount_cents=written.amount_cents,
        retained_cents=retained,
    )
    for name in ("equipment_cents", "labor_cents", "tax_cents"):
        invoice.set_stated(name, getattr(written, name))
    session.add(invoice)
    session.flush()
    firm = session.get_one(m.Firm, firm_id)
    title = f"Bill {invoice.number} of {firm.name}".replace("  ", " ")
    invoice.paper_id = _file(
        work, written.paper, PaperKind.INVOICE, title, PaperSubject.INVOICE, invoice.id, written.on
    )
    if measure_id is not None:
        advance(session, session.get_one(m.Measure, measure_id))
    return invoice.id


def _held_back(session: Session, written: WrittenInvoice, contract: m.Contract | None) -> int:
    """As it was written; where nothing was, as the contract says."""
    if written.retained_cents is not None:
        return written.retained_cents
    if contract is None:
        return 0
    stage = session.get(m.StagedPayment, written.stage_id) if written.stage_id else None
    return held_back(contract, stage, written.amount_cents)


def put_waiver(work: Work, contract: m.Contract, written: WrittenWaiver) -> int:
    """Inside an action: a lien waiver. Raises `PaymentUnclear`."""
    waiver = m.LienWaiver(kind=written.kind)
    contract.waivers.append(waiver)
    correct_waiver(work, waiver, written)
    return waiver.id


def correct_waiver(work: Work, waiver: m.LienWaiver, written: WrittenWaiver) -> None:
    """Inside an action: as it came back, or as it should have been. Raises `PaymentUnclear`."""
    if written.signed_on and written.received_on and written.received_on < written.signed_on:
        raise PaymentUnclear("it came before it was signed", where="Received", do="check both dates")
    if written.received_on is not None and written.signed_on is None:
        raise PaymentUnclear(
            "a waiver that nobody signed frees nothing", where="Signed on", do="type the day beside the name"
        )
    waiver.kind, waiver.through_on = written.kind, written.through_on
    waiver.party_id, waiver.stage_id = written.party_id, written.stage_id
    waiver.signed_on, waiver.received_on = written.signed_on, written.received_on
    waiver.exceptions = written.exceptions.strip()
    waiver.set_stated("amount_cents", written.amount_cents)
    work.session.flush()
    work.session.refresh(waiver, ["party"])
    who = waiver.party.name if waiver.party else waiver.contract.firm.name
    title = f"Lien waiver of {who}, {written.kind}"
    subject, day = PaperSubject.LIEN_WAIVER, written.signed_on
    paper_id = _file(work, written.paper, PaperKind.LIEN_WAIVER, title, subject, waiver.id, day)
    waiver.paper_id = paper_id or waiver.paper_id


def put_change(work: Work, contract: m.Contract, written: WrittenChange) -> int:
    """Inside an action: a change order. Raises `PaymentUnclear` without its reason."""
    if not written.reason.strip():
        raise PaymentUnclear("a change needs its reason", where="Reason", do="say why the price changes")
    number = max((one.number for one in contract.change_orders), default=0) + 1
    order = m.ChangeOrder(
        number=number,
        on=written.on,
        reason=written.reason.strip(),
        change_cents=written.change_cents,
        change_days=written.change_days,
        measure_id=written.measure_id,
        changes_models=written.changes_models.strip(),
        signed_by_owner_on=written.signed_by_owner_on,
        signed_by_firm_on=written.signed_by_firm_on,
    )
    contract.change_orders.append(order)
    work.session.flush()
    title = f"Change order {number}, {contract.title}"
    order.paper_id = _file(
        work,
        written.paper,
        PaperKind.CHANGE_ORDER,
        title,
        PaperSubject.CHANGE_ORDER,
        order.id,
        written.on,
    )
    return order.id


def put_party(
    session: Session,
    contract: m.Contract,
    name: str,
    role: str,
    notice_on: date | None,
    last_work_on: date | None,
) -> int:
    """Inside an action: a sub or supplier. Raises `PaymentUnclear` without a name."""
    party = m.ChainParty()
    fill_party(session, party, name, role, notice_on, last_work_on)
    contract.parties.append(party)
    session.flush()
    return party.id


def fill_party(
    session: Session,
    party: m.ChainParty,
    name: str,
    role: str,
    notice_on: date | None,
    last_work_on: date | None,
) -> None:
    """Inside an action: what is known of a sub or supplier. Raises `PaymentUnclear` without a name."""
    if not name.strip():
        raise PaymentUnclear("a firm needs a name", where="Name", do="type it as it stands on its notice")
    firm = session.scalar(select(m.Firm).where(m.Firm.name == name.strip()))
    party.firm_id, party.name, party.role = firm.id if firm else None, name.strip(), role.strip()
    party.notice_on, party.last_work_on = notice_on, last_work_on


def put_draw(session: Session, loan_id: int, amount_cents: int, for_what: str, on: date) -> int:
    """Inside an action: a draw asked for. Raises `PaymentUnclear` for more than is left."""
    loan = session.get(m.Loan, loan_id)
    if loan is None:
        raise MoneyGone("this loan is no longer recorded", do="look at the list again")
    left = loan.principal_cents - sum(draw.amount_cents for draw in loan.draws)
    if not 0 < amount_cents <= left:
        raise PaymentUnclear(
            f"{cents_text(left)} is left to draw", where=loan.name, do="ask for no more than that"
        )
    if loan.draw_by is not None and on > loan.draw_by:
        raise PaymentUnclear("the last day to draw has passed", where=loan.name, do="ask the lender")
    draw = m.LoanDraw(asked_on=on, amount_cents=amount_cents, for_what=for_what.strip())
    loan.draws.append(draw)
    session.flush()
    return draw.id


def _file(
    work: Work,
    path: Path | None,
    kind: PaperKind,
    title: str,
    subject: PaperSubject,
    subject_id: int,
    on: date | None,
) -> int | None:
    if path is None:
        return None
    return file_in(work, path, Filing(kind, title, on, uses=(Use(subject, subject_id),)))[0]
