"""Permits, their inspections in order, and the corrections that must close."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.values.stated import Stated


class PermitKind(StrEnum):
    BUILDING = "building"
    ELECTRICAL = "electrical"
    MECHANICAL = "mechanical"
    PLUMBING = "plumbing"
    GAS = "gas"
    WELL = "well or bore"
    SOLAR = "solar"
    OTHER = "other"


class PermitState(StrEnum):
    NEEDED = "needed"
    APPLIED = "applied"
    ISSUED = "issued"
    FINAL = "final"
    EXPIRED = "expired"
    WITHDRAWN = "withdrawn"


class Permit(Base):
    __tablename__ = "permit"
    key: Mapped[str] = mapped_column(unique=True)
    kind: Mapped[PermitKind]
    title: Mapped[str]
    state: Mapped[PermitState] = mapped_column(default=PermitState.NEEDED)
    authority_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    number: Mapped[str] = mapped_column(default="")
    pulled_by: Mapped[str] = mapped_column(default="")
    pulled_by_firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    is_homeowner_permit: Mapped[bool] = mapped_column(default=False)
    applied_on: Mapped[date | None]
    issued_on: Mapped[date | None]
    idle_days_limit: Mapped[int | None]
    """Days without activity after which it lapses; the local rule."""
    ends_on: Mapped[date | None]
    """An end written on the permit itself."""
    extended_until: Mapped[date | None]
    """An extension in writing."""
    final_on: Mapped[date | None]
    fee_cents: Mapped[int | None] = with_word("fee_is")
    fee_is: Mapped[Stated] = word()
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    notes: Mapped[str] = mapped_column(default="")
    measures: Mapped[list[PermitMeasure]] = relationship(
        back_populates="permit", cascade="all, delete-orphan"
    )
    inspections: Mapped[list[Inspection]] = relationship(
        back_populates="permit", cascade="all, delete-orphan", order_by="Inspection.position"
    )


class PermitMeasure(Base):
    """A measure that a permit covers."""

    __tablename__ = "permit_measure"
    permit_id: Mapped[int] = mapped_column(ForeignKey("permit.id"))
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"))
    permit: Mapped[Permit] = relationship(back_populates="measures")


class Inspection(Base):
    """One visit, in the local order; a second visit for the same thing is a new row."""

    __tablename__ = "inspection"
    permit_id: Mapped[int] = mapped_column(ForeignKey("permit.id"))
    position: Mapped[int]
    kind: Mapped[str]
    """Key in the permit template: rough electrical, framing, final ..."""
    title: Mapped[str]
    result: Mapped[InspectionResult] = mapped_column(default=InspectionResult.NOT_BOOKED)
    booked_for: Mapped[date | None]
    booked_window: Mapped[str] = mapped_column(default="")
    booking_number: Mapped[str] = mapped_column(default="")
    visited_at: Mapped[datetime | None]
    visited_on: Mapped[date | None]
    inspector: Mapped[str] = mapped_column(default="")
    is_final: Mapped[bool] = mapped_column(default=False)
    again_of_id: Mapped[int | None] = mapped_column(ForeignKey("inspection.id"))
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    notes: Mapped[str] = mapped_column(default="")
    permit: Mapped[Permit] = relationship(back_populates="inspections")
    corrections: Mapped[list[Correction]] = relationship(
        back_populates="inspection", cascade="all, delete-orphan", order_by="Correction.id"
    )


class BookingRule(Base):
    """How an office gives its visits; what does not fit stays in `words`."""

    __tablename__ = "booking_rule"
    firm_id: Mapped[int] = mapped_column(ForeignKey("firm.id"), unique=True)
    lead_days: Mapped[int]
    """Working days of the office from the call to the visit; 0: the same day."""
    call_by: Mapped[str] = mapped_column(default="")
    """Clock time, "15:00": a call after it counts as made on the next working day. Empty: any time."""
    weekdays: Mapped[str] = mapped_column(default="12345")
    """On which it comes: 1 Monday to 7 Sunday."""
    slots: Mapped[str] = mapped_column(default="")
    """One line for each part of the day it offers."""
    words: Mapped[str] = mapped_column(default="")


class Correction(Base):
    """One item of a correction list; closed by a date and, where there is one, a paper."""

    __tablename__ = "correction"
    inspection_id: Mapped[int] = mapped_column(ForeignKey("inspection.id"))
    text: Mapped[str]
    code_reference: Mapped[str] = mapped_column(default="")
    room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    closed_on: Mapped[date | None]
    how_closed: Mapped[str] = mapped_column(default="")
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    inspection: Mapped[Inspection] = relationship(back_populates="corrections")
