"""Measures: their inputs, state history, write-ups, installed items, settings and tests."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, Facts, with_word, word
from retrofit_desk.records.models.house import Room, Surface
from retrofit_desk.rules.states import BillsAnswer, MeasureState
from retrofit_desk.values.stated import Stated


class Measure(Base):
    """One thing done to the house. `kind` names the estimator's module, `inputs` are its facts in SI."""

    __tablename__ = "measure"
    key: Mapped[str] = mapped_column(unique=True)
    kind: Mapped[str]
    title: Mapped[str]
    why: Mapped[str] = mapped_column(default="")
    inputs: Mapped[Facts] = mapped_column(default=dict)
    state: Mapped[MeasureState] = mapped_column(default=MeasureState.IDEA)
    position: Mapped[int] = mapped_column(default=0)
    """Its place in the line-up, from 0."""
    in_line_up: Mapped[bool] = mapped_column(default=True)
    cost_cents: Mapped[int | None] = with_word("cost_is")
    """The owner's own costing, before quotes."""
    cost_is: Mapped[Stated] = word()
    cost_low_cents: Mapped[int | None]
    cost_high_cents: Mapped[int | None]
    cost_source: Mapped[str] = mapped_column(default="")
    cost_as_of: Mapped[date | None]
    replacement_cents: Mapped[int | None] = with_word("replacement_is")
    """What would have to be bought anyway without it."""
    replacement_is: Mapped[Stated] = word()
    needs_permit: Mapped[bool] = mapped_column(default=False)
    own_work: Mapped[bool] = mapped_column(default=False)
    placed_in_service_on: Mapped[date | None]
    owner_accepted_on: Mapped[date | None]
    """Signed off by the owner, where no permit is needed."""
    bills_answer: Mapped[BillsAnswer] = mapped_column(default=BillsAnswer.NOT_ASKED)
    """What *Did it work?* said last, and when it was asked."""
    bills_asked_on: Mapped[date | None]
    replaced_by_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    notes: Mapped[str] = mapped_column(default="")
    places: Mapped[list[MeasurePlace]] = relationship(
        back_populates="measure", cascade="all, delete-orphan", order_by="MeasurePlace.id"
    )
    changes: Mapped[list[MeasureStateChange]] = relationship(
        back_populates="measure", cascade="all, delete-orphan", order_by="MeasureStateChange.id"
    )
    entries: Mapped[list[WorkEntry]] = relationship(
        back_populates="measure", cascade="all, delete-orphan", order_by="WorkEntry.worked_on"
    )
    later: Mapped[LaterFigures | None] = relationship(back_populates="measure", cascade="all, delete-orphan")


class LaterFigures(Base):
    """What the owner knows of a measure's years after it is bought; the tables speak where this is unknown.

    Money is in cents of `as_of`.
    """

    __tablename__ = "later_figures"
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"), unique=True)
    life_years: Mapped[int | None] = with_word("life_is")
    """Until the part of it that wears out first must be bought again."""
    life_is: Mapped[Stated] = word()
    renewal_cents: Mapped[int | None] = with_word("renewal_is")
    """What buying that part again costs."""
    renewal_is: Mapped[Stated] = word()
    upkeep_cents: Mapped[int | None] = with_word("upkeep_is")
    """A year: service, filters, tests."""
    upkeep_is: Mapped[Stated] = word()
    ended_upkeep_cents: Mapped[int | None] = with_word("ended_upkeep_is")
    """A year: upkeep that is no longer due once the measure is done."""
    ended_upkeep_is: Mapped[Stated] = word()
    instead_due_on: Mapped[date | None]
    """When what would be bought anyway falls due; None: told by the machine's age, else now."""
    instead_life_years: Mapped[int | None] = with_word("instead_life_is")
    """How long what would be bought anyway lasts."""
    instead_life_is: Mapped[Stated] = word()
    source: Mapped[str] = mapped_column(default="")
    as_of: Mapped[date | None]
    measure: Mapped[Measure] = relationship(back_populates="later")


class MeasurePlace(Base):
    """A room, and perhaps one of its surfaces or openings, that a measure touches."""

    __tablename__ = "measure_place"
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"))
    room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    surface_id: Mapped[int | None] = mapped_column(ForeignKey("surface.id"))
    opening_id: Mapped[int | None] = mapped_column(ForeignKey("opening.id"))
    measure: Mapped[Measure] = relationship(back_populates="places")
    room: Mapped[Room | None] = relationship()
    surface: Mapped[Surface | None] = relationship()


class MeasureStateChange(Base):
    """When a measure moved on or back, and for which reason."""

    __tablename__ = "measure_state_change"
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"))
    before: Mapped[MeasureState | None]
    after: Mapped[MeasureState]
    on: Mapped[date]
    reason: Mapped[str] = mapped_column(default="")
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    measure: Mapped[Measure] = relationship(back_populates="changes")


class WorkEntry(Base):
    """One write-up of work on a measure. `is_draft`: half finished, counts for nothing yet."""

    __tablename__ = "work_entry"
    measure_id: Mapped[int] = mapped_column(ForeignKey("measure.id"))
    worked_on: Mapped[date]
    written_at: Mapped[datetime]
    who: Mapped[str] = mapped_column(default="")
    firm_id: Mapped[int | None] = mapped_column(ForeignKey("firm.id"))
    hours: Mapped[float | None] = with_word("hours_is")
    hours_is: Mapped[Stated] = word(Stated.NOT_STATED)
    notes: Mapped[str] = mapped_column(default="")
    change_from_plan: Mapped[str] = mapped_column(default="")
    still_open: Mapped[str] = mapped_column(default="")
    is_draft: Mapped[bool] = mapped_column(default=False)
    is_complete: Mapped[bool] = mapped_column(default=False)
    """The owner says that with this everything is fitted."""
    measure: Mapped[Measure] = relationship(back_populates="entries")
    places: Mapped[list[WorkPlace]] = relationship(back_populates="entry", cascade="all, delete-orphan")
    items: Mapped[list[InstalledItem]] = relationship(back_populates="entry", cascade="all, delete-orphan")
    settings: Mapped[list[MachineSetting]] = relationship(
        back_populates="entry", cascade="all, delete-orphan"
    )
    tests: Mapped[list[CommissioningTest]] = relationship(
        back_populates="entry", cascade="all, delete-orphan"
    )


class WorkPlace(Base):
    """Where the work of one entry was done."""

    __tablename__ = "work_place"
    entry_id: Mapped[int] = mapped_column(ForeignKey("work_entry.id"))
    room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    surface_id: Mapped[int | None] = mapped_column(ForeignKey("surface.id"))
    what_is_inside: Mapped[str] = mapped_column(default="")
    """Wires, pipes, blocking that will be hidden."""
    covered_on: Mapped[date | None]
    reopened_on: Mapped[date | None]
    entry: Mapped[WorkEntry] = relationship(back_populates="places")


class InstalledItem(Base):
    """A product as fitted, with what its plate says."""

    __tablename__ = "installed_item"
    entry_id: Mapped[int] = mapped_column(ForeignKey("work_entry.id"))
    equipment_id: Mapped[int | None] = mapped_column(ForeignKey("equipment.id"))
    product: Mapped[str]
    make: Mapped[str] = mapped_column(default="")
    model: Mapped[str] = mapped_column(default="")
    serial: Mapped[str] = mapped_column(default="")
    quantity: Mapped[float | None]
    unit: Mapped[str] = mapped_column(default="")
    entry: Mapped[WorkEntry] = relationship(back_populates="items")


class MachineSetting(Base):
    """A setting as left, e.g. supply temperature at design."""

    __tablename__ = "machine_setting"
    entry_id: Mapped[int] = mapped_column(ForeignKey("work_entry.id"))
    equipment_id: Mapped[int | None] = mapped_column(ForeignKey("equipment.id"))
    name: Mapped[str]
    value: Mapped[str]
    unit: Mapped[str] = mapped_column(default="")
    entry: Mapped[WorkEntry] = relationship(back_populates="settings")


class CommissioningTest(Base):
    """A test with its limits. Complete only when nothing its kind asks for is blank (rules decide)."""

    __tablename__ = "commissioning_test"
    entry_id: Mapped[int] = mapped_column(ForeignKey("work_entry.id"))
    equipment_id: Mapped[int | None] = mapped_column(ForeignKey("equipment.id"))
    kind: Mapped[str]
    """Key of the test in the table of test limits."""
    quantity: Mapped[str]
    value: Mapped[float | None] = with_word("value_is")
    value_is: Mapped[Stated] = word(Stated.NOT_STATED)
    unit: Mapped[str] = mapped_column(default="")
    """SI, as in the table of test limits."""
    end_value: Mapped[float | None]
    low_limit: Mapped[float | None]
    high_limit: Mapped[float | None]
    minutes: Mapped[float | None]
    minutes_needed: Mapped[float | None]
    started_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]
    gauge: Mapped[str] = mapped_column(default="")
    medium: Mapped[str] = mapped_column(default="")
    ambient_change_c: Mapped[float | None]
    witness: Mapped[str] = mapped_column(default="")
    passed: Mapped[bool | None]
    limit_source: Mapped[str] = mapped_column(default="")
    paper_id: Mapped[int | None] = mapped_column(ForeignKey("paper.id"))
    entry: Mapped[WorkEntry] = relationship(back_populates="tests")
