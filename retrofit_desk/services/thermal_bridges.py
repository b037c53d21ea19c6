"""Lines of a face that lose heat beside its U-value, each with where its value comes from."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from sqlalchemy import select

from retrofit_desk.estimate.surface_heat import ground_u_w_m2k, opaque_area_m2, surface_u_w_m2k
from retrofit_desk.physics.description import LEAST_PSI_W_MK
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house import NotRecorded
from retrofit_desk.services.house_facts import CannotBe
from retrofit_desk.values.errors import DeskError

LEADS_OUTSIDE = (m.Boundary.OUTDOORS, m.Boundary.GROUND)
"""Faces whose edges end outdoors: a slab on the ground does at its rim."""
MOST_PSI_W_MK = 3.0
"""Above the largest default of ISO 14683:2017; more is a slip of the pen (common practice, no source)."""
MOST_TAKEN_AWAY = 0.5
"""Of a face's own loss, at most, by bridges below 0; more is a slip too (common practice, no source)."""
KEPT = "nothing was changed"


@dataclass(frozen=True)
class BridgeFacts:
    """What is recorded of a thermal bridge; named as its columns. Nothing is filled in."""

    name: str
    length_m: float
    psi_w_mk: float
    source: str


@dataclass(frozen=True)
class BridgeRow:
    """A recorded thermal bridge."""

    id: int
    facts: BridgeFacts

    @property
    def loss_w_k(self) -> float:
        return self.facts.length_m * self.facts.psi_w_mk


class ThermalBridgeService:
    """Reads and records the thermal bridges of a face."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def may_be_at(self, surface_id: int) -> bool:
        """Whether a face's edges can lead outdoors."""
        with self._project.session() as session:
            surface = session.get(m.Surface, surface_id)
            return surface is not None and surface.boundary in LEADS_OUTSIDE

    def of_face(self, surface_id: int) -> tuple[BridgeRow, ...]:
        """The face's bridges in the order in which they were recorded."""
        query = select(m.ThermalBridge).where(m.ThermalBridge.surface_id == surface_id)
        with self._project.session() as session:
            return tuple(
                BridgeRow(row.id, BridgeFacts(row.name, row.length_m, row.psi_w_mk, row.source))
                for row in session.scalars(query.order_by(m.ThermalBridge.id))
            )

    def add(self, surface_id: int, facts: BridgeFacts) -> None:
        """Record a bridge of a face. Raises `CannotBe`, `NotRecorded`."""
        _can_be(facts)
        with self._project.action(f"Record {facts.name}") as work:
            surface = work.session.get(m.Surface, surface_id)
            if surface is None:
                raise NotRecorded("this face is not recorded any more", do="undo brings it back")
            if surface.boundary not in LEADS_OUTSIDE:
                raise CannotBe(
                    "a thermal bridge leads outdoors, and this face does not",
                    where=surface.name,
                    kept=KEPT,
                    do="record it at the outer wall, roof or floor it belongs to",
                )
            surface.bridges.append(m.ThermalBridge(**asdict(facts)))
            _leave_a_loss(surface)

    def change(self, bridge_id: int, facts: BridgeFacts) -> None:
        """Change a bridge. Raises `CannotBe`, `NotRecorded`."""
        _can_be(facts)
        with self._project.action(f"Change {facts.name}") as work:
            row = work.session.get(m.ThermalBridge, bridge_id)
            if row is None:
                raise _gone()
            for column, value in asdict(facts).items():
                setattr(row, column, value)
            _leave_a_loss(row.surface)

    def take_out(self, bridge_id: int) -> None:
        """Take a bridge out of the record; undo brings it back. Raises `NotRecorded`."""
        with self._project.action("Take out a thermal bridge") as work:
            row = work.session.get(m.ThermalBridge, bridge_id)
            if row is None:
                raise _gone()
            row.surface.bridges.remove(row)


def _leave_a_loss(surface: m.Surface) -> None:
    """A face measured from outside counts its corners twice; its bridges take that away, not the face itself.

    Raises `CannotBe`. Where the face's own loss is not known yet, nothing can be said against them.
    """
    added_w_k = sum(one.psi_w_mk * one.length_m for one in surface.bridges)
    if added_w_k >= 0.0:
        return
    try:
        on_ground = surface.boundary is m.Boundary.GROUND
        u_value = ground_u_w_m2k(surface) if on_ground else surface_u_w_m2k(surface)
    except DeskError:
        return
    if -added_w_k > MOST_TAKEN_AWAY * u_value * opaque_area_m2(surface):
        raise CannotBe(
            "its thermal bridges would take away more than half of what the face itself loses",
            where=surface.name,
            kept=KEPT,
            do="check length and sign",
        )


def _gone() -> NotRecorded:
    return NotRecorded("this thermal bridge is not recorded any more", do="undo brings it back")


def _can_be(facts: BridgeFacts) -> None:
    if not facts.length_m > 0.0:
        raise CannotBe("it must be more than 0", where="Length", kept=KEPT, do="type it again")
    if not LEAST_PSI_W_MK <= facts.psi_w_mk <= MOST_PSI_W_MK:
        raise CannotBe(
            f"it must lie between {LEAST_PSI_W_MK:g} and {MOST_PSI_W_MK:g} W/(m·K)",
            where="Loss by length",
            kept=KEPT,
            do="type it again; below 0 only corners and edges of faces measured from outside",
        )
    if not facts.source:
        raise CannotBe(
            "a loss by length needs its source", where="Source", kept=KEPT, do="name the table or the sum"
        )
