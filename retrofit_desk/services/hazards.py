"""Before work begins: what to look for by the age of the house and the work, and what was found."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_of
from retrofit_desk.rules.hazards import (
    Finding,
    HazardKind,
    HazardState,
    needs_lead_safe_firm,
    stopping,
    to_look_for,
)
from retrofit_desk.values.units import FOOT_M

WORK_AHEAD = (
    m.MeasureState.IDEA,
    m.MeasureState.PRICED,
    m.MeasureState.COMMITTED,
    m.MeasureState.UNDER_WAY,
)
_WINDOWS = ("casement_windows", "glazing_and_shading")
_OPENS_INSIDE, _COVERS_OUTSIDE = ("insulation_batts",), ("continuous_insulation",)


@dataclass(frozen=True)
class HazardLine:
    """One hazard. `state` none: nobody looked yet. `stops`: no work there until it is settled.

    `kind`: its key in the table. `find_id` none: nothing is on record.
    """

    kind: str
    find_id: int | None
    name: str
    where: str
    state: HazardState | None
    seen_on: date | None
    settled_by: str
    what_to_do: str
    caution: str
    stops: bool
    source: str
    checked_on: date | None
    clearance: str = ""
    """The paper that lets work go on, in words that follow "once"."""


@dataclass(frozen=True)
class BeforeWork:
    """What to settle before a measure's work. `lead_safe`: paid work needs a lead-safe certified firm."""

    year_built: int | None
    lead_safe: bool
    found: tuple[HazardLine, ...]
    to_look_for: tuple[HazardLine, ...]


class HazardService:
    """Hazards by age, work and finds."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def before_work(self, measure_id: int) -> BeforeWork | None:
        """For one measure; none once its work is in place or given up."""
        kinds = tables_of(self._project).hazards
        with self._project.session() as session:
            measure = session.get(m.Measure, measure_id)
            if measure is None or measure.state not in WORK_AHEAD:
                return None
            site = session.scalar(select(m.Site))
            year = site.year_built if site is not None else None
            rows = session.scalars(
                select(m.HazardFinding)
                .where((m.HazardFinding.measure_id == measure_id) | m.HazardFinding.measure_id.is_(None))
                .order_by(m.HazardFinding.id)
            ).all()
            # what was found elsewhere in the house is told, but settles nothing for this work
            findings = [_finding(one) for one in rows if one.measure_id == measure_id]
            open_kinds = to_look_for(kinds, year, [measure.kind], findings)
            return BeforeWork(
                year,
                _lead_safe(session, measure, year),
                tuple(_found(row, kinds) for row in rows),
                tuple(_to_look_for(kind) for kind in open_kinds),
            )


def _lead_safe(session: Session, measure: m.Measure, year_built: int | None) -> bool:
    surfaces = _surfaces(session, measure)
    by_room: dict[int, float] = defaultdict(float)
    for surface in surfaces:
        by_room[surface.room_id] += surface.area_m2 / FOOT_M**2
    outside = sum(by_room.values()) if measure.kind in _COVERS_OUTSIDE else 0.0
    inside = max(by_room.values(), default=0.0) if measure.kind in _OPENS_INSIDE else 0.0
    return needs_lead_safe_firm(
        year_built,
        paid_work=not measure.own_work,
        inside_sqft_per_room=inside,
        outside_sqft=outside,
        replaces_windows=measure.kind in _WINDOWS,
    )


def _surfaces(session: Session, measure: m.Measure) -> Sequence[m.Surface]:
    keys = measure.inputs.get("surfaces", [])
    if not isinstance(keys, list):
        return ()
    return session.scalars(select(m.Surface).where(m.Surface.key.in_(keys))).all()


def _finding(row: m.HazardFinding) -> Finding:
    return Finding(row.kind, row.state, row.stops_work, row.where)


def _found(row: m.HazardFinding, kinds: Sequence[HazardKind]) -> HazardLine:
    kind = next((one for one in kinds if one.key == row.kind), None)
    return HazardLine(
        kind=row.kind,
        find_id=row.id,
        name=kind.name if kind else row.kind.replace("_", " ").capitalize(),
        where=row.where,
        state=row.state,
        seen_on=row.seen_on,
        settled_by=row.settled_by,
        what_to_do=row.notes or (kind.what_to_do if kind else ""),
        caution=kind.caution if kind else "",
        stops=bool(stopping([_finding(row)])),
        source=kind.origin.source if kind else "",
        checked_on=kind.origin.as_of if kind else None,
        clearance=kind.clearance if kind else "people licensed for it have cleared it",
    )


def _to_look_for(kind: HazardKind) -> HazardLine:
    origin = kind.origin
    parts = dict.fromkeys((origin.source, origin.edition, origin.confidence))
    source = ", ".join(part for part in parts if part)
    return HazardLine(
        kind=kind.key,
        find_id=None,
        name=kind.name,
        where=kind.where,
        state=None,
        seen_on=None,
        settled_by="",
        what_to_do=kind.what_to_do,
        caution=kind.caution,
        stops=False,
        source=source,
        checked_on=origin.as_of,
    )
