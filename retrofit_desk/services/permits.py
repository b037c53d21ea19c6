"""Permits and inspections: book a visit, record its result, close corrections, extend, close."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.permits import PermitKind, PermitState
from retrofit_desk.records.models.tasks import TaskState
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.rules.permits import InspectionResult, PermitTemplate
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in
from retrofit_desk.services.measure_facts import open_inspections
from retrofit_desk.services.measures import advance
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.permit_sheet import AuthorityPermits, PermitReader, PermitSheet
from retrofit_desk.services.usual_holds import link_visits
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import StatedValue

NOTHING = "nothing was changed"
RESULTS = (InspectionResult.PASSED, InspectionResult.PASSED_IN_PART, InspectionResult.FAILED)
KINDS = tuple(PermitKind)
AGAIN = ("second", "third", "fourth", "fifth", "sixth")


class PermitGone(DeskError):
    """A permit, a visit or a correction is asked for that is no longer recorded."""


class CannotBook(DeskError):
    """Something must come before this visit."""


class ResultUnclear(DeskError):
    """A result is recorded that does not fit."""


@dataclass(frozen=True)
class Booking:
    """What the office said."""

    booked_for: date
    window: str = ""
    number: str = ""


@dataclass(frozen=True)
class WrittenCorrection:
    """One line of the inspector's list."""

    text: str
    code_reference: str = ""


@dataclass(frozen=True)
class VisitResult:
    """What the inspector said at the door. `paper`: the report or the list, to be filed with it."""

    visited_on: date
    result: InspectionResult
    inspector: str = ""
    corrections: tuple[WrittenCorrection, ...] = ()
    notes: str = ""
    paper: Path | None = None


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


@dataclass(frozen=True)
class NewPermit:
    """A permit that is needed; its visits come from the usual list of its kind."""

    kind: PermitKind | None
    title: str
    authority_id: int | None
    measure_ids: tuple[int, ...]
    is_homeowner_permit: bool = False


@dataclass(frozen=True)
class NewVisit:
    """A visit that the office asks for besides the usual ones; `after_id`: the visit it follows, none: first.

    `kind`: as in the usual lists; empty for one that no list knows.
    """

    title: str
    kind: str = ""
    after_id: int | None = None
    is_final: bool = False


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

    def book(self, visit_id: int, booking: Booking) -> None:
        """Note the day the office gave. Raises `CannotBook` naming what must come first."""
        with self._project.action("Book a visit") as work:
            row = _visit(work.session, visit_id)
            reader = self._reader(work.session)
            missing = reader.missing_before(row, reader.visits_around(row.permit))
            if missing:
                until = " and ".join(missing)
                raise CannotBook(
                    f"don't book {row.title} until {until}", where=row.permit.title, kept=NOTHING
                )
            today = today_of(work.session)
            if booking.booked_for < today:
                raise CannotBook(
                    f"{day_text(booking.booked_for)} is past",
                    where=row.title,
                    kept=NOTHING,
                    do="check the day",
                )
            row.result = InspectionResult.BOOKED
            row.booked_for, row.booked_window, row.booking_number = (
                booking.booked_for,
                booking.window.strip(),
                booking.number.strip(),
            )
            for task in _tasks(work.session, row):
                task.planned_on, task.is_confirmed = booking.booked_for, True

    def call_off(self, visit_id: int) -> None:
        """The visit does not take place on that day; it can be booked again."""
        with self._project.action("Call a visit off") as work:
            row = _visit(work.session, visit_id)
            if row.result is not InspectionResult.BOOKED:
                raise ResultUnclear("this visit is not booked", where=row.title, kept=NOTHING)
            row.result, row.booked_for = InspectionResult.NOT_BOOKED, None
            row.booked_window = row.booking_number = ""
            free_tasks(work.session, row)

    def record_result(self, visit_id: int, told: VisitResult) -> HoldEffect:
        """Record what the inspector said. A failure opens the next visit of the same inspection.

        The permit becomes final by a passed final visit when nothing else is open. Raises `ResultUnclear`.
        """
        with self._project.action("Record a visit") as work:
            session, today = work.session, today_of(work.session)
            row = _visit(session, visit_id)
            _check_result(row, told, today)
            before = holds_in(session, today)
            _put_result(row, told)
            self._file(work, row, told)
            if told.result is InspectionResult.PASSED:
                _settle_passed(session, row, told.visited_on)
            else:
                _open_again(session, row)
            session.flush()
            measures = measures_of(session, row.permit)
            for measure in measures:
                advance(session, measure)
            session.flush()
            after = holds_in(session, today)
            return effect_between(before, after, measures[0].id if len(measures) == 1 else None)

    def close_correction(self, correction_id: int, how: str, paper: Path | None = None) -> HoldEffect:
        """Put right: say how, with a photo where there is one. Raises `ResultUnclear`, `PermitGone`."""
        with self._project.action("Close a correction") as work:
            session, today = work.session, today_of(work.session)
            row = session.get(m.Correction, correction_id)
            if row is None:
                raise PermitGone(
                    "this correction is no longer recorded", do="undo, or look at the list again"
                )
            if not how.strip():
                raise ResultUnclear("say how it was put right", where=row.text, kept=NOTHING)
            before = holds_in(session, today)
            row.closed_on, row.how_closed = today, how.strip()
            if paper is not None:
                uses = (Use(PaperSubject.CORRECTION, row.id), Use(PaperSubject.INSPECTION, row.inspection_id))
                filing = Filing(PaperKind.PHOTO, f"Put right: {row.text}"[:120], today, uses=uses)
                row.paper_id, _same = file_in(work, paper, filing)
            session.flush()
            return effect_between(before, holds_in(session, today), None)

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

    def add_visit(self, permit_id: int, new: NewVisit) -> int:
        """The office asks for one more visit. Raises `ResultUnclear`, `PermitGone`."""
        if not new.title.strip():
            raise ResultUnclear("a visit needs a title", kept=NOTHING, do="say what the inspector looks at")
        with self._project.action(f"Add {new.title.strip()}") as work:
            session, row = work.session, permit_by_id(work.session, permit_id)
            if row.state in (PermitState.FINAL, PermitState.WITHDRAWN):
                raise ResultUnclear(f"this permit is {row.state}", where=row.title, kept=NOTHING)
            place = next((one.position + 1 for one in row.inspections if one.id == new.after_id), 0)
            visit = _put_in(session, row, place, new)
            link_visits(session, self._tables(), row)
            return visit.id

    def take_out_visit(self, visit_id: int) -> None:
        """The office does not ask for this visit."""
        with self._project.action("Take a visit out") as work:
            row = _visit(work.session, visit_id)
            if row.visited_on is not None:
                raise ResultUnclear(
                    "this visit took place; it stays on record", where=row.title, kept=NOTHING
                )
            row.result, row.booked_for = InspectionResult.CANCELLED, None

    def _reader(self, session: Session) -> PermitReader:
        today = today_of(session)
        return PermitReader(session, self._tables(), holds_in(session, today), today)

    def _tables(self) -> Tables:
        return Tables(self._project.own_tables)

    @staticmethod
    def _file(work: Work, row: m.Inspection, told: VisitResult) -> None:
        if told.paper is None:
            return
        has_list = bool(told.corrections)
        kind = PaperKind.CORRECTION_LIST if has_list else PaperKind.INSPECTION_REPORT
        title = f"{row.title}, {'correction list' if has_list else 'report'}"
        uses = (Use(PaperSubject.INSPECTION, row.id), Use(PaperSubject.PERMIT, row.permit_id))
        row.paper_id, _same = file_in(work, told.paper, Filing(kind, title, told.visited_on, uses=uses))


def _check_result(row: m.Inspection, told: VisitResult, today: date) -> None:
    if told.result not in RESULTS:
        raise ResultUnclear("say passed, passed in part or failed", where=row.title, kept=NOTHING)
    if row.result in RESULTS:
        raise ResultUnclear(
            f"{row.result} on {day_text(row.visited_on)}", where=row.title, kept=NOTHING, do="undo that first"
        )
    if told.visited_on > today:
        raise ResultUnclear(
            f"{day_text(told.visited_on)} has not come yet", where=row.title, kept=NOTHING, do="check the day"
        )
    if told.result is InspectionResult.PASSED and told.corrections:
        raise ResultUnclear(
            "a visit with corrections has not passed", where=row.title, do="choose passed in part or failed"
        )
    if told.result is not InspectionResult.PASSED and not told.corrections:
        raise ResultUnclear(
            "no correction is written down",
            where=row.title,
            kept=NOTHING,
            do="write down what must be put right",
        )


def _put_result(row: m.Inspection, told: VisitResult) -> None:
    row.result, row.visited_on = told.result, told.visited_on
    row.inspector = told.inspector.strip()
    if told.notes.strip():
        row.notes = told.notes.strip()
    for one in told.corrections:
        row.corrections.append(m.Correction(text=one.text.strip(), code_reference=one.code_reference.strip()))


def _settle_passed(session: Session, row: m.Inspection, on: date) -> None:
    for task in _tasks(session, row):
        task.state, task.done_on = TaskState.DONE, on
    permit = row.permit
    if row.is_final and not open_inspections(permit):
        permit.state, permit.final_on = PermitState.FINAL, on


def _open_again(session: Session, row: m.Inspection) -> None:
    """The next visit for the same thing stands right behind the failed one; its task now waits for that."""
    if any(one.again_of_id == row.id for one in row.permit.inspections):
        return
    session.flush()
    before, count = row, 0
    while before.again_of_id is not None and (first := session.get(m.Inspection, before.again_of_id)):
        before, count = first, count + 1
    title = f"{before.title}, {AGAIN[min(count, len(AGAIN) - 1)]} visit"
    new = NewVisit(title, row.kind, row.id, row.is_final)
    again = _put_in(session, row.permit, row.position + 1, new)
    again.again_of_id = row.id
    for task in _tasks(session, row):
        task.inspection_id, task.planned_on, task.is_confirmed = again.id, None, False


def _put_in(session: Session, permit: m.Permit, place: int, new: NewVisit) -> m.Inspection:
    """A visit at this place of the order; those behind move on."""
    for other in permit.inspections:
        if other.position >= place:
            other.position += 1
    visit = m.Inspection(
        permit_id=permit.id,
        position=place,
        kind=new.kind,
        title=new.title.strip(),
        is_final=new.is_final,
    )
    session.add(visit)
    session.flush()
    session.refresh(permit, ["inspections"])
    return visit


def state_by_dates(row: m.Permit) -> PermitState:
    if row.state in (PermitState.FINAL, PermitState.WITHDRAWN):
        return row.state
    if row.issued_on is not None:
        return PermitState.ISSUED
    return PermitState.NEEDED if row.applied_on is None else PermitState.APPLIED


def measures_of(session: Session, permit: m.Permit) -> list[m.Measure]:
    ids = [link.measure_id for link in permit.measures]
    return list(session.scalars(select(m.Measure).where(m.Measure.id.in_(ids)).order_by(m.Measure.position)))


def free_tasks(session: Session, visit: m.Inspection) -> None:
    """Inside an action: its steps have no agreed day any more."""
    for task in _tasks(session, visit):
        task.planned_on, task.is_confirmed = None, False


def _tasks(session: Session, visit: m.Inspection) -> list[m.Task]:
    return list(session.scalars(select(m.Task).where(m.Task.inspection_id == visit.id)))


def permit_by_id(session: Session, permit_id: int) -> m.Permit:
    row = session.get(m.Permit, permit_id)
    if row is None:
        raise PermitGone("this permit is no longer recorded", do="undo, or choose another one")
    return row


def _visit(session: Session, visit_id: int) -> m.Inspection:
    row = session.get(m.Inspection, visit_id)
    if row is None:
        raise PermitGone("this visit is no longer recorded", do="undo, or look at the list again")
    return row
