"""Sample papers of money: quotes, contracts, change orders, invoices, waivers, the loan."""

from __future__ import annotations

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.services.sample_house.letterhead import Drawn, Fact, Letterhead, money
from retrofit_desk.services.sample_house.printing import Sheet
from retrofit_desk.values.dates import day_text


def quote(at: Letterhead, row: m.Quote) -> Drawn | None:
    if row.quoted_on is None or row.price_cents is None:
        return None
    request = at.story.row(m.QuoteRequest, row.request_id)
    lines = [line for line in at.story.rows(m.QuoteLine) if line.quote_id == row.id]
    stated = [line for line in lines if line.answer is not m.ScopeAnswer.NOT_STATED]
    table = [("Item", "In the price", "Amount")]
    table += [(line.text, str(line.answer), money(line.amount_cents)) for line in stated]
    fields = [*at.head(("Valid until", day_text(row.valid_until)))]
    if row.model:
        fields.append(("Machine", f"{row.make} {row.model} {row.second_model}".strip()))
    if row.capacity_w is not None and row.capacity_at_c is not None:
        fields.append(("Capacity", f"{row.capacity_w / 1000:.1f} kW at {row.capacity_at_c:.0f} C outdoors"))
    sheet = Sheet(
        at.firm(row.firm_id),
        f"Quote: {request.title}",
        row.quoted_on,
        row.number,
        tuple(fields),
        (*table, ("Total", "", money(row.price_cents))),
    )
    facts = at.facts(
        row.firm_id,
        (FactKind.AMOUNT, "total", str(row.price_cents)),
        (FactKind.MODEL, "", row.model),
        (FactKind.DATE, "", row.quoted_on.isoformat()),
    )
    uses = ((PaperSubject.QUOTE, row.id), (PaperSubject.MEASURE, request.measure_id))
    title = f"Quote of {at.story.row(m.Firm, row.firm_id).name}: {request.title}"
    return Drawn(
        PaperKind.QUOTE, title, f"quote {row.number}", sheet, facts, uses, row.firm_id, row.valid_until
    )


def contract(at: Letterhead, row: m.Contract) -> Drawn | None:
    if row.signed_on is None:
        return None
    stages = [stage for stage in at.story.rows(m.StagedPayment) if stage.contract_id == row.id]
    table = [("Stage", "Waits for", "Amount")]
    table += [(stage.title, stage.waits_for, money(stage.amount_cents)) for stage in stages]
    sheet = Sheet(
        at.firm(row.firm_id),
        f"Contract: {row.title}",
        row.signed_on,
        row.number,
        at.head(("Price", money(row.price_cents)), ("Retainage", f"{row.retainage_percent:g}%")),
        tuple(table),
        ("Changes only in writing, signed by both before the work.",),
        (at.owner, at.firm(row.firm_id)[0]),
    )
    facts = at.facts(
        row.firm_id,
        (FactKind.AMOUNT, "total", str(row.price_cents)),
        (FactKind.DATE, "signed", row.signed_on.isoformat()),
    )
    shares = [share for share in at.story.rows(m.ContractShare) if share.contract_id == row.id]
    uses = (
        (PaperSubject.CONTRACT, row.id),
        *((PaperSubject.MEASURE, share.measure_id) for share in shares),
    )
    return Drawn(
        PaperKind.CONTRACT,
        f"Contract {row.number}: {row.title}",
        f"contract {row.number}",
        sheet,
        facts,
        uses,
        row.firm_id,
    )


def change_order(at: Letterhead, row: m.ChangeOrder) -> Drawn:
    contract = at.story.row(m.Contract, row.contract_id)
    signed = (at.owner,) if row.signed_by_owner_on else ()
    sheet = Sheet(
        at.firm(contract.firm_id),
        f"Change order {row.number}",
        row.on,
        f"{contract.number}-{row.number}",
        at.head(
            ("Contract", contract.number),
            ("Change of price", money(row.change_cents)),
            ("Change of days", str(row.change_days)),
            ("Reason", row.reason),
        ),
        signed=(*signed, at.firm(contract.firm_id)[0]),
    )
    facts = at.facts(
        contract.firm_id,
        (FactKind.AMOUNT, "change", str(row.change_cents)),
        (FactKind.MODEL, "", row.changes_models),
    )
    uses = [(PaperSubject.CHANGE_ORDER, row.id), (PaperSubject.CONTRACT, row.contract_id)]
    if row.measure_id is not None:
        uses.append((PaperSubject.MEASURE, row.measure_id))
    title = f"Change order {row.number}: {contract.title}"
    return Drawn(
        PaperKind.CHANGE_ORDER,
        title,
        f"change order {contract.number}-{row.number}",
        sheet,
        facts,
        tuple(uses),
        contract.firm_id,
    )


def invoice(at: Letterhead, row: m.Invoice) -> Drawn:
    table = [("Item", "Amount")]
    if row.equipment_cents is not None:
        table.append(("Equipment and material", money(row.equipment_cents)))
    if row.labor_cents is not None:
        table.append(("Labor", money(row.labor_cents)))
    if row.tax_cents is not None:
        table.append(("Sales tax in the total", money(row.tax_cents)))
    is_purchase = row.contract_id is None
    machines = [] if row.equipment_cents is None else at.machines(row.measure_id)
    fields = list(at.head(("Due", day_text(row.due_on)) if row.due_on else ("Paid", "by card")))
    facts: list[Fact] = [
        (FactKind.AMOUNT, "total", str(row.amount_cents)),
        (FactKind.NUMBER, "", row.number),
    ]
    facts.append((FactKind.DATE, "", row.on.isoformat()))
    for machine in machines:
        fields.append(("Machine", f"{machine.make} {machine.model}, serial {machine.serial}"))
        facts += [(FactKind.MODEL, "", machine.model), (FactKind.SERIAL, "", machine.serial)]
    sheet = Sheet(
        at.firm(row.firm_id),
        "Receipt" if is_purchase else "Invoice",
        row.on,
        row.number,
        tuple(fields),
        (*table, ("Total", money(row.amount_cents))),
    )
    uses = [(PaperSubject.INVOICE, row.id)]
    uses += [(PaperSubject.MEASURE, row.measure_id)] if row.measure_id is not None else []
    uses += [(PaperSubject.CONTRACT, row.contract_id)] if row.contract_id is not None else []
    kind = PaperKind.RECEIPT if is_purchase else PaperKind.INVOICE
    title = f"{str(kind).capitalize()} {row.number}, {at.story.row(m.Firm, row.firm_id).name}"
    return Drawn(
        kind,
        title,
        f"{kind} {row.number}",
        sheet,
        at.facts(row.firm_id, *facts),
        tuple(uses),
        row.firm_id,
    )


def waiver(at: Letterhead, row: m.LienWaiver) -> Drawn | None:
    if row.received_on is None or row.signed_on is None:
        return None
    contract = at.story.row(m.Contract, row.contract_id)
    sheet = Sheet(
        at.firm(contract.firm_id),
        f"Lien waiver, {row.kind}",
        row.signed_on,
        "",
        at.head(
            ("Contract", contract.number),
            ("Through", day_text(row.through_on)),
            ("Amount", money(row.amount_cents)),
            ("Exceptions", row.exceptions or "none"),
        ),
        text=("Sample wording only: the form of your state decides.",),
        signed=(at.firm(contract.firm_id)[0],),
    )
    facts = at.facts(contract.firm_id, (FactKind.AMOUNT, "", str(row.amount_cents or "")))
    shares = [share for share in at.story.rows(m.ContractShare) if share.contract_id == contract.id]
    uses = (
        (PaperSubject.LIEN_WAIVER, row.id),
        (PaperSubject.CONTRACT, contract.id),
        *((PaperSubject.MEASURE, share.measure_id) for share in shares),
    )
    title = f"Lien waiver ({row.kind}), {at.story.row(m.Firm, contract.firm_id).name}"
    return Drawn(
        PaperKind.LIEN_WAIVER,
        title,
        f"waiver {contract.number} {row.signed_on}",
        sheet,
        facts,
        uses,
        contract.firm_id,
    )


def loan(at: Letterhead, row: m.Loan) -> Drawn | None:
    if row.approved_on is None:
        return None
    sheet = Sheet(
        at.firm(row.lender_id),
        f"Loan offer: {row.name}",
        row.approved_on,
        "",
        at.head(
            ("Amount", money(row.principal_cents)),
            ("Rate", f"{row.rate_percent:g}% a year, fixed"),
            ("Fee", money(row.fees_cents)),
            ("Payments", f"{row.months} monthly"),
            ("Draw by", day_text(row.draw_by)),
        ),
        signed=(at.owner,),
    )
    facts = at.facts(row.lender_id, (FactKind.AMOUNT, "principal", str(row.principal_cents)))
    return Drawn(
        PaperKind.LOAN,
        f"Loan offer, {row.name}",
        "loan offer",
        sheet,
        facts,
        ((PaperSubject.LOAN, row.id),),
        row.lender_id,
    )
