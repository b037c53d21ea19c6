"""Habits of the window that belong to a project; they have no history and no undo."""

from __future__ import annotations

from typing import ClassVar

from sqlalchemy.orm import Mapped, mapped_column

from retrofit_desk.records.models.base import Base


class Preference(Base):
    __tablename__ = "preference"
    in_history: ClassVar[bool] = False
    key: Mapped[str] = mapped_column(unique=True)
    value: Mapped[str]
