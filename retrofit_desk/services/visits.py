"""Visits of an inspector: booked, called off, their result, corrections put right, one more or one less."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.permits import PermitState
from retrofit_desk.records.models.tasks import TaskState
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_of
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in
from retrofit_desk.services.measure_facts import open_inspections
from retrofit_desk.services.measures import advance
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.permit_sheet import PermitReader
from retrofit_desk.services.permits import NOTHING, PermitGone, ResultUnclear, measures_of, permit_by_id
from retrofit_desk.services.usual_holds import link_visits
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError

RESULTS = (InspectionResult.PASSED, InspectionResult.PASSED_IN_PART, InspectionResult.FAILED)
AGAIN = ("second", "third", "fourth", "fifth", "sixth")


class CannotBook(DeskError):
    """Something must come before this visit."""


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
class NewVisit:
    """A visit that the office asks for besides the usual ones; `after_id`: the visit it follows, none: first.

    `kind`: as in the usual lists; empty for one that no list knows.
    """

    title: str
    kind: str = ""
    after_id: int | None = None
    is_final: bool = False


class VisitService:
    """Every change is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def book(self, visit_id: int, booking: Booking) -> None:
        """Note the day the office gave. Raises `CannotBook` naming what must come first."""
        with self._project.action("Book a visit") as work:
            row = _visit(work.session, visit_id)
            today = today_of(work.session)
            holds = holds_in(work.session, today)
            reader = PermitReader(work.session, self._tables(), holds, today)
            missing = reader.missing_before(row, reader.visits_around(row.permit))
            if missing:
                until = " and ".join(missing)
                raise CannotBook(
                    f"don't book {row.title} until {until}", where=row.permit.title, kept=NOTHING
                )
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

    def _tables(self) -> Tables:
        return tables_of(self._project)

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


def free_tasks(session: Session, visit: m.Inspection) -> None:
    """Inside an action: its steps have no agreed day any more."""
    for task in _tasks(session, visit):
        task.planned_on, task.is_confirmed = None, False


def _tasks(session: Session, visit: m.Inspection) -> list[m.Task]:
    return list(session.scalars(select(m.Task).where(m.Task.inspection_id == visit.id)))


def _visit(session: Session, visit_id: int) -> m.Inspection:
    row = session.get(m.Inspection, visit_id)
    if row is None:
        raise PermitGone("this visit is no longer recorded", do="undo, or look at the list again")
    return row
