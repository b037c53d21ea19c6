"""Writing down the loan that pays for the work, and correcting it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

UNKNOWN_RATE: StatedValue[float] = StatedValue(None, Stated.UNKNOWN)
UNKNOWN_CENTS: StatedValue[int] = StatedValue(None, Stated.UNKNOWN)


class LoanUnclear(DeskError):
    """A loan that cannot be recorded as it stands."""


@dataclass(frozen=True)
class WrittenLoan:
    """What the lender's paper says; `rate_percent` is the interest rate of a year."""

    name: str
    lender_id: int | None
    principal_cents: int
    rate_percent: StatedValue[float] = UNKNOWN_RATE
    fees_cents: StatedValue[int] = UNKNOWN_CENTS
    months: int | None = None
    first_payment_on: date | None = None
    approved_on: date | None = None
    draw_by: date | None = None
    paper: Path | None = None


@dataclass(frozen=True)
class LoanForm:
    """What the form begins with: who may lend, by (id, name), and the loan to be corrected."""

    lenders: tuple[tuple[int, str], ...]
    written: WrittenLoan | None


class LoanEntryService:
    """Every change is one undo step."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def form(self, loan_id: int | None = None) -> LoanForm:
        """Lenders stand before the other firms. Raises `LoanUnclear` for a loan that is not on record."""
        with self._project.session() as session:
            firms = list(session.scalars(select(m.Firm).order_by(m.Firm.name)))
            firms.sort(key=lambda firm: firm.kind is not m.FirmKind.LENDER)
            written = None if loan_id is None else _written(_loan(session, loan_id))
            return LoanForm(tuple((firm.id, firm.name) for firm in firms), written)

    def record(self, loan_id: int | None, written: WrittenLoan) -> int:
        """A new loan, or one corrected; its paper is filed. Raises `LoanUnclear`: nothing is changed then."""
        with self._project.action("Record a loan" if loan_id is None else "Correct a loan") as work:
            session = work.session
            row = m.Loan(key=_new_key(session)) if loan_id is None else _loan(session, loan_id)
            _check(written, row)
            row.name, row.lender_id = written.name.strip(), written.lender_id
            row.principal_cents, row.months = written.principal_cents, written.months
            row.set_stated("rate_percent", written.rate_percent)
            row.set_stated("fees_cents", written.fees_cents)
            row.first_payment_on, row.draw_by = written.first_payment_on, written.draw_by
            row.approved_on = written.approved_on
            session.add(row)
            session.flush()
            if written.paper is not None:
                uses = (Use(PaperSubject.LOAN, row.id),)
                filing = Filing(PaperKind.LOAN, f"Loan paper, {row.name}", written.approved_on, uses=uses)
                row.paper_id, _same = file_in(work, written.paper, filing)
            return row.id


def _check(written: WrittenLoan, row: m.Loan) -> None:
    asked = sum(draw.amount_cents for draw in row.draws)
    rate, months = written.rate_percent.value, written.months
    wrong = (
        ("Name", "it has no name", "name it", not written.name.strip()),
        ("Amount", "nothing is lent", "type the sum that is lent", written.principal_cents <= 0),
        (
            "Amount",
            f"{cents_text(asked)} was asked for already",
            "type no less than that",
            0 < written.principal_cents < asked,
        ),
        ("Interest rate", "no loan has this rate", "type percent a year", not 0 <= (rate or 0) < 100),
        (
            "Months",
            "a loan runs for months",
            "count its payments",
            months is not None and months < 1,
        ),
    )
    for where, fault, do, is_wrong in wrong:
        if is_wrong:
            raise LoanUnclear(fault, where=where, kept="nothing was changed", do=do)


def _loan(session: Session, loan_id: int) -> m.Loan:
    row = session.get(m.Loan, loan_id)
    if row is None:
        raise LoanUnclear("this loan is no longer recorded", do="undo, or look at the list again")
    return row


def _written(row: m.Loan) -> WrittenLoan:
    return WrittenLoan(
        row.name,
        row.lender_id,
        row.principal_cents,
        row.stated("rate_percent"),
        row.stated("fees_cents"),
        row.months,
        row.first_payment_on,
        row.approved_on,
        row.draw_by,
    )


def _new_key(session: Session) -> str:
    used = set(session.scalars(select(m.Loan.key)))
    return next(key for number in range(1, len(used) + 2) if (key := f"loan-{number}") not in used)
