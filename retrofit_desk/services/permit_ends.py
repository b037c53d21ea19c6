"""The ends of a permit: closed by the office with its certificate, withdrawn, taken up again."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.permits import PermitState
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in
from retrofit_desk.services.measure_facts import open_inspections
from retrofit_desk.services.measures import advance
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.permit_dates import PermitLives
from retrofit_desk.services.permits import NOTHING, ResultUnclear, measures_of, permit_by_id, state_by_dates
from retrofit_desk.services.visits import free_tasks
from retrofit_desk.values.dates import day_text

__all__ = ["PermitEndService", "PermitState"]


class PermitEndService:
    """Every change is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def close(self, permit_id: int, on: date, certificate: Path | None = None) -> HoldEffect:
        """The office closed it. Raises `ResultUnclear` while a visit or a correction is open."""
        with self._project.action("Close a permit") as work:
            session, today = work.session, today_of(work.session)
            row = permit_by_id(session, permit_id)
            _check_close(row, PermitLives(session), on, today)
            before = holds_in(session, today)
            row.state, row.final_on = PermitState.FINAL, row.final_on or on
            if certificate is not None:
                filing = Filing(
                    PaperKind.FINAL_CERTIFICATE,
                    f"Final certificate, {row.title}",
                    on,
                    uses=(Use(PaperSubject.PERMIT, row.id),),
                )
                row.paper_id, _same = file_in(work, certificate, filing)
            for measure in measures_of(session, row):
                advance(session, measure)
            session.flush()
            return effect_between(before, holds_in(session, today), None)

    def withdraw(self, permit_id: int, reason: str) -> HoldEffect:
        """It is given back: its visits are called off, and work that waited for it waits again.

        Raises `ResultUnclear` without a reason, and for a permit that is over.
        """
        with self._project.action("Withdraw a permit") as work:
            session, today = work.session, today_of(work.session)
            row = permit_by_id(session, permit_id)
            if row.state in (PermitState.FINAL, PermitState.WITHDRAWN):
                raise ResultUnclear(f"this permit is {row.state}", where=row.title, kept=NOTHING)
            if not reason.strip():
                raise ResultUnclear("a permit is withdrawn for a reason", where=row.title, do="say why")
            before = holds_in(session, today)
            said = f"Withdrawn {day_text(today)}: {reason.strip()}"
            row.state = PermitState.WITHDRAWN
            row.notes = "\n".join(part for part in (row.notes, said) if part)
            for visit in row.inspections:
                if visit.result is InspectionResult.BOOKED:
                    visit.result, visit.booked_for = InspectionResult.NOT_BOOKED, None
                    visit.booked_window = visit.booking_number = ""
                    free_tasks(session, visit)
            _shut_again(session, row, said)
            session.flush()
            return effect_between(before, holds_in(session, today), None)

    def take_up_again(self, permit_id: int) -> HoldEffect:
        """A withdrawn permit stands again, as far as its dates go. Raises `ResultUnclear` for another one."""
        with self._project.action("Take a permit up again") as work:
            session, today = work.session, today_of(work.session)
            row = permit_by_id(session, permit_id)
            if row.state is not PermitState.WITHDRAWN:
                raise ResultUnclear(f"this permit is {row.state}", where=row.title, kept=NOTHING)
            before = holds_in(session, today)
            row.state = PermitState.NEEDED
            row.state = state_by_dates(row)
            session.flush()
            return effect_between(before, holds_in(session, today), None)


def _check_close(row: m.Permit, lives: PermitLives, on: date, today: date) -> None:
    if row.state not in (PermitState.ISSUED, PermitState.FINAL):
        raise ResultUnclear(f"this permit is {row.state}", where=row.title, kept=NOTHING)
    if lives.state_on(row, on) is PermitState.EXPIRED:
        raise ResultUnclear(
            f"it expired {day_text(lives.lapses_on(row))}",
            where=row.title,
            kept=NOTHING,
            do="write down until when the office extended it, or when it was issued again",
        )
    if on > today:
        raise ResultUnclear(
            f"{day_text(on)} has not come yet", where=row.title, kept=NOTHING, do="check the day"
        )
    if (left := open_inspections(row)) and row.state is not PermitState.FINAL:
        raise ResultUnclear(f"still open: {'; '.join(left)}", where=row.title, kept=NOTHING)


def _shut_again(session: Session, row: m.Permit, said: str) -> None:
    """Work that began under this permit and is not in place may not go on without another look."""
    holds = session.scalars(
        select(m.Hold)
        .join(m.HoldNeed)
        .where(
            m.HoldNeed.kind == NeedKind.PERMIT,
            m.HoldNeed.permit_id == row.id,
            m.Hold.action == HoldAction.START,
            m.Hold.done_on.is_not(None),
        )
    ).unique()
    for hold in holds:
        measure = session.get(m.Measure, hold.measure_id) if hold.measure_id else None
        if measure is not None and measure.state in (m.MeasureState.COMMITTED, m.MeasureState.UNDER_WAY):
            hold.done_on = None
            hold.because = "\n".join(part for part in (hold.because, said) if part)
