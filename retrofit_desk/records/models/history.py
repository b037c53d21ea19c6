"""The history: one line for each action, and for each row it touched the exact columns before and after."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import ClassVar

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from retrofit_desk.records.models.base import Base, Facts


class ActionKind(StrEnum):
    DONE = "done"
    UNDONE = "undone"
    REDONE = "redone"
    UPGRADED = "upgraded"
    GIVEN = "given"
    """What a project came with when it was made; the owner did not do it, so undo does not take it back."""


class Action(Base):
    """One thing the owner did; undoing and redoing are actions too, so that nothing is ever rewritten."""

    __tablename__ = "action"
    in_history: ClassVar[bool] = False
    title: Mapped[str]
    at: Mapped[datetime]
    kind: Mapped[ActionKind] = mapped_column(default=ActionKind.DONE)
    of_id: Mapped[int | None] = mapped_column(ForeignKey("action.id"))
    """The action that an undo or redo was about."""


class Change(Base):
    """One row before and after an action; values are as SQLite keeps them. None: the row was not there."""

    __tablename__ = "change"
    in_history: ClassVar[bool] = False
    action_id: Mapped[int] = mapped_column(ForeignKey("action.id"), index=True)
    table: Mapped[str]
    row_id: Mapped[int]
    before: Mapped[Facts | None]
    after: Mapped[Facts | None]
