"""Packets that were made and sent: to whom, when, and which exact file."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from retrofit_desk.records.models.base import Base


class SentPacket(Base):
    """The PDF itself is a filed paper."""

    __tablename__ = "sent_packet"
    kind: Mapped[str]
    """Key of the packet: rebate, lender, contractor, inspector, next owner."""
    title: Mapped[str]
    made_at: Mapped[datetime]
    sent_on: Mapped[date | None]
    to_whom: Mapped[str] = mapped_column(default="")
    how: Mapped[str] = mapped_column(default="")
    firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    claim_id: Mapped[int | None] = mapped_column(ForeignKey("claim.id"))
    permit_id: Mapped[int | None] = mapped_column(ForeignKey("permit.id"))
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    sha256: Mapped[str]
    pages: Mapped[int]
    readiness: Mapped[str] = mapped_column(default="")
    """What was missing or did not match when it was made, in words."""
    notes: Mapped[str] = mapped_column(default="")
