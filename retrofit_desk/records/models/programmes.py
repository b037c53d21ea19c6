"""Rebate programmes as chosen for a measure: reservations and claims with their dates and amounts."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, Facts, with_word, word
from retrofit_desk.records.models.measures import Measure
from retrofit_desk.values.stated import Stated


class ReservationState(StrEnum):
    ASKED = "asked"
    HELD = "held"
    USED = "used"
    DECLINED = "declined"
    RAN_OUT = "ran out"
    LOST = "lost"
    APPEALED = "appealed"


FALLEN = (ReservationState.DECLINED, ReservationState.RAN_OUT, ReservationState.LOST)
"""It stands no more; it can be appealed against, or asked for again."""


class ClaimState(StrEnum):
    NOT_SENT = "not sent"
    SENT = "sent"
    BOUNCED = "bounced"
    APPEALED = "appealed"
    APPROVED = "approved"
    PAID = "paid"
    REFUSED = "refused"


class RuleFile(Base):
    """A programme's dated rules as the owner took them in, in the place of a shipped file of its key."""

    __tablename__ = "rule_file"
    programme_key: Mapped[str] = mapped_column(unique=True)
    text: Mapped[str]


class ProgrammeChoice(Base):
    """The owner means to use a programme for one measure, several or the house.

    `programme_key` names its dated rule file; `measure_id` is the first of the measures it pays for.
    """

    __tablename__ = "programme_choice"
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"))
    is_whole_house: Mapped[bool] = mapped_column(default=False, server_default="0")
    """It pays for the house as a whole; its measures are what is done to it."""
    programme_key: Mapped[str]
    chosen_on: Mapped[date | None]
    expected_cents: Mapped[int | None] = with_word("expected_is")
    expected_is: Mapped[Stated] = word()
    facts: Mapped[Facts] = mapped_column(default=dict)
    """Facts only this programme asks for."""
    is_dropped: Mapped[bool] = mapped_column(default=False)
    notes: Mapped[str] = mapped_column(default="")
    measure: Mapped[Measure] = relationship()
    others: Mapped[list[ChoiceMeasure]] = relationship(
        back_populates="choice", cascade="all, delete-orphan", order_by="ChoiceMeasure.id"
    )
    reservations: Mapped[list[Reservation]] = relationship(
        back_populates="choice", cascade="all, delete-orphan"
    )
    claims: Mapped[list[Claim]] = relationship(back_populates="choice", cascade="all, delete-orphan")

    @property
    def measures(self) -> list[Measure]:
        """All that it pays for, the first one first."""
        return [self.measure, *(one.measure for one in self.others)]

    @property
    def subject(self) -> str:
        """What it pays for, in words."""
        if self.is_whole_house:
            return "The house as a whole"
        first, *others = [one.title for one in self.measures]
        if len(others) > 2:
            return f"{first} and {len(others)} more measures"
        return " and ".join((", ".join((first, *others[:-1])), *others[-1:]))


class ChoiceMeasure(Base):
    """One more measure that a chosen programme pays for."""

    __tablename__ = "choice_measure"
    choice_id: Mapped[int] = mapped_column(ForeignKey("programme_choice.id"))
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"))
    choice: Mapped[ProgrammeChoice] = relationship(back_populates="others")
    measure: Mapped[Measure] = relationship()


class Reservation(Base):
    __tablename__ = "reservation"
    choice_id: Mapped[int] = mapped_column(ForeignKey("programme_choice.id"))
    state: Mapped[ReservationState] = mapped_column(default=ReservationState.ASKED)
    number: Mapped[str] = mapped_column(default="")
    asked_on: Mapped[date | None]
    held_from: Mapped[date | None]
    ends_on: Mapped[date | None]
    amount_cents: Mapped[int | None] = with_word("amount_is")
    amount_is: Mapped[Stated] = word()
    answered_on: Mapped[date | None]
    """When the office declined it, or it fell away."""
    answer: Mapped[str] = mapped_column(default="")
    appeal_by: Mapped[date | None]
    appealed_on: Mapped[date | None]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    choice: Mapped[ProgrammeChoice] = relationship(back_populates="reservations")


class Claim(Base):
    __tablename__ = "claim"
    choice_id: Mapped[int] = mapped_column(ForeignKey("programme_choice.id"))
    state: Mapped[ClaimState] = mapped_column(default=ClaimState.NOT_SENT)
    number: Mapped[str] = mapped_column(default="")
    claim_by: Mapped[date | None]
    sent_on: Mapped[date | None]
    answered_on: Mapped[date | None]
    appeal_by: Mapped[date | None]
    paid_on: Mapped[date | None]
    asked_cents: Mapped[int | None] = with_word("asked_is")
    asked_is: Mapped[Stated] = word()
    paid_cents: Mapped[int | None] = with_word("paid_is")
    paid_is: Mapped[Stated] = word()
    answer: Mapped[str] = mapped_column(default="")
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    choice: Mapped[ProgrammeChoice] = relationship(back_populates="claims")
