"""Tasks, what must come before what, and waits on others."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base


class TaskKind(StrEnum):
    WORK = "work"
    WAIT = "wait"
    """On others: a utility, a programme, a delivery."""
    VISIT = "visit"
    PAPERWORK = "paperwork"
    MILESTONE = "milestone"


class TaskState(StrEnum):
    OPEN = "open"
    STARTED = "started"
    DONE = "done"
    DROPPED = "dropped"


class Task(Base):
    """One step. Durations are working days for work, calendar days for waits; waits have a range."""

    __tablename__ = "task"
    key: Mapped[str] = mapped_column(unique=True)
    title: Mapped[str]
    kind: Mapped[TaskKind] = mapped_column(default=TaskKind.WORK)
    state: Mapped[TaskState] = mapped_column(default=TaskState.OPEN)
    measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    inspection_id: Mapped[int | None] = mapped_column(ForeignKey("inspection.id"))
    hold_id: Mapped[int | None] = mapped_column(ForeignKey("hold.id"))
    firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    template_key: Mapped[str] = mapped_column(default="")
    days: Mapped[float] = mapped_column(default=1.0)
    days_low: Mapped[float | None]
    days_high: Mapped[float | None]
    not_before: Mapped[date | None]
    must_end_by: Mapped[date | None]
    planned_on: Mapped[date | None]
    """A day agreed with somebody."""
    is_confirmed: Mapped[bool] = mapped_column(default=False)
    started_on: Mapped[date | None]
    done_on: Mapped[date | None]
    with_whom: Mapped[str] = mapped_column(default="")
    since: Mapped[date | None]
    ask_again_on: Mapped[date | None]
    calendar_sequence: Mapped[int] = mapped_column(default=0)
    """Counts up when its dates move, so that a calendar updates instead of doubling it."""
    notes: Mapped[str] = mapped_column(default="")
    before_this: Mapped[list[TaskLink]] = relationship(
        back_populates="after", foreign_keys="TaskLink.after_id", cascade="all, delete-orphan"
    )
    after_this: Mapped[list[TaskLink]] = relationship(
        back_populates="before", foreign_keys="TaskLink.before_id", cascade="all, delete-orphan"
    )
    contacts: Mapped[list[TaskContact]] = relationship(back_populates="task", cascade="all, delete-orphan")


class TaskLink(Base):
    """`before` must be done, plus `lag_days`, until `after` may start."""

    __tablename__ = "task_link"
    before_id: Mapped[int] = mapped_column(ForeignKey("task.id"))
    after_id: Mapped[int] = mapped_column(ForeignKey("task.id"))
    lag_days: Mapped[float] = mapped_column(default=0.0)
    before: Mapped[Task] = relationship(back_populates="after_this", foreign_keys=[before_id])
    after: Mapped[Task] = relationship(back_populates="before_this", foreign_keys=[after_id])


class DayOff(Base):
    """Days on which nobody works here, from `first_on` through `last_on`, besides the public holidays."""

    __tablename__ = "day_off"
    first_on: Mapped[date]
    last_on: Mapped[date]
    what: Mapped[str] = mapped_column(default="")


class TaskContact(Base):
    """One call or letter about a wait, and what they said."""

    __tablename__ = "task_contact"
    task_id: Mapped[int] = mapped_column(ForeignKey("task.id"))
    on: Mapped[date]
    with_whom: Mapped[str] = mapped_column(default="")
    said: Mapped[str]
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    task: Mapped[Task] = relationship(back_populates="contacts")
