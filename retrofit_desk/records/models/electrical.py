"""The electrical panel: circuits, and the ledger of loads that follows each measure."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from retrofit_desk.records.models.base import Base, with_word, word
from retrofit_desk.values.stated import Stated


class Panel(Base):
    __tablename__ = "panel"
    key: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    main_a: Mapped[float]
    bus_a: Mapped[float | None]
    service_a: Mapped[float | None]
    volts: Mapped[float] = mapped_column(default=240.0)
    spaces: Mapped[int | None]
    make: Mapped[str] = mapped_column(default="")
    model: Mapped[str] = mapped_column(default="")
    fed_from_id: Mapped[int | None] = mapped_column(ForeignKey("panel.id"))
    room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    notes: Mapped[str] = mapped_column(default="")
    circuits: Mapped[list[Circuit]] = relationship(
        back_populates="panel", cascade="all, delete-orphan", order_by="Circuit.position"
    )
    loads: Mapped[list[PanelLoad]] = relationship(
        back_populates="panel", cascade="all, delete-orphan", order_by="PanelLoad.id"
    )


class Circuit(Base):
    __tablename__ = "circuit"
    panel_id: Mapped[int] = mapped_column(ForeignKey("panel.id"))
    position: Mapped[int]
    spaces: Mapped[str] = mapped_column(default="")
    """As written on the door: 12 or 14/16."""
    name: Mapped[str]
    breaker_a: Mapped[float]
    poles: Mapped[int] = mapped_column(default=1)
    wire: Mapped[str] = mapped_column(default="")
    is_spare: Mapped[bool] = mapped_column(default=False)
    room_id: Mapped[int | None] = mapped_column(ForeignKey("room.id"))
    equipment_id: Mapped[int | None] = mapped_column(ForeignKey("equipment.id"))
    measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    """The measure that adds it; empty when it was there before."""
    removed_by_measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    panel: Mapped[Panel] = relationship(back_populates="circuits")


class PanelLoad(Base):
    """One line of the load calculation. `category` is the row of the code's table it is counted under."""

    __tablename__ = "panel_load"
    panel_id: Mapped[int] = mapped_column(ForeignKey("panel.id"))
    circuit_id: Mapped[int | None] = mapped_column(ForeignKey("circuit.id"))
    name: Mapped[str]
    category: Mapped[str]
    volt_amperes: Mapped[float | None] = with_word("volt_amperes_is")
    volt_amperes_is: Mapped[Stated] = word()
    is_continuous: Mapped[bool] = mapped_column(default=False)
    is_managed: Mapped[bool] = mapped_column(default=False)
    """Held back by load management."""
    added_by_measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    removed_by_measure_id: Mapped[int | None] = mapped_column(ForeignKey("measure.id"))
    from_date: Mapped[date | None]
    source: Mapped[str] = mapped_column(default="")
    panel: Mapped[Panel] = relationship(back_populates="loads")
