"""Holds: what must not be done yet, which evidence frees it, and overrides with their reasons."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base
from retrofit_desk.rules.holds import HoldAction, NeedKind


class HoldSubject(StrEnum):
    """The kind of thing a hold protects; `Hold.subject_id` is the id of that row."""

    MEASURE = "measure"
    SURFACE = "surface"
    ROOM = "room"
    EQUIPMENT = "equipment"
    STAGE = "staged_payment"
    CONTRACT = "contract"
    QUOTE = "quote"
    CIRCUIT = "circuit"
    INSPECTION = "inspection"
    ACCOUNT = "utility_account"
    TASK = "task"


class Hold(Base):
    """One step that waits: 'don't <action> <what> until ...'."""

    __tablename__ = "hold"
    key: Mapped[str] = mapped_column(unique=True)
    action: Mapped[HoldAction]
    what: Mapped[str]
    """The thing in plain words: the den north wall."""
    subject: Mapped[HoldSubject]
    subject_id: Mapped[int]
    measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    """The measure in whose list it is shown."""
    because: Mapped[str] = mapped_column(default="")
    """The rule or caution behind it."""
    source: Mapped[str] = mapped_column(default="")
    template_key: Mapped[str] = mapped_column(default="")
    made_on: Mapped[date | None]
    done_on: Mapped[date | None]
    """When the step itself was done (covered, removed, paid), after the hold was free or overridden."""
    needs: Mapped[list[HoldNeed]] = relationship(
        back_populates="hold", cascade="all, delete-orphan", order_by="HoldNeed.position"
    )
    overrides: Mapped[list[HoldOverride]] = relationship(back_populates="hold", cascade="all, delete-orphan")


class HoldNeed(Base):
    """One piece of evidence a hold waits for, and what answers it.

    The reference columns name what is looked at (an inspection, a measure that must have reached `state`);
    papers that answer it are `PaperUse` rows with subject `hold_need`.
    """

    __tablename__ = "hold_need"
    hold_id: Mapped[int] = mapped_column(ForeignKey("hold.id"))
    position: Mapped[int] = mapped_column(default=0)
    kind: Mapped[NeedKind]
    text: Mapped[str]
    """In plain words, to follow 'until': rough electrical has passed."""
    paper_kind: Mapped[str] = mapped_column(default="")
    count: Mapped[int] = mapped_column(default=1)
    """How many papers or photos."""
    inspection_id: Mapped[int | None] = mapped_column(ForeignKey("inspection.id"))
    permit_id: Mapped[int | None] = mapped_column(ForeignKey("permit.id"))
    measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    state: Mapped[str] = mapped_column(default="")
    equipment_id: Mapped[int | None] = mapped_column(ForeignKey("equipment.id"))
    contract_id: Mapped[int | None] = mapped_column(ForeignKey("contract.id"))
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("staged_payment.id"))
    reservation_id: Mapped[int | None] = mapped_column(ForeignKey("reservation.id"))
    test_kind: Mapped[str] = mapped_column(default="")
    not_before: Mapped[date | None]
    with_whom: Mapped[str] = mapped_column(default="")
    answered_on: Mapped[date | None]
    answered_by_test_id: Mapped[int | None] = mapped_column(ForeignKey("commissioning_test.id"))
    not_applicable_reason: Mapped[str] = mapped_column(default="")
    hold: Mapped[Hold] = relationship(back_populates="needs")


class HoldOverride(Base):
    """Somebody went on without the evidence; the reason stays visible in every packet."""

    __tablename__ = "hold_override"
    hold_id: Mapped[int] = mapped_column(ForeignKey("hold.id"))
    reason: Mapped[str]
    by: Mapped[str] = mapped_column(default="")
    at: Mapped[datetime]
    missing: Mapped[str] = mapped_column(default="")
    """What was still missing at that moment, in words."""
    withdrawn_at: Mapped[datetime | None]
    hold: Mapped[Hold] = relationship(back_populates="overrides")
