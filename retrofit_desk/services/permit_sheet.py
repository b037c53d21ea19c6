"""Permits as the page shows them: visits in order, what each waits for, corrections, and when it ends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperSubject
from retrofit_desk.records.models.permits import PermitKind, PermitState
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules import deadlines
from retrofit_desk.rules import permits as rules
from retrofit_desk.rules.booking import BookingRule
from retrofit_desk.rules.deadlines import RunsOut
from retrofit_desk.rules.permits import InspectionResult, InspectionRule, PermitTemplate, Visit
from retrofit_desk.services.booking import earliest_in, rules_in
from retrofit_desk.services.hold_records import inspection_roots
from retrofit_desk.services.holds import HoldView
from retrofit_desk.services.permit_dates import PermitLives
from retrofit_desk.services.places import found
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import Found, PageKey, Place
from retrofit_desk.values.stated import StatedValue


@dataclass(frozen=True)
class CorrectionLine:
    """One item of a correction list."""

    id: int
    text: str
    code_reference: str
    room: str
    closed_on: date | None
    how_closed: str


@dataclass(frozen=True)
class VisitSheet:
    """One visit of an inspector. `missing`: what must come before it is booked. `holds`: what it frees."""

    id: int
    title: str
    kind: str
    result: InspectionResult
    booked_for: date | None
    booked_window: str
    booking_number: str
    visited_on: date | None
    inspector: str
    is_final: bool
    notes: str
    missing: tuple[str, ...]
    ready: tuple[str, ...]
    corrections: tuple[CorrectionLine, ...]
    holds: tuple[HoldView, ...]
    papers: tuple[Found, ...]
    repeated_by: str
    place: Place
    office_id: int | None = None
    booking: BookingRule | None = None
    """How the office gives its visits; none: not known."""
    earliest: date | None = None
    """Not booked yet: the first day on which it comes when it is called now; none: not known."""

    @property
    def may_book(self) -> bool:
        return not self.missing

    @property
    def is_over(self) -> bool:
        """Somebody came, or nobody needs to: there is nothing left to book or to record."""
        return bool(self.repeated_by) or self.result in (
            InspectionResult.PASSED,
            InspectionResult.FAILED,
            InspectionResult.PASSED_IN_PART,
            InspectionResult.CANCELLED,
        )

    @property
    def open_corrections(self) -> tuple[CorrectionLine, ...]:
        return tuple(one for one in self.corrections if one.closed_on is None)


@dataclass(frozen=True)
class PermitSheet:
    """One permit with its visits. `still_needs`: what stands between it and its final."""

    id: int
    title: str
    kind: PermitKind
    state: PermitState
    number: str
    pulled_by: str
    is_homeowner_permit: bool
    applied_on: date | None
    issued_on: date | None
    ends_on: date | None
    extended_until: date | None
    final_on: date | None
    fee_cents: StatedValue[int]
    runs_out: RunsOut | None
    idle_days: int | None
    """Days without activity after which it lapses; none: no such rule is recorded."""
    counted: str
    """What counts as activity, in the source's words."""
    still_needs: tuple[str, ...]
    visits: tuple[VisitSheet, ...]
    measures: tuple[Found, ...]
    papers: tuple[Found, ...]
    caution: str
    source: str
    notes: str
    office_id: int | None = None
    usual_kinds: tuple[tuple[str, str], ...] = ()
    """Kinds of visits that offices ask for, with their titles; those of this permit first."""

    @property
    def place(self) -> Place:
        return Place(PageKey.PERMITS, "permit", self.id)

    @property
    def has_lapsed(self) -> bool:
        return self.state is PermitState.EXPIRED


@dataclass(frozen=True)
class AuthorityPermits:
    """One office and the permits it gives."""

    firm_id: int | None
    name: str
    phone: str
    permits: tuple[PermitSheet, ...]
    booking: BookingRule | None = None
    """How it gives its visits; none: not known."""


class PermitReader:
    """Reads every permit of one session; holds are those of the same day."""

    def __init__(self, session: Session, tables: Tables, holds: Sequence[HoldView], today: date) -> None:
        self._session, self._holds, self._today = session, holds, today
        self._templates = tables.permit_templates
        query = select(m.Permit).options(
            selectinload(m.Permit.inspections).selectinload(m.Inspection.corrections)
        )
        self.permits = list(session.scalars(query.order_by(m.Permit.id)))
        self._roots, self._lives = inspection_roots(session), PermitLives(session)
        self._measures = {row.id: row for row in session.scalars(select(m.Measure))}
        self._rooms = {row.id: row.name for row in session.scalars(select(m.Room))}
        self._places = self._places_of_visits()
        self._booking, self._earliest = rules_in(session), earliest_in(session)
        self._papers = self._papers_of((PaperSubject.PERMIT, PaperSubject.INSPECTION))

    def authorities(self) -> tuple[AuthorityPermits, ...]:
        """The offices in the order of their first permit."""
        firms = {row.id: row for row in self._session.scalars(select(m.Firm))}
        groups: dict[int | None, list[PermitSheet]] = {}
        for row in self.permits:
            groups.setdefault(row.authority_id, []).append(self.sheet(row))
        return tuple(
            AuthorityPermits(
                firm_id,
                firms[firm_id].name if firm_id in firms else "Authority not stated",
                firms[firm_id].phone if firm_id in firms else "",
                tuple(sorted(sheets, key=_by_state)),
                self._booking.get(firm_id or 0),
            )
            for firm_id, sheets in groups.items()
        )

    def sheet(self, row: m.Permit) -> PermitSheet:
        visits = self.visits_around(row)
        mine = [one for one in visits if int(one.key) in {visit.id for visit in row.inspections}]
        template = self.template_of(row)
        return PermitSheet(
            id=row.id,
            title=row.title,
            kind=row.kind,
            state=self._lives.state_on(row, self._today),
            number=row.number,
            pulled_by=row.pulled_by,
            is_homeowner_permit=row.is_homeowner_permit,
            applied_on=row.applied_on,
            issued_on=row.issued_on,
            ends_on=row.ends_on,
            extended_until=row.extended_until,
            final_on=row.final_on,
            fee_cents=row.stated("fee_cents"),
            runs_out=self._runs_out(row),
            idle_days=row.idle_days_limit,
            counted=self._lives.counted(row),
            still_needs=rules.may_close(mine),
            visits=tuple(self._visit(visit, row, visits) for visit in row.inspections),
            measures=tuple(
                found(self._measures[link.measure_id])
                for link in row.measures
                if link.measure_id in self._measures
            ),
            papers=self._papers.get((PaperSubject.PERMIT, row.id), ()),
            caution=template.caution if template else "",
            source=template.origin.line if template else "",
            notes=row.notes,
            office_id=row.authority_id,
            usual_kinds=_kinds(self._rules_of(row)),
        )

    def template_of(self, row: m.Permit) -> PermitTemplate | None:
        return next((one for one in self._templates if one.permit_kind == row.kind), None)

    def visits_around(self, permit: m.Permit) -> tuple[Visit, ...]:
        """The visits of this permit and of every permit that shares a measure with it."""
        mine = {link.measure_id for link in permit.measures}
        return tuple(
            self._plain(visit)
            for other in self.permits
            if other is permit or mine & {link.measure_id for link in other.measures}
            if other.state is not PermitState.WITHDRAWN
            for visit in other.inspections
        )

    def missing_before(self, row: m.Inspection, visits: Iterable[Visit]) -> tuple[str, ...]:
        """What must come before a visit is booked, or booked for another day."""
        unbooked = self._plain(row, as_booked=False)
        missing = rules.may_book(unbooked, visits, self._rules_of(row.permit)).missing
        title, end = row.permit.title, self._lives.lapses_on(row.permit)
        if row.permit.issued_on is None:
            return (f"{title} is issued", *missing)
        if end is not None and end < self._today:
            return (f"{title}, which expired {day_text(end)}, is extended or issued again", *missing)
        return missing

    def _rules_of(self, permit: m.Permit) -> tuple[InspectionRule, ...]:
        """The list of the permit's own kind, then all others: offices mix them."""
        own = self.template_of(permit)
        others = (rule for template in self._templates for rule in template.inspections)
        return (*(own.inspections if own else ()), *others)

    def _visit(self, row: m.Inspection, permit: m.Permit, visits: tuple[Visit, ...]) -> VisitSheet:
        key = f"inspection:{self._roots[row.id]}"
        again = next((one.title for one in permit.inspections if one.again_of_id == row.id), "")
        return VisitSheet(
            id=row.id,
            title=row.title,
            kind=row.kind,
            result=row.result,
            booked_for=row.booked_for,
            booked_window=row.booked_window,
            booking_number=row.booking_number,
            visited_on=row.visited_on,
            inspector=row.inspector,
            is_final=row.is_final,
            notes=row.notes,
            missing=self.missing_before(row, visits),
            ready=rules.ready_for(self._plain(row), self._rules_of(permit), visits),
            corrections=tuple(self._correction(one) for one in row.corrections),
            holds=tuple(
                hold
                for hold in self._holds
                if not hold.is_done and any(need.key == key for need in hold.answer.hold.needs)
            ),
            papers=self._papers.get((PaperSubject.INSPECTION, row.id), ()),
            repeated_by=again,
            place=Place(PageKey.PERMITS, "inspection", row.id),
            office_id=permit.authority_id,
            booking=self._booking.get(permit.authority_id or 0),
            earliest=self._earliest.get(permit.authority_id or 0)
            if row.result is InspectionResult.NOT_BOOKED
            else None,
        )

    def _correction(self, row: m.Correction) -> CorrectionLine:
        room = self._rooms.get(row.room_id or 0, "")
        return CorrectionLine(row.id, row.text, row.code_reference, room, row.closed_on, row.how_closed)

    def _plain(self, row: m.Inspection, *, as_booked: bool = True) -> Visit:
        is_booked = row.result is InspectionResult.BOOKED
        return Visit(
            key=str(row.id),
            kind=row.kind,
            title=row.title,
            result=InspectionResult.NOT_BOOKED if is_booked and not as_booked else row.result,
            booked_for=row.booked_for,
            visited_on=row.visited_on,
            again_of=str(row.again_of_id) if row.again_of_id else "",
            open_corrections=tuple(one.text for one in row.corrections if one.closed_on is None),
            is_final=row.is_final,
            place=self._places.get(self._roots[row.id], ""),
            permit=str(row.permit_id),
        )

    def _places_of_visits(self) -> dict[int, str]:
        """Root visit -> the measure whose task it is; other measures' visits do not wait for it."""
        tasks = self._session.scalars(select(m.Task).where(m.Task.inspection_id.is_not(None)))
        return {
            self._roots[task.inspection_id]: f"measure:{task.measure_id}"
            for task in tasks
            if task.measure_id is not None and task.inspection_id in self._roots
        }

    def _papers_of(
        self, subjects: tuple[PaperSubject, ...]
    ) -> dict[tuple[PaperSubject, int], tuple[Found, ...]]:
        filed: dict[tuple[PaperSubject, int], tuple[Found, ...]] = {}
        uses = select(m.PaperUse).where(m.PaperUse.subject.in_(subjects))
        for use in self._session.scalars(uses.options(selectinload(m.PaperUse.paper))):
            place = Place(PageKey.PAPERS, "paper", use.paper_id)
            one = Found(use.paper.title, str(use.paper.kind), place)
            key = (use.subject, use.subject_id)
            filed[key] = (*filed.get(key, ()), one)
        return filed

    def _runs_out(self, row: m.Permit) -> RunsOut | None:
        ending = self._lives.ending(row, self._today)
        return next(iter(deadlines.runs_out([ending], self._today)), None) if ending else None


def _kinds(rules_of: Sequence[InspectionRule]) -> tuple[tuple[str, str], ...]:
    """Each kind once, with its first title."""
    titles: dict[str, str] = {}
    for rule in rules_of:
        titles.setdefault(rule.kind, rule.title)
    return tuple(titles.items())


def _by_state(sheet: PermitSheet) -> tuple[int, int]:
    """What is under way first, what is over last."""
    order = (PermitState.EXPIRED, PermitState.ISSUED, PermitState.APPLIED, PermitState.NEEDED)
    return (order.index(sheet.state) if sheet.state in order else len(order), sheet.id)
