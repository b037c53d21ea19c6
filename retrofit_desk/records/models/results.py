"""Worked answers of the estimator, kept with the fingerprint of everything that went in."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from retrofit_desk.records.models.base import Base, Facts


class SavingsResult(Base):
    """One savings sum. Never edited: changed inputs give a new fingerprint and the old one is out of date."""

    __tablename__ = "savings_result"
    __table_args__ = (Index("ix_savings_result_fingerprint", "fingerprint"),)
    in_history: ClassVar[bool] = False
    kind: Mapped[str]
    fingerprint: Mapped[str]
    inputs: Mapped[Facts] = mapped_column(default=dict)
    """Summary of the inputs in words and numbers, to say what changed since."""
    payload: Mapped[Facts] = mapped_column(default=dict)
    made_at: Mapped[datetime]
    program_version: Mapped[str] = mapped_column(default="")


class DesignLoad(Base):
    """The design load of one version of the house, for sizing and for holding quotes against."""

    __tablename__ = "design_load"
    name: Mapped[str]
    """In the owner's words: as found; with the attic sealed."""
    fingerprint: Mapped[str] = mapped_column(default="")
    heating_w: Mapped[float]
    cooling_w: Mapped[float | None]
    at_heating_c: Mapped[float]
    at_cooling_c: Mapped[float | None]
    method: Mapped[str] = mapped_column(default="")
    made_at: Mapped[datetime]
    rooms: Mapped[Facts] = mapped_column(default=dict)
    """Room key -> heating_w."""
