"""Says what stands on the paper that proves a recorded row: a quote, an invoice, a permit, a test."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import FactKind, PaperKind, PaperSubject
from retrofit_desk.services.sample_papers import Sheet
from retrofit_desk.services.sample_story import Story
from retrofit_desk.values.dates import day_text

Fact = tuple[FactKind, str, str]


@dataclass(frozen=True)
class Drawn:
    """A paper to be drawn: what is printed, the facts to be read off it, and what it is used for."""

    kind: PaperKind
    title: str
    name: str
    sheet: Sheet
    facts: tuple[Fact, ...]
    uses: tuple[tuple[PaperSubject, int], ...]
    firm_id: int | None = None
    ends_on: date | None = None


class Sheets:
    """Draws up the paper of each recorded row of one story."""

    def __init__(self, story: Story) -> None:
        self._story = story
        site, owner = story.rows(m.Site)[0], story.rows(m.Owner)[0]
        self._owner: str = owner.legal_name
        self._address = f"{site.street}, {site.city}, {site.state} {site.postal_code}"
        self._forms: dict[type, Callable[[Any], Drawn | None]] = {
            m.Quote: self._quote,
            m.Contract: self._contract,
            m.ChangeOrder: self._change_order,
            m.Invoice: self._invoice,
            m.LienWaiver: self._waiver,
            m.Permit: self._permit,
            m.Inspection: self._inspection,
            m.Reservation: self._reservation,
            m.Claim: self._claim,
            m.Loan: self._loan,
            m.LeakageTest: self._leakage,
            m.CommissioningTest: self._test,
        }

    def of(self, row: m.Base, printed: dict[str, str]) -> Drawn | None:
        """The paper of this row, or None where its kind or its state has none.

        `printed`: what the firm wrote otherwise than it is recorded.
        """
        form = self._forms.get(type(row))
        drawn = form(row) if form else None
        return drawn and _with_print(drawn, printed)

    def _firm(self, firm_id: int | None) -> tuple[str, ...]:
        firm = self._story.row(m.Firm, firm_id)
        if firm is None:
            return ("",)
        return tuple(part for part in (firm.legal_name or firm.name, firm.address, firm.phone) if part)

    def _head(self, *more: tuple[str, str]) -> tuple[tuple[str, str], ...]:
        return (("For", self._owner), ("Address", self._address), *more)

    def _facts(self, firm_id: int | None, *more: Fact) -> tuple[Fact, ...]:
        facts: list[Fact] = [(FactKind.NAME, "owner", self._owner), (FactKind.ADDRESS, "", self._address)]
        if firm_id is not None:
            facts.append((FactKind.FIRM, "", self._firm(firm_id)[0]))
        return (*facts, *(fact for fact in more if fact[2]))

    def _machines(self, measure_id: int | None) -> list[m.Equipment]:
        return [row for row in self._story.rows(m.Equipment) if row.measure_id == measure_id and row.serial]

    def _quote(self, row: m.Quote) -> Drawn | None:
        if row.quoted_on is None or row.price_cents is None:
            return None
        request = self._story.row(m.QuoteRequest, row.request_id)
        lines = [line for line in self._story.rows(m.QuoteLine) if line.quote_id == row.id]
        stated = [line for line in lines if line.answer is not m.ScopeAnswer.NOT_STATED]
        table = [("Item", "In the price", "Amount")]
        table += [(line.text, str(line.answer), _money(line.amount_cents)) for line in stated]
        fields = [*self._head(("Valid until", day_text(row.valid_until)))]
        if row.model:
            fields.append(("Machine", f"{row.make} {row.model} {row.second_model}".strip()))
        if row.capacity_w is not None and row.capacity_at_c is not None:
            fields.append(
                ("Capacity", f"{row.capacity_w / 1000:.1f} kW at {row.capacity_at_c:.0f} C outdoors")
            )
        sheet = Sheet(
            self._firm(row.firm_id),
            f"Quote: {request.title}",
            row.quoted_on,
            row.number,
            tuple(fields),
            (*table, ("Total", "", _money(row.price_cents))),
        )
        facts = self._facts(
            row.firm_id,
            (FactKind.AMOUNT, "total", str(row.price_cents)),
            (FactKind.MODEL, "", row.model),
            (FactKind.DATE, "", row.quoted_on.isoformat()),
        )
        uses = ((PaperSubject.QUOTE, row.id), (PaperSubject.MEASURE, request.measure_id))
        title = f"Quote of {self._story.row(m.Firm, row.firm_id).name}: {request.title}"
        return Drawn(
            PaperKind.QUOTE, title, f"quote {row.number}", sheet, facts, uses, row.firm_id, row.valid_until
        )

    def _contract(self, row: m.Contract) -> Drawn | None:
        if row.signed_on is None:
            return None
        stages = [stage for stage in self._story.rows(m.StagedPayment) if stage.contract_id == row.id]
        table = [("Stage", "Waits for", "Amount")]
        table += [(stage.title, stage.waits_for, _money(stage.amount_cents)) for stage in stages]
        sheet = Sheet(
            self._firm(row.firm_id),
            f"Contract: {row.title}",
            row.signed_on,
            row.number,
            self._head(("Price", _money(row.price_cents)), ("Retainage", f"{row.retainage_percent:g} %")),
            tuple(table),
            ("Changes only in writing, signed by both before the work.",),
            (self._owner, self._firm(row.firm_id)[0]),
        )
        facts = self._facts(
            row.firm_id,
            (FactKind.AMOUNT, "total", str(row.price_cents)),
            (FactKind.DATE, "signed", row.signed_on.isoformat()),
        )
        shares = [share for share in self._story.rows(m.ContractShare) if share.contract_id == row.id]
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

    def _change_order(self, row: m.ChangeOrder) -> Drawn:
        contract = self._story.row(m.Contract, row.contract_id)
        signed = (self._owner,) if row.signed_by_owner_on else ()
        sheet = Sheet(
            self._firm(contract.firm_id),
            f"Change order {row.number}",
            row.on,
            f"{contract.number}-{row.number}",
            self._head(
                ("Contract", contract.number),
                ("Change of price", _money(row.change_cents)),
                ("Change of days", str(row.change_days)),
                ("Reason", row.reason),
            ),
            signed=(*signed, self._firm(contract.firm_id)[0]),
        )
        facts = self._facts(
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

    def _invoice(self, row: m.Invoice) -> Drawn:
        table = [("Item", "Amount")]
        if row.equipment_cents is not None:
            table.append(("Equipment and material", _money(row.equipment_cents)))
        if row.labor_cents is not None:
            table.append(("Labor", _money(row.labor_cents)))
        if row.tax_cents is not None:
            table.append(("Sales tax in the total", _money(row.tax_cents)))
        is_purchase = row.contract_id is None
        machines = [] if row.equipment_cents is None else self._machines(row.measure_id)
        fields = list(self._head(("Due", day_text(row.due_on)) if row.due_on else ("Paid", "by card")))
        facts: list[Fact] = [
            (FactKind.AMOUNT, "total", str(row.amount_cents)),
            (FactKind.NUMBER, "", row.number),
        ]
        facts.append((FactKind.DATE, "", row.on.isoformat()))
        for machine in machines:
            fields.append(("Machine", f"{machine.make} {machine.model}, serial {machine.serial}"))
            facts += [(FactKind.MODEL, "", machine.model), (FactKind.SERIAL, "", machine.serial)]
        sheet = Sheet(
            self._firm(row.firm_id),
            "Receipt" if is_purchase else "Invoice",
            row.on,
            row.number,
            tuple(fields),
            (*table, ("Total", _money(row.amount_cents))),
        )
        uses = [(PaperSubject.INVOICE, row.id)]
        uses += [(PaperSubject.MEASURE, row.measure_id)] if row.measure_id is not None else []
        uses += [(PaperSubject.CONTRACT, row.contract_id)] if row.contract_id is not None else []
        kind = PaperKind.RECEIPT if is_purchase else PaperKind.INVOICE
        title = f"{str(kind).capitalize()} {row.number}, {self._story.row(m.Firm, row.firm_id).name}"
        return Drawn(
            kind,
            title,
            f"{kind} {row.number}",
            sheet,
            self._facts(row.firm_id, *facts),
            tuple(uses),
            row.firm_id,
        )

    def _waiver(self, row: m.LienWaiver) -> Drawn | None:
        if row.received_on is None or row.signed_on is None:
            return None
        contract = self._story.row(m.Contract, row.contract_id)
        sheet = Sheet(
            self._firm(contract.firm_id),
            f"Lien waiver, {row.kind}",
            row.signed_on,
            "",
            self._head(
                ("Contract", contract.number),
                ("Through", day_text(row.through_on)),
                ("Amount", _money(row.amount_cents)),
                ("Exceptions", row.exceptions or "none"),
            ),
            text=("Sample wording only: the form of your state decides.",),
            signed=(self._firm(contract.firm_id)[0],),
        )
        facts = self._facts(contract.firm_id, (FactKind.AMOUNT, "", str(row.amount_cents or "")))
        shares = [share for share in self._story.rows(m.ContractShare) if share.contract_id == contract.id]
        uses = (
            (PaperSubject.LIEN_WAIVER, row.id),
            (PaperSubject.CONTRACT, contract.id),
            *((PaperSubject.MEASURE, share.measure_id) for share in shares),
        )
        title = f"Lien waiver ({row.kind}), {self._story.row(m.Firm, contract.firm_id).name}"
        return Drawn(
            PaperKind.LIEN_WAIVER,
            title,
            f"waiver {contract.number} {row.signed_on}",
            sheet,
            facts,
            uses,
            contract.firm_id,
        )

    def _measures_of_permit(self, permit_id: int) -> tuple[tuple[PaperSubject, int], ...]:
        links = [link for link in self._story.rows(m.PermitMeasure) if link.permit_id == permit_id]
        return tuple((PaperSubject.MEASURE, link.measure_id) for link in links)

    def _permit(self, row: m.Permit) -> Drawn | None:
        if row.issued_on is None:
            return None
        sheet = Sheet(
            self._firm(row.authority_id),
            f"Permit: {row.kind}",
            row.issued_on,
            row.number,
            self._head(
                ("Work", row.title),
                ("Pulled by", row.pulled_by),
                (
                    "Lapses after",
                    f"{row.idle_days_limit} days without work" if row.idle_days_limit else "see end",
                ),
                ("Ends", day_text(row.ends_on)),
            ),
            text=("Nothing is to be covered before it has been inspected. Keep this card on site.",),
        )
        facts = self._facts(
            None,
            (FactKind.NUMBER, "permit", row.number),
            (FactKind.DATE, "issued", row.issued_on.isoformat()),
        )
        uses = ((PaperSubject.PERMIT, row.id), *self._measures_of_permit(row.id))
        return Drawn(
            PaperKind.PERMIT,
            f"Permit card {row.number}",
            f"permit {row.number}",
            sheet,
            facts,
            uses,
            row.authority_id,
            row.ends_on,
        )

    def _inspection(self, row: m.Inspection) -> Drawn | None:
        if row.visited_on is None:
            return None
        permit = self._story.row(m.Permit, row.permit_id)
        fixes = [fix for fix in self._story.rows(m.Correction) if fix.inspection_id == row.id]
        table = [("To be corrected", "Reference"), *((fix.text, fix.code_reference) for fix in fixes)]
        sheet = Sheet(
            self._firm(permit.authority_id),
            f"{row.title}: {row.result}",
            row.visited_on,
            row.booking_number,
            self._head(("Permit", permit.number), ("Inspector", row.inspector)),
            tuple(table) if fixes else (),
            ("Correct and book again." if fixes else "Approved.",),
            (row.inspector,),
        )
        kind = PaperKind.INSPECTION_REPORT
        if fixes:
            kind = PaperKind.CORRECTION_LIST
        elif row.is_final:
            kind = PaperKind.FINAL_CERTIFICATE
        facts = self._facts(
            None,
            (FactKind.NUMBER, "permit", permit.number),
            (FactKind.DATE, "visit", row.visited_on.isoformat()),
        )
        uses = (
            (PaperSubject.INSPECTION, row.id),
            (PaperSubject.PERMIT, permit.id),
            *self._measures_of_permit(permit.id),
        )
        return Drawn(
            kind,
            f"{row.title}, {row.result}",
            f"{kind} {row.booking_number}",
            sheet,
            facts,
            uses,
            permit.authority_id,
        )

    def _reservation(self, row: m.Reservation) -> Drawn | None:
        if row.held_from is None:
            return None
        choice = self._story.row(m.ProgrammeChoice, row.choice_id)
        sheet = Sheet(
            (_programme_name(choice.programme_key),),
            "Reservation",
            row.held_from,
            row.number,
            self._head(("Amount held", _money(row.amount_cents)), ("Held until", day_text(row.ends_on))),
            text=("Start no work before this date. Send the claim before the reservation ends.",),
        )
        facts = self._facts(
            None,
            (FactKind.NUMBER, "reservation", row.number),
            (FactKind.AMOUNT, "", str(row.amount_cents or "")),
        )
        uses = ((PaperSubject.PROGRAMME, choice.id), (PaperSubject.MEASURE, choice.measure_id))
        return Drawn(
            PaperKind.RESERVATION,
            f"Reservation {row.number}",
            f"reservation {row.number}",
            sheet,
            facts,
            uses,
            None,
            row.ends_on,
        )

    def _claim(self, row: m.Claim) -> Drawn | None:
        if row.sent_on is None:
            return None
        choice = self._story.row(m.ProgrammeChoice, row.choice_id)
        sheet = Sheet(
            (_programme_name(choice.programme_key),),
            "Claim, as sent",
            row.sent_on,
            row.number,
            self._head(("Amount asked", _money(row.asked_cents)), ("Answer", row.answer or "none yet")),
        )
        uses = ((PaperSubject.CLAIM, row.id), (PaperSubject.MEASURE, choice.measure_id))
        facts = self._facts(None, (FactKind.AMOUNT, "asked", str(row.asked_cents or "")))
        return Drawn(PaperKind.CLAIM, f"Claim {row.number}", f"claim {row.number}", sheet, facts, uses)

    def _loan(self, row: m.Loan) -> Drawn | None:
        if row.approved_on is None:
            return None
        sheet = Sheet(
            self._firm(row.lender_id),
            f"Loan offer: {row.name}",
            row.approved_on,
            "",
            self._head(
                ("Amount", _money(row.principal_cents)),
                ("Rate", f"{row.rate_percent:g} % a year, fixed"),
                ("Fee", _money(row.fees_cents)),
                ("Payments", f"{row.months} monthly"),
                ("Draw by", day_text(row.draw_by)),
            ),
            signed=(self._owner,),
        )
        facts = self._facts(row.lender_id, (FactKind.AMOUNT, "principal", str(row.principal_cents)))
        return Drawn(
            PaperKind.LOAN,
            f"Loan offer, {row.name}",
            "loan offer",
            sheet,
            facts,
            ((PaperSubject.LOAN, row.id),),
            row.lender_id,
        )

    def _leakage(self, row: m.LeakageTest) -> Drawn:
        sheet = Sheet(
            self._firm(row.firm_id),
            "Blower-door test",
            row.tested_on,
            "",
            self._head(
                ("House", row.house_version),
                ("Flow at 50 Pa", f"{row.flow_50pa_m3_s / 0.0004719474:,.0f} cfm"),
                ("Exponent", f"{row.flow_exponent:g}"),
                ("Volume", f"{(row.volume_m3 or 0) / 0.0283168:,.0f} cu ft"),
            ),
            text=(row.notes,),
            signed=(row.tested_by,),
        )
        uses = [(PaperSubject.LEAKAGE_TEST, row.id)]
        if row.after_measure_id is not None:
            uses.append((PaperSubject.MEASURE, row.after_measure_id))
        facts = self._facts(row.firm_id, (FactKind.DATE, "test", row.tested_on.isoformat()))
        return Drawn(
            PaperKind.TEST_SHEET,
            f"Blower door, {row.house_version}",
            f"blower door {row.tested_on}",
            sheet,
            facts,
            tuple(uses),
            row.firm_id,
        )

    def _test(self, row: m.CommissioningTest) -> Drawn | None:
        if row.minutes is None:
            return None
        entry = self._story.row(m.WorkEntry, row.entry_id)
        sheet = Sheet(
            self._firm(entry.firm_id),
            f"Test sheet: {row.quantity}",
            entry.worked_on,
            "",
            self._head(
                ("Start and end", f"{row.value:g} / {row.end_value or row.value:g} {row.unit}"),
                ("Needed", f"{row.low_limit:g} {row.unit}, {row.minutes_needed:g} minutes"),
                ("Held", f"{row.minutes:g} minutes"),
                ("Medium and gauge", f"{row.medium}, {row.gauge}"),
                ("Change of air temperature", f"{row.ambient_change_c or 0:g} K"),
                ("Limit from", row.limit_source),
            ),
            text=("Passed." if row.passed else "Not passed.",),
            signed=(row.witness,),
        )
        uses = ((PaperSubject.TEST, row.id), (PaperSubject.MEASURE, entry.measure_id))
        facts = self._facts(entry.firm_id, (FactKind.DATE, "test", entry.worked_on.isoformat()))
        return Drawn(
            PaperKind.TEST_SHEET,
            f"Test sheet: {row.quantity}",
            f"test {row.kind} {entry.worked_on}",
            sheet,
            facts,
            uses,
            entry.firm_id,
        )


def _programme_name(key: str) -> str:
    return key.replace("-", " ").capitalize()


def _money(cents: int | None) -> str:
    return "" if cents is None else f"{cents / 100:,.2f}".replace("-", "− ")


def _with_print(drawn: Drawn, printed: dict[str, str]) -> Drawn:
    """The same paper with what the firm wrote otherwise: the facts say what is printed."""
    if not printed:
        return drawn
    swaps = {value: printed[str(kind)] for kind, _label, value in drawn.facts if str(kind) in printed}
    facts = tuple((kind, label, swaps.get(value, value)) for kind, label, value in drawn.facts)
    fields = tuple((name, _swapped(text, swaps)) for name, text in drawn.sheet.fields)
    sheet = Sheet(**{**vars(drawn.sheet), "fields": fields})
    return Drawn(**{**vars(drawn), "facts": facts, "sheet": sheet})


def _swapped(text: str, swaps: dict[str, str]) -> str:
    for before, after in swaps.items():
        text = text.replace(before, after)
    return text
