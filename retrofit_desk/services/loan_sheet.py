"""A loan as the owner asks about it: what is drawn, the level payment, the yearly rate."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from sqlalchemy.orm import Session

from retrofit_desk.money.loans import LoanPlan, Timing, apr, loan_plan
from retrofit_desk.records import models as m
from retrofit_desk.services.money_values import DrawRow, LoanSheet
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import Stated, StatedValue

NOTE = (
    "APR by 12 CFR 1026 (Regulation Z), Appendix J: fees taken out of the loan, "
    "as if all of it were paid out one month before the first payment. The lender's own paper decides."
)


def loan_of(session: Session, loan: m.Loan) -> LoanSheet:
    """One loan in plain values."""
    plan = plan_of(loan)
    drawn = sum(draw.amount_cents for draw in loan.draws if draw.paid_on is not None)
    asked = sum(draw.amount_cents for draw in loan.draws)
    lender = session.get(m.Firm, loan.lender_id) if loan.lender_id else None
    yearly, note = yearly_rate(loan)
    return LoanSheet(
        id=loan.id,
        name=loan.name,
        lender=lender.name if lender else "",
        principal_cents=loan.principal_cents,
        rate_percent=loan.stated("rate_percent"),
        fees_cents=loan.stated("fees_cents"),
        months=loan.months,
        first_payment_on=loan.first_payment_on,
        draw_by=loan.draw_by,
        drawn_cents=drawn,
        left_to_draw_cents=loan.principal_cents - asked,
        draws=tuple(
            DrawRow(one.id, one.asked_on, one.paid_on, one.amount_cents, one.for_what) for one in loan.draws
        ),
        payment_cents=plan.payment_cents if plan else None,
        total_interest_cents=plan.total_interest_cents if plan else None,
        last_payment_cents=plan.rows[-1].payment_cents if plan else None,
        apr_percent=yearly,
        apr_note=note,
    )


def plan_of(loan: m.Loan) -> LoanPlan | None:
    """All months of the loan; none while rate or term is not known."""
    if loan.rate_percent is None or not loan.months:
        return None
    return loan_plan(loan.principal_cents, Decimal(str(loan.rate_percent)) / 100, loan.months)


def yearly_rate(loan: m.Loan) -> tuple[StatedValue[float], str]:
    """Percent a year by Regulation Z, with how it was reckoned or why it cannot be said."""
    plan = plan_of(loan)
    unknown: StatedValue[float] = StatedValue(None, Stated.UNKNOWN)
    if plan is None:
        return unknown, "The yearly rate needs the interest rate and the number of months."
    if loan.fees_cents is None:
        return unknown, f"The yearly rate needs the fees, which are {loan.fees_is}."
    payments = [row.payment_cents for row in plan.rows]
    try:
        share = apr(loan.principal_cents - loan.fees_cents, payments, Timing(1, Fraction(0)))
    except CannotSay as error:
        return unknown, error.line()
    return StatedValue(float(share * 100)), NOTE
