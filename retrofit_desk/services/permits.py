"""Permits: which there are, a new one, and what the office fixed about one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.permits import PermitKind, PermitState
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_of
from retrofit_desk.rules.permits import PermitTemplate
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in
from retrofit_desk.services.measures import advance
from retrofit_desk.services.permit_sheet import AuthorityPermits, PermitReader, PermitSheet
from retrofit_desk.services.usual_holds import link_visits
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import StatedValue

NOTHING = "nothing was changed"
KINDS = tuple(PermitKind)


class PermitGone(DeskError):
    """A permit, a visit or a correction is asked for that is no longer recorded."""


class ResultUnclear(DeskError):
    """A result is recorded that does not fit."""


@dataclass(frozen=True)
class PermitDay:
    """The facts of a permit that the office fixes, who pulls it, and its fee; None: as it stands."""

    number: str
    applied_on: date | None
    issued_on: date | None
    ends_on: date | None
    extended_until: date | None
    pulled_by: str | None = None
    is_homeowner_permit: bool | None = None
    fee_cents: StatedValue[int] | None = None
    idle_days: StatedValue[int] | None = None
    """After so many days without activity it lapses; a value that is not known: no such rule."""


@dataclass(frozen=True)
class NewPermit:
    """A permit that is needed; its visits come from the usual list of its kind."""

    kind: PermitKind | None
    title: str
    authority_id: int | None
    measure_ids: tuple[int, ...]
    is_homeowner_permit: bool = False


@dataclass(frozen=True)
class PermitChoices:
    """What a new permit may name: offices and measures."""

    authorities: tuple[tuple[int, str], ...]
    measures: tuple[tuple[int, str], ...]


class PermitService:
    """May the work go on? Every change is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)

    def authorities(self) -> tuple[AuthorityPermits, ...]:
        """Every office with its permits."""
        with self._project.session() as session:
            return self._reader(session).authorities()

    def sheet(self, permit_id: int) -> PermitSheet:
        """Raises `PermitGone`."""
        with self._project.session() as session:
            reader = self._reader(session)
            return reader.sheet(permit_by_id(session, permit_id))

    def permit_of(self, visit_id: int) -> int | None:
        """The permit a visit belongs to."""
        with self._project.session() as session:
            row = session.get(m.Inspection, visit_id)
            return row.permit_id if row is not None else None

    def usual(self) -> tuple[PermitTemplate, ...]:
        """The kinds of permits with the visits that offices usually ask for."""
        return self._tables().permit_templates

    def choices(self) -> PermitChoices:
        with self._project.session() as session:
            firms = session.scalars(select(m.Firm).where(m.Firm.kind == m.FirmKind.AUTHORITY))
            measures = session.scalars(select(m.Measure).order_by(m.Measure.position, m.Measure.id))
            return PermitChoices(
                tuple((row.id, row.name) for row in firms), tuple((row.id, row.title) for row in measures)
            )

    def change(self, permit_id: int, day: PermitDay) -> HoldEffect:
        """Number and dates as the office gave them; an issue date makes the permit issued."""
        with self._project.action("Change a permit") as work:
            session, today = work.session, today_of(work.session)
            row = permit_by_id(session, permit_id)
            if day.issued_on is not None and day.applied_on is not None and day.issued_on < day.applied_on:
                raise ResultUnclear(
                    "issued before it was applied for", where=row.title, kept=NOTHING, do="check both dates"
                )
            before = holds_in(session, today)
            row.number = day.number.strip()
            row.applied_on, row.issued_on = day.applied_on, day.issued_on
            row.ends_on, row.extended_until = day.ends_on, day.extended_until
            if day.pulled_by is not None:
                row.pulled_by = day.pulled_by.strip()
            if day.is_homeowner_permit is not None:
                row.is_homeowner_permit = day.is_homeowner_permit
            if day.fee_cents is not None:
                row.set_stated("fee_cents", day.fee_cents)
            if day.idle_days is not None:
                row.idle_days_limit = day.idle_days.value
            row.state = state_by_dates(row)
            session.flush()
            for measure in measures_of(session, row):
                advance(session, measure)
            session.flush()
            return effect_between(before, holds_in(session, today), None)

    def add(self, new: NewPermit) -> int:
        """Note that a permit is needed; its visits stand in the usual order. Raises `ResultUnclear`."""
        if not new.title.strip():
            raise ResultUnclear("a permit needs a title", do="say what it is for")
        if new.kind is None:
            raise ResultUnclear("a permit needs a kind", do="choose one; the office tells which")
        with self._project.action(f"Add {new.title.strip()}") as work:
            session = work.session
            template = next(
                (one for one in self._tables().permit_templates if one.permit_kind == new.kind), None
            )
            taken = {row.key for row in session.scalars(select(m.Permit))}
            stem = "-".join(new.title.casefold().split())[:40]
            row = m.Permit(
                key=next(name for number in range(1, 1000) if (name := f"{stem}-{number}") not in taken),
                kind=new.kind,
                title=new.title.strip(),
                authority_id=new.authority_id,
                is_homeowner_permit=new.is_homeowner_permit,
                idle_days_limit=template.idle_days if template else None,
            )
            row.measures = [m.PermitMeasure(measure_id=measure_id) for measure_id in new.measure_ids]
            for position, rule in enumerate(template.inspections if template else ()):
                row.inspections.append(
                    m.Inspection(position=position, kind=rule.kind, title=rule.title, is_final=rule.is_final)
                )
            session.add(row)
            for measure in session.scalars(select(m.Measure).where(m.Measure.id.in_(new.measure_ids))):
                measure.needs_permit = True
            session.flush()
            link_visits(session, self._tables(), row)
            return row.id

    def _reader(self, session: Session) -> PermitReader:
        today = today_of(session)
        return PermitReader(session, self._tables(), holds_in(session, today), today)

    def _tables(self) -> Tables:
        return tables_of(self._project)


def state_by_dates(row: m.Permit) -> PermitState:
    if row.state in (PermitState.FINAL, PermitState.WITHDRAWN):
        return row.state
    if row.issued_on is not None:
        return PermitState.ISSUED
    return PermitState.NEEDED if row.applied_on is None else PermitState.APPLIED


def measures_of(session: Session, permit: m.Permit) -> list[m.Measure]:
    ids = [link.measure_id for link in permit.measures]
    return list(session.scalars(select(m.Measure).where(m.Measure.id.in_(ids)).order_by(m.Measure.position)))


def permit_by_id(session: Session, permit_id: int) -> m.Permit:
    row = session.get(m.Permit, permit_id)
    if row is None:
        raise PermitGone("this permit is no longer recorded", do="undo, or choose another one")
    return row
