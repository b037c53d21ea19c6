"""Holds of a project: what must wait, what frees it, and going on for a written reason."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.project import Project
from retrofit_desk.rules import holds as rules
from retrofit_desk.rules.holds import HoldAction, HoldAnswer
from retrofit_desk.services.days import now_of, today_of
from retrofit_desk.services.hold_records import (
    HoldRow,
    RecordedHold,
    all_evidence,
    inspection_roots,
    recorded_holds,
)
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import PageKey, Place


class HoldGone(DeskError):
    """A hold is asked for that is no longer recorded."""


class CannotReopen(DeskError):
    """A step that was not done cannot be opened again, and nothing is opened without a reason."""


@dataclass(frozen=True)
class HoldView:
    """A hold as the desk shows it today. `waits_on` are the ids of its open needs."""

    id: int
    measure_id: int | None
    measure_title: str
    subject: HoldSubject
    subject_id: int
    answer: HoldAnswer
    waits_on: tuple[int, ...]
    place: Place

    @property
    def sentence(self) -> str:
        return self.answer.sentence

    @property
    def is_done(self) -> bool:
        return self.answer.hold.done_on is not None


@dataclass(frozen=True)
class HoldEffect:
    """What a step did to the holds, in one sentence each."""

    frees: tuple[str, ...]
    still_blocks: tuple[str, ...]


class HoldService:
    """What may go on, and what may not yet."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def all(self, on: date | None = None) -> tuple[HoldView, ...]:
        """Every hold, as it stands on a day (today if not said)."""
        with self._project.session() as session:
            return holds_in(session, on or today_of(session))

    def blocking(self, on: date | None = None) -> tuple[HoldView, ...]:
        """Holds that say "not yet"."""
        return tuple(view for view in self.all(on) if not view.is_done and not view.answer.may_go_on)

    def of_measure(self, measure_id: int) -> tuple[HoldView, ...]:
        return tuple(view for view in self.all() if view.measure_id == measure_id)

    def of(self, subject: HoldSubject, subject_id: int) -> tuple[HoldView, ...]:
        """Holds on one thing: a wall, a stage of payment, a quote."""
        return tuple(view for view in self.all() if view.subject is subject and view.subject_id == subject_id)

    def overridden(self) -> tuple[HoldView, ...]:
        """Holds that somebody went past for a reason; they stay visible."""
        return tuple(view for view in self.all() if view.answer.hold.override is not None)

    def do_step(self, hold_id: int, *, reason: str = "", by: str = "") -> HoldView:
        """Do the step that the hold protects. Raises `NotYet` when it must wait and no reason is given."""
        with self._project.action("Do what waited") as work:
            pass_hold(work.session, hold_id, today_of(work.session), reason=reason, by=by)
        return next(view for view in self.all() if view.id == hold_id)

    def reopen(self, hold_id: int, reason: str) -> HoldView:
        """What was covered is open again, and waits as before; an override counts no more.

        Raises `HoldGone`, and `CannotReopen` without a reason or when the step was not done.
        """
        with self._project.action("Open again what was done") as work:
            row = work.session.get(m.Hold, hold_id)
            if row is None:
                raise HoldGone("this hold is no longer recorded", do="undo, or look at the list again")
            if row.done_on is None or not reason.strip():
                fault = "it was not done yet" if row.done_on is None else "opening again needs its reason"
                raise CannotReopen(fault, where=row.what, kept="nothing was changed")
            now = now_of(work.session)
            told = f"Opened again {day_text(today_of(work.session))}: {reason.strip()}"
            row.because = "\n".join(part for part in (row.because, told) if part)
            row.done_on = None
            for place in _covered_places(work.session, row):
                place.reopened_on = today_of(work.session) if place.covered_on else None
            for override in row.overrides:
                override.withdrawn_at = override.withdrawn_at or now
        return next(view for view in self.all() if view.id == hold_id)


def holds_in(session: Session, on: date) -> tuple[HoldView, ...]:
    """All holds in the state of this session, answered for one day."""
    known, roots = rules.Known(all_evidence(session)), inspection_roots(session)
    titles = {key: title for key, title in session.execute(select(m.Measure.id, m.Measure.title))}
    return tuple(
        _view(one, rules.answer(one.plain(roots), known, on), titles) for one in recorded_holds(session)
    )


def pass_hold(session: Session, hold_id: int, on: date, *, reason: str = "", by: str = "") -> None:
    """Inside an action: go past one hold and mark it done. Raises `NotYet`, `HoldGone`."""
    row = session.get(m.Hold, hold_id)
    if row is None:
        raise HoldGone("this hold is no longer recorded", do="undo, or look at the list again")
    if row.done_on is None:
        _go_past(session, row, on, reason, by)
        _note_done(session, row, on)


def pass_holds(
    session: Session,
    subject: HoldSubject,
    subject_id: int,
    action: HoldAction,
    *,
    on: date,
    reason: str = "",
    by: str = "",
) -> None:
    """Inside another service's action: go past every hold of this action on this thing, or refuse.

    Raises `NotYet` with the first hold that still blocks when no reason is given. Marks the holds as done.
    """
    rows = session.scalars(
        select(m.Hold).where(
            m.Hold.subject == subject,
            m.Hold.subject_id == subject_id,
            m.Hold.action == action,
            m.Hold.done_on.is_(None),
        )
    ).all()
    for row in rows:
        _go_past(session, row, on, reason, by)
        _note_done(session, row, on)


def pass_for_work(
    session: Session,
    measure_id: int,
    covered: Iterable[tuple[int, int | None]],
    *,
    on: date,
    reason: str,
    by: str,
    kept: str,
) -> None:
    """Inside an action: a day's work goes past what kept it from its start and from covering, or is refused.

    `covered`: (room, surface) of what was closed with it; no surface means all of the room. Raises `NotYet`
    naming everything that was shut on that day when no reason is given.
    """
    closed = tuple(covered)
    rows = [
        row
        for row in session.scalars(select(m.Hold).where(m.Hold.done_on.is_(None)).order_by(m.Hold.id))
        if _keeps_from_work(session, row, measure_id, closed)
    ]
    known, roots = rules.Known(all_evidence(session)), inspection_roots(session)
    answers = [rules.answer(RecordedHold.of(row).plain(roots), known, on) for row in rows]
    shut = [one.sentence for one in answers if not one.may_go_on]
    if shut and not reason.strip():
        raise rules.NotYet(
            " ".join(shut),
            kept=kept,
            do="file what is missing, or write down why the work went on",
        )
    for row in rows:
        _go_past(session, row, on, reason, by)
        if row.action is HoldAction.START or _is_all_closed(session, row, closed):
            _note_done(session, row, on)


def _is_all_closed(session: Session, row: m.Hold, closed: Sequence[tuple[int, int | None]]) -> bool:
    """Whether nothing that this hold keeps open is left: of a room every face that its measure touches."""
    if row.subject is not HoldSubject.ROOM or (row.subject_id, None) in closed:
        return True
    touched = select(m.MeasurePlace.surface_id).where(
        m.MeasurePlace.measure_id == row.measure_id, m.MeasurePlace.room_id == row.subject_id
    )
    covered = select(m.WorkPlace.surface_id).where(
        m.WorkPlace.room_id == row.subject_id,
        m.WorkPlace.covered_on.is_not(None),
        m.WorkPlace.reopened_on.is_(None),
    )
    left = {one for one in session.scalars(touched) if one is not None} - set(session.scalars(covered))
    return not left


def _keeps_from_work(
    session: Session, row: m.Hold, measure_id: int, closed: Sequence[tuple[int, int | None]]
) -> bool:
    of_measure = (row.subject, row.subject_id) == (HoldSubject.MEASURE, measure_id)
    if row.action is HoldAction.START:
        return of_measure
    if row.action is not HoldAction.COVER or not closed:
        return False
    if row.subject is HoldSubject.ROOM:
        return row.subject_id in {room_id for room_id, _surface_id in closed}
    if row.subject is HoldSubject.SURFACE:
        surface = session.get(m.Surface, row.subject_id)
        room_id = surface.room_id if surface is not None else None
        return (room_id, row.subject_id) in closed or (room_id, None) in closed
    return of_measure


def effect_between(
    before: Iterable[HoldView], after: Iterable[HoldView], measure_id: int | None
) -> HoldEffect:
    """What changed between two looks: holds now free, and those concerned that still block."""
    was = {view.id: view for view in before}
    frees, still = [], []
    for view in after:
        old = was.get(view.id)
        if view.is_done:
            continue
        if view.answer.is_free:
            if old is None or not old.answer.is_free:
                frees.append(view.sentence)
        elif view.measure_id == measure_id or (old is not None and old.sentence != view.sentence):
            still.append(view.sentence)
    return HoldEffect(tuple(frees), tuple(still))


def _go_past(session: Session, row: m.Hold, on: date, reason: str, by: str) -> None:
    plain = RecordedHold.of(row).plain(inspection_roots(session))
    today = today_of(session)
    _answer, override = rules.go_on(plain, all_evidence(session), on, reason=reason, by=by, given_on=today)
    if override is not None:
        row.overrides.append(
            m.HoldOverride(
                reason=override.reason,
                by=override.by,
                at=datetime.combine(override.on, datetime.min.time(), UTC),
                missing="\n".join(override.missing),
            )
        )


def _note_done(session: Session, row: m.Hold, on: date) -> None:
    row.done_on = on
    for place in _covered_places(session, row):
        place.covered_on, place.reopened_on = on, None


def _covered_places(session: Session, row: m.Hold) -> Sequence[m.WorkPlace]:
    """Where work was written up on what a hold keeps from being covered."""
    of_subject = {HoldSubject.SURFACE: m.WorkPlace.surface_id, HoldSubject.ROOM: m.WorkPlace.room_id}
    column = of_subject.get(row.subject)
    if row.action is not HoldAction.COVER or column is None:
        return ()
    return session.scalars(select(m.WorkPlace).where(column == row.subject_id)).all()


def _view(one: RecordedHold, answer: HoldAnswer, titles: dict[int, str]) -> HoldView:
    row, open_keys = one.row, {need.need.key for need in answer.open_needs}
    plain = zip(one.needs, answer.hold.needs, strict=True)
    return HoldView(
        id=row.id,
        measure_id=row.measure_id,
        measure_title=titles.get(row.measure_id or 0, ""),
        subject=row.subject,
        subject_id=row.subject_id,
        answer=answer,
        waits_on=tuple(need.id for need, told in plain if told.key in open_keys),
        place=_place(row),
    )


def _place(row: HoldRow) -> Place:
    """Where the hold is dealt with: money waits on Money, everything else with its measure."""
    if row.action is HoldAction.PAY:
        return Place(PageKey.MONEY, "hold", row.id)
    if row.action is HoldAction.SIGN and row.subject is HoldSubject.QUOTE:
        return Place(PageKey.QUOTES, "quote", row.subject_id)
    return Place(PageKey.MEASURES, "measure", row.measure_id)
