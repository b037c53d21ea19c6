"""Contracts, payments, rebates and loans to the cent."""

from __future__ import annotations

from reportlab.platypus import Flowable

from retrofit_desk.paperwork.contents import ContractLine, LoanLine, MoneyPart, PaymentLine, RebateLine
from retrofit_desk.paperwork.layout import NOTE, text
from retrofit_desk.paperwork.show import NONE, day, stated, total_cents
from retrofit_desk.paperwork.tables import block, long_block, table
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.stated import StatedValue, total


def money(part: MoneyPart) -> list[Flowable]:
    """Each table with its sum; a sum says what it could not add."""
    story: list[Flowable] = []
    if part.contracts:
        story += long_block("Contracts", _contracts(part.contracts))
    if part.payments:
        story += long_block("Payments", _payments(part.payments))
    if part.rebates:
        story += long_block("Rebates", _rebates(part.rebates))
    if part.loans:
        story += block("Loans", _loans(part.loans))
    if part.surprises:
        story += block("Set aside for surprises", *(text(line) for line in part.surprises))
    if part.rebates:
        story.append(text("A rebate counts only when reserved or paid; programmes end and change. "
                          "Source and date stand beside each.", NOTE))  # fmt: skip
    return story or [text("No contract, payment, rebate or loan is on record.")]


def _contracts(lines: tuple[ContractLine, ...]) -> Flowable:
    rows = [
        (
            f"{line.firm}\n{line.what_for}",
            day(line.signed_on),
            stated(line.price_cents, cents_text),
            cents_text(line.changes_cents),
            cents_text(line.paid_cents),
            cents_text(line.retained_cents),
            stated(_left(line), cents_text),
        )
        for line in lines
    ]
    rows.append(
        (
            "Sum",
            "",
            total_cents(total(line.price_cents for line in lines)),
            cents_text(sum(line.changes_cents for line in lines)),
            cents_text(sum(line.paid_cents for line in lines)),
            cents_text(sum(line.retained_cents for line in lines)),
            total_cents(total(_left(line) for line in lines)),
        )
    )
    heads = ("With whom, for what", "Signed", "Price", "Changes", "Paid", "Held back", "Still to pay")
    return table(heads, rows, (27, 13, 13, 11, 12, 11, 13), numbers=(2, 3, 4, 5, 6), total=True)


def _left(line: ContractLine) -> StatedValue[int]:
    if line.price_cents.value is None:
        return line.price_cents
    return StatedValue(line.price_cents.value + line.changes_cents - line.paid_cents)


def _payments(lines: tuple[PaymentLine, ...]) -> Flowable:
    rows = [(day(line.paid_on), line.to, line.what_for, line.against or NONE, cents_text(line.amount_cents))
            for line in lines]  # fmt: skip
    rows.append(("Sum", "", "", "", cents_text(sum(line.amount_cents for line in lines))))
    return table(
        ("Paid on", "To", "For", "Against", "Amount"), rows, (13, 24, 24, 25, 14), numbers=(4,), total=True
    )


def _rebates(lines: tuple[RebateLine, ...]) -> Flowable:
    rows = [
        (
            line.programme,
            line.measure,
            line.status,
            day(line.reserved_until),
            day(line.claim_by),
            stated(line.amount_cents, cents_text),
            line.source,
        )
        for line in lines
    ]
    rows.append(("Sum", "", "", "", "", total_cents(total(line.amount_cents for line in lines)), ""))
    heads = ("Programme", "Measure", "Status", "Reserved until", "Claim by", "Amount", "Source")
    return table(heads, rows, (18, 17, 10, 11, 11, 14, 19), numbers=(5,), total=True)


def _loans(lines: tuple[LoanLine, ...]) -> Flowable:
    rows = [
        (
            line.lender,
            stated(line.amount_cents, cents_text),
            cents_text(line.drawn_cents),
            stated(line.rate_percent, lambda percent: f"{percent}%"),
            stated(line.apr_percent, lambda percent: f"{percent}%"),
            line.terms,
        )
        for line in lines
    ]
    return table(
        ("Lender", "Loan", "Drawn", "Rate", "APR", "Terms"),
        rows,
        (24, 14, 14, 10, 10, 28),
        numbers=(1, 2, 3, 4),
    )
