"""Contracts and money: change orders, staged payments, invoices, retainage, lien waivers, loans."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.records.models.measures import Measure
from retrofit_desk.records.models.people import Firm
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.values.stated import Stated


class ContractState(StrEnum):
    DRAFT = "draft"
    SIGNED = "signed"
    COMPLETE = "complete"
    ENDED = "ended"


class Contract(Base):
    """A signed agreement with a firm, or a plain purchase."""

    __tablename__ = "contract"
    key: Mapped[str] = mapped_column(unique=True)
    title: Mapped[str]
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    quote_id: Mapped[int | None] = mapped_column(ForeignKey("quote.id"))
    state: Mapped[ContractState] = mapped_column(default=ContractState.DRAFT)
    number: Mapped[str] = mapped_column(default="")
    signed_on: Mapped[date | None]
    start_on: Mapped[date | None]
    finish_on: Mapped[date | None]
    price_cents: Mapped[int]
    special_order_cents: Mapped[int | None] = with_word("special_order_is")
    """Materials ordered for this job alone; some states let a deposit cover them."""
    special_order_is: Mapped[Stated] = word(Stated.NOT_STATED)
    retainage_percent: Mapped[float] = mapped_column(default=0.0)
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    notes: Mapped[str] = mapped_column(default="")
    firm: Mapped[Firm] = relationship()
    shares: Mapped[list[ContractShare]] = relationship(
        back_populates="contract", cascade="all, delete-orphan"
    )
    change_orders: Mapped[list[ChangeOrder]] = relationship(
        back_populates="contract", cascade="all, delete-orphan", order_by="ChangeOrder.number"
    )
    stages: Mapped[list[StagedPayment]] = relationship(
        back_populates="contract", cascade="all, delete-orphan", order_by="StagedPayment.position"
    )
    invoices: Mapped[list[Invoice]] = relationship(back_populates="contract", cascade="all, delete-orphan")
    parties: Mapped[list[ChainParty]] = relationship(back_populates="contract", cascade="all, delete-orphan")
    waivers: Mapped[list[LienWaiver]] = relationship(back_populates="contract", cascade="all, delete-orphan")


class ContractShare(Base):
    """The part of a contract's price that belongs to one measure; the shares add up to the price."""

    __tablename__ = "contract_share"
    contract_id: Mapped[int] = mapped_column(ForeignKey("contract.id"))
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"))
    share_cents: Mapped[int]
    contract: Mapped[Contract] = relationship(back_populates="shares")
    measure: Mapped[Measure] = relationship()


class ChangeOrder(Base):
    __tablename__ = "change_order"
    contract_id: Mapped[int] = mapped_column(ForeignKey("contract.id"))
    number: Mapped[int]
    on: Mapped[date]
    reason: Mapped[str]
    change_cents: Mapped[int]
    """Added to the price; negative for a credit."""
    change_days: Mapped[int] = mapped_column(default=0)
    signed_by_owner_on: Mapped[date | None]
    signed_by_firm_on: Mapped[date | None]
    measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    changes_models: Mapped[str] = mapped_column(default="")
    """Model numbers that a rebate claim must follow."""
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    contract: Mapped[Contract] = relationship(back_populates="change_orders")


class StagedPayment(Base):
    """A payment promised for a stage; what it waits for are holds on it."""

    __tablename__ = "staged_payment"
    contract_id: Mapped[int] = mapped_column(ForeignKey("contract.id"))
    position: Mapped[int]
    title: Mapped[str]
    amount_cents: Mapped[int]
    waits_for: Mapped[str] = mapped_column(default="")
    due_on: Mapped[date | None]
    is_deposit: Mapped[bool] = mapped_column(default=False)
    is_final: Mapped[bool] = mapped_column(default=False)
    contract: Mapped[Contract] = relationship(back_populates="stages")


class Invoice(Base):
    """A bill from a firm, under a contract or a plain purchase for a measure."""

    __tablename__ = "invoice"
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    contract_id: Mapped[int | None] = mapped_column(ForeignKey("contract.id"))
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("staged_payment.id"))
    measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    number: Mapped[str] = mapped_column(default="")
    on: Mapped[date]
    due_on: Mapped[date | None]
    amount_cents: Mapped[int]
    equipment_cents: Mapped[int | None] = with_word("equipment_is")
    equipment_is: Mapped[Stated] = word(Stated.NOT_STATED)
    labor_cents: Mapped[int | None] = with_word("labor_is")
    labor_is: Mapped[Stated] = word(Stated.NOT_STATED)
    tax_cents: Mapped[int | None] = with_word("tax_is")
    tax_is: Mapped[Stated] = word(Stated.NOT_STATED)
    retained_cents: Mapped[int] = mapped_column(default=0)
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    contract: Mapped[Contract | None] = relationship(back_populates="invoices")
    firm: Mapped[Firm] = relationship()
    payments: Mapped[list[Payment]] = relationship(back_populates="invoice", cascade="all, delete-orphan")


class Payment(Base):
    """Money that left; `cleared_on` is when the bank says so."""

    __tablename__ = "payment"
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    contract_id: Mapped[int | None] = mapped_column(ForeignKey("contract.id"))
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("staged_payment.id"))
    invoice_id: Mapped[int | None] = mapped_column(ForeignKey("invoice.id"))
    on: Mapped[date]
    amount_cents: Mapped[int]
    how: Mapped[str] = mapped_column(default="")
    cleared_on: Mapped[date | None]
    is_retainage: Mapped[bool] = mapped_column(default=False)
    """Releases what was held back."""
    from_loan_id: Mapped[int | None] = mapped_column(ForeignKey("loan.id"))
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    invoice: Mapped[Invoice | None] = relationship(back_populates="payments")


class ChainParty(Base):
    """A sub or supplier in the chain of a contract, and whether it gave notice."""

    __tablename__ = "chain_party"
    contract_id: Mapped[int] = mapped_column(ForeignKey("contract.id"))
    firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    name: Mapped[str]
    role: Mapped[str] = mapped_column(default="")
    notice_on: Mapped[date | None]
    last_work_on: Mapped[date | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    contract: Mapped[Contract] = relationship(back_populates="parties")


class LienWaiver(Base):
    """A waiver from the firm (`party_id` empty) or from someone in its chain."""

    __tablename__ = "lien_waiver"
    contract_id: Mapped[int] = mapped_column(ForeignKey("contract.id"))
    party_id: Mapped[int | None] = mapped_column(ForeignKey("chain_party.id"))
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("staged_payment.id"))
    payment_id: Mapped[int | None] = mapped_column(ForeignKey("payment.id"))
    """The payment a conditional waiver speaks of."""
    kind: Mapped[WaiverKind]
    through_on: Mapped[date | None]
    amount_cents: Mapped[int | None] = with_word("amount_is")
    amount_is: Mapped[Stated] = word(Stated.NOT_STATED)
    exceptions: Mapped[str] = mapped_column(default="")
    signed_on: Mapped[date | None]
    received_on: Mapped[date | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    contract: Mapped[Contract] = relationship(back_populates="waivers")
    party: Mapped[ChainParty | None] = relationship()


class Loan(Base):
    __tablename__ = "loan"
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    lender_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    principal_cents: Mapped[int]
    rate_percent: Mapped[float | None] = with_word("rate_is")
    rate_is: Mapped[Stated] = word()
    fees_cents: Mapped[int | None] = with_word("fees_is")
    fees_is: Mapped[Stated] = word()
    months: Mapped[int | None]
    first_payment_on: Mapped[date | None]
    approved_on: Mapped[date | None]
    draw_by: Mapped[date | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    draws: Mapped[list[LoanDraw]] = relationship(back_populates="loan", cascade="all, delete-orphan")


class LoanDraw(Base):
    __tablename__ = "loan_draw"
    loan_id: Mapped[int] = mapped_column(ForeignKey("loan.id"))
    asked_on: Mapped[date | None]
    paid_on: Mapped[date | None]
    amount_cents: Mapped[int]
    for_what: Mapped[str] = mapped_column(default="")
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    loan: Mapped[Loan] = relationship(back_populates="draws")
