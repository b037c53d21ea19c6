"""Quotes: what was asked, who answered what, line by line of the scope."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.records.models.measures import Measure
from retrofit_desk.records.models.people import Firm
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.values.stated import Stated


class QuoteState(StrEnum):
    ASKED = "asked"
    RECEIVED = "received"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    NO_ANSWER = "no answer"


class QuoteRequest(Base):
    """The same question to every firm, for one measure."""

    __tablename__ = "quote_request"
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"))
    title: Mapped[str]
    asked_on: Mapped[date | None]
    answer_by: Mapped[date | None]
    design_load_id: Mapped[int | None] = mapped_column(ForeignKey("design_load.id"))
    notes: Mapped[str] = mapped_column(default="")
    measure: Mapped[Measure] = relationship()
    scope: Mapped[list[ScopeItem]] = relationship(
        back_populates="request", cascade="all, delete-orphan", order_by="ScopeItem.position"
    )
    quotes: Mapped[list[Quote]] = relationship(
        back_populates="request", cascade="all, delete-orphan", order_by="Quote.id"
    )


class ScopeItem(Base):
    """One line of what is asked for, with the owner's visible guess for a firm that leaves it out."""

    __tablename__ = "scope_item"
    request_id: Mapped[int] = mapped_column(ForeignKey("quote_request.id"))
    position: Mapped[int]
    text: Mapped[str]
    guess_cents: Mapped[int | None] = with_word("guess_is")
    guess_is: Mapped[Stated] = word()
    guess_source: Mapped[str] = mapped_column(default="")
    request: Mapped[QuoteRequest] = relationship(back_populates="scope")


class Quote(Base):
    """One firm's answer. `price_cents` is what it asks for all it includes."""

    __tablename__ = "quote"
    request_id: Mapped[int] = mapped_column(ForeignKey("quote_request.id"))
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"))
    state: Mapped[QuoteState] = mapped_column(default=QuoteState.ASKED)
    number: Mapped[str] = mapped_column(default="")
    quoted_on: Mapped[date | None]
    valid_until: Mapped[date | None]
    price_cents: Mapped[int | None] = with_word("price_is")
    price_is: Mapped[Stated] = word(Stated.NOT_STATED)
    tax_cents: Mapped[int | None] = with_word("tax_is")
    tax_is: Mapped[Stated] = word(Stated.NOT_STATED)
    deposit_cents: Mapped[int | None] = with_word("deposit_is")
    deposit_is: Mapped[Stated] = word(Stated.NOT_STATED)
    make: Mapped[str] = mapped_column(default="")
    model: Mapped[str] = mapped_column(default="")
    second_model: Mapped[str] = mapped_column(default="")
    match_number: Mapped[str] = mapped_column(default="")
    """Reference of the certificate that the parts belong together."""
    capacity_w: Mapped[float | None] = with_word("capacity_is")
    """At the design temperature."""
    capacity_is: Mapped[Stated] = word(Stated.NOT_STATED)
    capacity_at_c: Mapped[float | None]
    load_w: Mapped[float | None] = with_word("load_is")
    """The load the firm says it sized for."""
    load_is: Mapped[Stated] = word(Stated.NOT_STATED)
    load_method: Mapped[str] = mapped_column(default="")
    based_on: Mapped[str] = mapped_column(default="")
    """The version of the house the firm looked at."""
    measured_on_site: Mapped[bool | None]
    warranty_parts_years: Mapped[float | None] = with_word("warranty_parts_is")
    warranty_parts_is: Mapped[Stated] = word(Stated.NOT_STATED)
    warranty_labor_years: Mapped[float | None] = with_word("warranty_labor_is")
    warranty_labor_is: Mapped[Stated] = word(Stated.NOT_STATED)
    start_on: Mapped[date | None]
    finish_on: Mapped[date | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    notes: Mapped[str] = mapped_column(default="")
    request: Mapped[QuoteRequest] = relationship(back_populates="quotes")
    firm: Mapped[Firm] = relationship()
    lines: Mapped[list[QuoteLine]] = relationship(
        back_populates="quote", cascade="all, delete-orphan", order_by="QuoteLine.position"
    )
    questions: Mapped[list[QuoteQuestion]] = relationship(
        back_populates="quote", cascade="all, delete-orphan"
    )


class QuoteLine(Base):
    """What a firm says to one line of the scope (or to one of its own, `scope_item_id` empty)."""

    __tablename__ = "quote_line"
    quote_id: Mapped[int] = mapped_column(ForeignKey("quote.id"))
    scope_item_id: Mapped[int | None] = mapped_column(ForeignKey("scope_item.id"))
    position: Mapped[int]
    text: Mapped[str]
    answer: Mapped[ScopeAnswer] = mapped_column(default=ScopeAnswer.NOT_STATED)
    amount_cents: Mapped[int | None] = with_word("amount_is")
    """Its price when told apart, the allowance, or the price of one `per_unit`."""
    amount_is: Mapped[Stated] = word(Stated.NOT_STATED)
    per_unit: Mapped[str] = mapped_column(default="")
    """For unit prices of surprises: foot, hour, sheet; empty for a plain price."""
    guess_cents: Mapped[int | None] = with_word("guess_is")
    """The owner's guess for this firm, when it differs from the scope item's."""
    guess_is: Mapped[Stated] = word()
    notes: Mapped[str] = mapped_column(default="")
    quote: Mapped[Quote] = relationship(back_populates="lines")
    scope_item: Mapped[ScopeItem | None] = relationship()


class QuoteQuestion(Base):
    """Something to ask the firm, and its answer."""

    __tablename__ = "quote_question"
    quote_id: Mapped[int] = mapped_column(ForeignKey("quote.id"))
    text: Mapped[str]
    answer: Mapped[str] = mapped_column(default="")
    asked_on: Mapped[date | None]
    answered_on: Mapped[date | None]
    quote: Mapped[Quote] = relationship(back_populates="questions")
