"""Work that needs a permit, as noted or as offices usually ask, and has none."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.permits import PermitKind, PermitState
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_of
from retrofit_desk.rules.permits import PermitTemplate
from retrofit_desk.rules.states import MeasureState, notches
from retrofit_desk.values.place import PageKey, Place


@dataclass(frozen=True)
class NoPermitYet:
    """A measure on no permit. `usual`: those that offices usually ask for; empty: noted as needing one."""

    measure_id: int
    title: str
    state: MeasureState
    usual: tuple[PermitKind, ...]

    @property
    def is_begun(self) -> bool:
        return notches(self.state) >= notches(MeasureState.UNDER_WAY)

    @property
    def place(self) -> Place:
        return Place(PageKey.MEASURES, "measure", self.measure_id)


class NoPermitYetService:
    """Tells what may need a permit; the local office decides."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def measures(self) -> tuple[NoPermitYet, ...]:
        """What is furthest along first; nothing of what was given up or is signed off."""
        templates = tables_of(self._project).permit_templates
        with self._project.session() as session:
            rows = session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id))
            covered = _covered(session)
            open_rows = [row for row in rows if row.id not in covered and _is_open(row.state)]
            found = (
                NoPermitYet(row.id, row.title, row.state, usual_of(row.kind, templates)) for row in open_rows
            )
            asked = {row.id for row in open_rows if row.needs_permit}
            lacking = [one for one in found if one.usual or one.measure_id in asked]
        return tuple(sorted(lacking, key=lambda one: -notches(one.state)))


def usual_of(kind: str, templates: tuple[PermitTemplate, ...]) -> tuple[PermitKind, ...]:
    """The permits that offices usually ask for work of this kind."""
    return tuple(PermitKind(one.permit_kind) for one in templates if kind in one.measures)


def _covered(session: Session) -> frozenset[int]:
    """Measures on a permit that was not given back."""
    links = select(m.PermitMeasure.measure_id).join(m.Permit, m.Permit.id == m.PermitMeasure.permit_id)
    return frozenset(session.scalars(links.where(m.Permit.state != PermitState.WITHDRAWN)))


def _is_open(state: MeasureState) -> bool:
    return not state.is_over and notches(state) < notches(MeasureState.SIGNED_OFF)
