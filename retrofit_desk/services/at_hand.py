"""At hand: what can be done now, what may not be done yet, what is with others, what runs out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.tasks import TaskKind
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_in
from retrofit_desk.rules import states
from retrofit_desk.rules.deadlines import EndKind
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.dated_steps import ScheduleView, StepRow
from retrofit_desk.services.days import today_of
from retrofit_desk.services.endings import EndingLine, endings_in
from retrofit_desk.services.holds import HoldView, holds_in
from retrofit_desk.services.paper_checks import PaperCheck, mismatches
from retrofit_desk.services.payment_day import Payable, payables
from retrofit_desk.services.permit_dates import EXPIRED
from retrofit_desk.services.permit_sheet import PermitReader, PermitSheet, VisitSheet
from retrofit_desk.services.schedule import schedule_in
from retrofit_desk.services.signing import LOST, unreserved_in
from retrofit_desk.services.waits import Waiting, waits_in
from retrofit_desk.values.dates import day_text, weekday
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import count_text

NO_PRESSURE_DAYS = 30
"""Where a visit stands that the schedule does not know. Common practice, no source."""

NOBODY = frozenset({"the weather", "time"})
"""With whom a wait is that nobody can be asked about."""

PUT_RIGHT = "Ask whoever wrote it for a corrected one, or correct the record."


@dataclass(frozen=True)
class ReadyLine:
    """Something that can be done now. `task_id`: what "Done" finishes; none where a page asks for more.

    `asks_task_id`: the wait that begins once its question is asked.

    `days_to_spare` none: the schedule does not speak of it.
    `booked_in_days`: days until somebody comes, for a booked visit. `days_left`: until a last day.
    """

    title: str
    why: str
    days_to_spare: int | None
    is_late: bool
    task_id: int | None
    place: Place
    booked_in_days: int | None = None
    days_left: int | None = None
    asks_task_id: int | None = None

    @property
    def presses_in_days(self) -> int:
        """The soonest of a booked visit, a last day and the days to spare."""
        said = (self.booked_in_days, self.days_left, self.days_to_spare)
        known = [days for days in said if days is not None]
        return min(known, default=NO_PRESSURE_DAYS)


@dataclass(frozen=True)
class NotYetLine:
    """A step that waits: the sentence says until when, `frees` what its rule is for."""

    sentence: str
    frees: str
    place: Place


@dataclass(frozen=True)
class AtHand:
    """The one list, as of `today`."""

    today: date
    ready: tuple[ReadyLine, ...]
    not_yet: tuple[NotYetLine, ...]
    with_others: tuple[Waiting, ...]
    runs_out: tuple[EndingLine, ...]


class AtHandService:
    """Reads only; everything here is dealt with where it belongs."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def look(self) -> AtHand:
        """Raises `CircularPlan` when steps wait for each other."""
        with self._project.session() as session:
            today = today_of(session)
            tables = tables_in(session)
            holds = holds_in(session, today)
            schedule = schedule_in(self._project, session, today, holds)
            visits = _visits(session, tables, holds, today)
            money = payables(session, today, holds)
            wrong = mismatches(session)
            runs_out = endings_in(session, tables, today)
            return AtHand(
                today=today,
                ready=_in_order([*_ready(schedule, visits, money, wrong), *_to_send(runs_out)]),
                not_yet=(*_to_sign(session, tables, today), *_not_yet(schedule, holds, visits, money)),
                with_others=waits_in(session, tables, schedule),
                runs_out=runs_out,
            )


@dataclass(frozen=True)
class _Visits:
    """Every visit by its id; `timely` are those whose work is far enough for the inspector to come.

    `expired`: permits that ran out with something still open under them.
    """

    sheets: dict[int, VisitSheet]
    timely: frozenset[int]
    expired: tuple[PermitSheet, ...]


def _visits(session: Session, tables: Tables, holds: tuple[HoldView, ...], today: date) -> _Visits:
    reader = PermitReader(session, tables, holds, today)
    reached = {row.id: states.notches(row.state) for row in session.scalars(select(m.Measure))}
    sheets: dict[int, VisitSheet] = {}
    timely = set()
    permits = [sheet for office in reader.authorities() for sheet in office.permits]
    for permit in permits:
        notches = [reached[one.place.item] for one in permit.measures if one.place.item in reached]
        for visit in permit.visits:
            sheets[visit.id] = visit
            needed = _FINAL_AT if visit.is_final else _ROUGH_AT
            if notches and (min if visit.is_final else max)(notches) >= needed:
                timely.add(visit.id)
    expired = tuple(one for one in permits if one.has_lapsed)
    return _Visits(sheets, frozenset(timely), expired)


_ROUGH_AT = states.notches(MeasureState.UNDER_WAY)
_FINAL_AT = states.notches(MeasureState.IN_PLACE)


def _ready(
    schedule: ScheduleView,
    visits: _Visits,
    money: tuple[Payable, ...],
    wrong: tuple[PaperCheck, ...],
) -> list[ReadyLine]:
    """Work free to begin, waits to be asked for, visits, payments due, papers to have put right."""
    today = schedule.today
    lines = [_pay_line(one, today) for one in money if not one.waits_for and not one.is_told]
    lines += [_renew_line(one) for one in visits.expired]
    lines += [
        ReadyLine(
            one.title, f"{one.line[:1].upper()}{one.line[1:]}. {PUT_RIGHT}", None, False, None, one.place
        )
        for one in wrong
    ]
    lines += [
        _visit_line(visit, None, False, today)
        for visit in _without_step(schedule, visits)
        if visit.result is InspectionResult.BOOKED or (visit.may_book and visit.id in visits.timely)
    ]
    for step in schedule.open_steps:
        if step.waits_for or step.kind is TaskKind.MILESTONE:
            continue
        if step.not_before is not None and step.not_before > schedule.today:
            continue
        visit = visits.sheets.get(step.inspection_id or 0)
        if step.is_wait:
            lines += [] if step.is_started or not step.with_whom else [_ask_line(step, today)]
        elif visit is not None:
            if visit.result is InspectionResult.BOOKED or visit.may_book:
                lines.append(_visit_line(visit, step.days_to_spare, _is_late(step, today), today))
        elif step.hold is None or step.hold.answer.may_go_on:
            lines.append(_step_line(step, today))
    return lines


def _in_order(lines: list[ReadyLine]) -> tuple[ReadyLine, ...]:
    """What presses most first."""
    return tuple(sorted(lines, key=lambda line: (line.presses_in_days, line.title)))


def _ask_line(step: StepRow, today: date) -> ReadyLine:
    """A wait that can begin: the sooner it is asked for, the sooner it is over."""
    usual = f"takes {count_text(step.days, 'day')}"
    if step.days_low is not None and step.days_high is not None:
        usual += f", {step.days_low:g} to {step.days_high:g}"
    parts = [step.measure, usual, f"ask by {day_text(step.start_by)}", step.presses]
    why = ", ".join(part for part in parts if part)
    asks = step.with_whom.casefold() not in NOBODY
    title = f"Ask {step.with_whom}: {step.title}" if asks else f"Begin to count: {step.title}"
    late = _is_late(step, today)
    return ReadyLine(title, why, step.days_to_spare, late, None, step.place, asks_task_id=step.id)


_TO_SEND = {EndKind.CLAIM_BY: "Send the claim", EndKind.APPEAL_BY: "Send the appeal"}


def _to_send(endings: tuple[EndingLine, ...]) -> list[ReadyLine]:
    """Claims, appeals and registrations whose last day is near: nobody else moves them."""
    lines = []
    for one in endings:
        ending = one.seen.ending
        if one.seen.days_left < 0 or ending.kind not in (*_TO_SEND, EndKind.WARRANTY_REGISTRATION):
            continue
        title = ending.what
        if ending.kind in _TO_SEND:
            title = f"{_TO_SEND[ending.kind]}: {ending.what.partition(': ')[2]}"
        why = f"The last day is {day_text(ending.ends_on)}. {ending.means}".strip()
        left = one.seen.days_left
        lines.append(ReadyLine(title, why, None, one.needs_owner, None, one.place, days_left=left))
    return lines


def _step_line(step: StepRow, today: date) -> ReadyLine:
    parts = [step.measure]
    if step.is_started:
        parts.append("under way")
    if step.firm:
        parts.append(f"by {step.firm}")
    if step.agreed_on is not None:
        parts.append(f"agreed for {day_text(step.agreed_on)}")
    if step.must_end_by is not None:
        parts.append(f"must end by {day_text(step.must_end_by)}")
    if step.presses:
        parts.append(step.presses)
    if step.backups and step.agreed_on is not None and step.agreed_on < today:
        parts.append(f"did not happen; backup: {' or '.join(step.backups)}")
    why = ", ".join(part for part in parts if part)
    notes = f"{why}. {step.notes}" if step.notes else why
    return ReadyLine(step.title, notes, step.days_to_spare, _is_late(step, today), step.id, step.place)


def _without_step(schedule: ScheduleView, visits: _Visits) -> tuple[VisitSheet, ...]:
    """Visits of issued permits that no step of the schedule speaks for."""
    planned = {step.inspection_id for step in schedule.steps}
    return tuple(visit for visit in visits.sheets.values() if visit.id not in planned and not visit.is_over)


def _pay_line(one: Payable, today: date) -> ReadyLine:
    days = (one.due_on - today).days
    return ReadyLine(f"Pay {one.what}", one.why, days, days < 0, None, one.place)


def _renew_line(permit: PermitSheet) -> ReadyLine:
    """An expired permit is the owner's to have back, however long ago it ran out."""
    assert permit.runs_out is not None
    why = f"It expired {day_text(permit.runs_out.ending.ends_on)}. {EXPIRED}"
    title = f"Have it extended or issued again: {permit.title}"
    return ReadyLine(title, why, permit.runs_out.days_left, True, None, permit.place)


def _visit_line(visit: VisitSheet, days_to_spare: int | None, is_late: bool, today: date) -> ReadyLine:
    ready = f" Have ready: {'; '.join(visit.ready)}." if visit.ready else ""
    if visit.result is InspectionResult.BOOKED and visit.booked_for is not None:
        days = (visit.booked_for - today).days
        window = f", {visit.booked_window}" if visit.booked_window else ""
        is_past = days < 0
        title = f"Record the result: {visit.title}" if is_past else f"Be ready for: {visit.title}"
        why = f"Booked for {weekday(visit.booked_for)}, {day_text(visit.booked_for)}{window}."
        return ReadyLine(title, why + ready, days_to_spare, is_past or is_late, None, visit.place, days)
    first = ""
    if visit.earliest is not None:
        first = (
            f" Called now, it comes on {weekday(visit.earliest)}, {day_text(visit.earliest)} at the earliest."
        )
    why = f"Nothing stands in its way.{first}{ready}"
    return ReadyLine(f"Book: {visit.title}", why, days_to_spare, is_late, None, visit.place)


def _is_late(step: StepRow, today: date) -> bool:
    """No day to spare, or the agreed day is over."""
    return step.days_to_spare <= 0 or (step.agreed_on is not None and step.agreed_on < today)


def _to_sign(session: Session, tables: Tables, today: date) -> tuple[NotYetLine, ...]:
    return tuple(
        NotYetLine(sentence, LOST, Place(PageKey.QUOTES, "request", request.id))
        for sentence, request in unreserved_in(session, tables, today)
    )


def _not_yet(
    schedule: ScheduleView,
    holds: tuple[HoldView, ...],
    visits: _Visits,
    money: tuple[Payable, ...],
) -> tuple[NotYetLine, ...]:
    """Payments that wait, holds in the order in which their steps are planned, visits not to be booked."""
    planned = {step.hold.id: step.start for step in schedule.open_steps if step.hold is not None}
    blocking = [one for one in holds if not one.is_done and not one.answer.may_go_on]
    blocking.sort(key=lambda one: (planned.get(one.id, date.max), one.id))
    lines = [
        NotYetLine(f"Not yet: don't pay {one.what} until {' and '.join(one.waits_for)}.", one.why, one.place)
        for one in money
        if one.waits_for and not one.is_told
    ]
    lines += [_not_under(one) for one in visits.expired]
    lines += [NotYetLine(one.sentence, _frees(one), one.place) for one in blocking]
    for step in schedule.open_steps:
        visit = visits.sheets.get(step.inspection_id or 0)
        if visit is None or step.waits_for or visit.is_over or visit.result is InspectionResult.BOOKED:
            continue
        if not visit.may_book:
            sentence = f"Not yet: don't book {visit.title} until {' and '.join(visit.missing)}."
            lines.append(NotYetLine(sentence, step.measure, visit.place))
    return tuple(lines)


def _not_under(permit: PermitSheet) -> NotYetLine:
    until = "until the office extends it in writing or issues it again"
    sentence = f"Not yet: don't go on with the work under {permit.title} {until}."
    return NotYetLine(sentence, "What is done under an expired permit may have to be opened.", permit.place)


def _frees(hold: HoldView) -> str:
    """For which measure, and why the rule is there."""
    because = hold.answer.hold.because.rstrip(".")
    return ". ".join(part for part in (hold.measure_title, because) if part)
