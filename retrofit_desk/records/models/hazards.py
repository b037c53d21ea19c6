"""Hazards suspected or found in the house, and how each was settled."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.values.stated import Stated


class HazardFinding(Base):
    """One hazard at one place. `kind` is its key in the table of hazards. `stops_work`: nobody goes on."""

    __tablename__ = "hazard_finding"
    kind: Mapped[str]
    where: Mapped[str] = mapped_column(default="")
    room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    surface_id: Mapped[int | None] = mapped_column(ForeignKey("surface.id"))
    measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    state: Mapped[HazardState] = mapped_column(default=HazardState.SUSPECTED)
    seen_on: Mapped[date | None]
    settled_on: Mapped[date | None]
    settled_by: Mapped[str] = mapped_column(default="")
    stops_work: Mapped[bool] = mapped_column(default=False)
    cost_cents: Mapped[int | None] = with_word("cost_is")
    cost_is: Mapped[Stated] = word()
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    notes: Mapped[str] = mapped_column(default="")
