"""Recording what was found: a hazard that stops work makes its holds, and its clearance frees them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.holds import HoldSubject
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_of
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.rules.hazards import HazardKind, HazardState, stopped_actions, touches
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.days import today_of
from retrofit_desk.services.hazards import WORK_AHEAD
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

SETTLED = (HazardState.NOT_FOUND, HazardState.CLEARED)
NOT_STATED_CENTS: StatedValue[int] = StatedValue(None, Stated.NOT_STATED)


class HazardUnclear(DeskError):
    """A find that cannot be recorded as it stands."""


@dataclass(frozen=True)
class WrittenFind:
    """What was seen. `measure_id` none: it concerns every work ahead that the table says it touches."""

    kind: str
    where: str
    state: HazardState
    seen_on: date
    measure_id: int | None = None
    room_id: int | None = None
    stops_work: bool = True
    cost_cents: StatedValue[int] = NOT_STATED_CENTS
    notes: str = ""
    paper: Path | None = None


@dataclass(frozen=True)
class Settlement:
    """How it was settled: by whom, and the paper that says so."""

    state: HazardState
    on: date
    by: str
    paper: Path | None = None


@dataclass(frozen=True)
class HazardChoices:
    """What the form offers; `kinds` are (key, name, whether it stops work), the others (id, name)."""

    today: date
    kinds: tuple[tuple[str, str, bool], ...]
    measures: tuple[tuple[int, str], ...]
    rooms: tuple[tuple[int, str], ...]


class HazardEntryService:
    """Every find and every clearance is one undo step."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def choices(self) -> HazardChoices:
        with self._project.session() as session:
            rooms = session.scalars(select(m.Room).order_by(m.Room.id))
            return HazardChoices(
                today_of(session),
                tuple((one.key, one.name, one.stops_work) for one in self._kinds()),
                tuple((one.id, one.title) for one in _ahead(session)),
                tuple((room.id, room.name) for room in rooms),
            )

    def record(self, told: WrittenFind) -> HoldEffect:
        """Record a find; one that stops work shuts what it touches. Raises `HazardUnclear`."""
        kind = self._kind(told.kind)
        with self._project.action(f"Record a find: {kind.name}") as work:
            session = work.session
            today = today_of(session)
            if told.seen_on > today:
                raise HazardUnclear("the day lies ahead", where=kind.name, do="correct the date")
            if told.state in SETTLED:
                _needs_paper(told.paper, kind)
            before = holds_in(session, today)
            row = m.HazardFinding(
                kind=told.kind,
                where=told.where.strip(),
                room_id=told.room_id,
                measure_id=told.measure_id,
                state=told.state,
                seen_on=told.seen_on,
                stops_work=told.stops_work,
                notes=told.notes.strip(),
            )
            row.set_stated("cost_cents", told.cost_cents)
            session.add(row)
            session.flush()
            if told.stops_work and told.state not in SETTLED:
                session.add_all(_holds_for(session, row, kind, today))
                session.flush()
            if told.paper is not None:
                row.paper_id = _file(work, row, kind, told.paper, told.seen_on, frees=False)
            if told.state in SETTLED:
                row.settled_on = told.seen_on
            return effect_between(before, holds_in(session, today), told.measure_id)

    def settle(self, find_id: int, told: Settlement) -> HoldEffect:
        """`CLEARED` and `NOT_FOUND` free the work and need their paper. Raises `HazardUnclear`."""
        with self._project.action("Settle a find") as work:
            session = work.session
            row = session.get(m.HazardFinding, find_id)
            if row is None:
                raise HazardUnclear("this find is no longer recorded", do="undo, or look at the list again")
            kind, today = self._kind(row.kind), today_of(session)
            if told.on > today:
                raise HazardUnclear("the day lies ahead", where=kind.name, do="correct the date")
            before = holds_in(session, today)
            frees = told.state in SETTLED
            if frees:
                _needs_paper(told.paper, kind)
                if not told.by.strip():
                    raise HazardUnclear(
                        "nobody is named",
                        where=kind.name,
                        do="name who tested or cleared it, and the license",
                    )
                row.settled_on, row.settled_by = told.on, told.by.strip()
                for hold in _holds_of(session, row):
                    hold.because = f"{kind.name}: {told.state}, {row.settled_by}, {day_text(told.on)}."
            row.state = told.state
            if told.paper is not None:
                row.paper_id = _file(work, row, kind, told.paper, told.on, frees=frees)
            if not frees and row.stops_work and not _holds_of(session, row):
                session.add_all(_holds_for(session, row, kind, today))
            session.flush()
            return effect_between(before, holds_in(session, today), row.measure_id)

    def _kinds(self) -> tuple[HazardKind, ...]:
        return tables_of(self._project).hazards

    def _kind(self, key: str) -> HazardKind:
        found = next((one for one in self._kinds() if one.key == key), None)
        if found is None:
            raise HazardUnclear(f"no hazard '{key}' in the table", do="choose another one")
        return found


def _needs_paper(paper: Path | None, kind: HazardKind) -> None:
    if paper is None:
        raise HazardUnclear(
            "only a paper says that it is gone",
            where=kind.name,
            kept="nothing was changed",
            do=f"name the file; work goes on once {kind.clearance}",
        )


def _ahead(session: Session) -> Sequence[m.Measure]:
    query = select(m.Measure).where(m.Measure.state.in_(WORK_AHEAD))
    return session.scalars(query.order_by(m.Measure.position, m.Measure.id)).all()


def _holds_for(session: Session, row: m.HazardFinding, kind: HazardKind, today: date) -> Iterator[m.Hold]:
    """Holds on every work it touches: not begun may not start; begun, nothing is taken out or covered."""
    where = f" ({row.where})" if row.where else ""
    for measure in _ahead(session):
        mine = row.measure_id == measure.id if row.measure_id else touches(kind, measure.kind)
        if not mine:
            continue
        for action in stopped_actions(has_begun=measure.state is MeasureState.UNDER_WAY):
            need = m.HoldNeed(
                kind=NeedKind.PAPER,
                text=f"{kind.clearance}{where}",
                paper_kind=str(PaperKind.HAZARD_REPORT),
            )
            yield m.Hold(
                key=f"{_key(row)}-{action}-{measure.id}",
                action=action,
                what=f"{_ALL_OF.get(action, 'anything of ')}{measure.title}",
                subject=HoldSubject.MEASURE,
                subject_id=measure.id,
                measure_id=measure.id,
                because=f"{kind.name} was found. {kind.caution}"
                if row.state is HazardState.FOUND
                else f"{kind.name}: {row.state}. {kind.caution}",
                source=", ".join(part for part in (kind.origin.source, kind.origin.confidence) if part),
                template_key=f"hazard:{kind.key}",
                made_on=today,
                needs=[need],
            )


_ALL_OF = {HoldAction.START: ""}


def _key(row: m.HazardFinding) -> str:
    return f"hazard-{row.id}"


def _holds_of(session: Session, row: m.HazardFinding) -> Sequence[m.Hold]:
    return session.scalars(
        select(m.Hold).where(m.Hold.key.startswith(f"{_key(row)}-", autoescape=True))
    ).all()


def _file(work: Work, row: m.HazardFinding, kind: HazardKind, path: Path, on: date, *, frees: bool) -> int:
    uses = [Use(PaperSubject.MEASURE, row.measure_id)] if row.measure_id else []
    if row.room_id:
        uses.append(Use(PaperSubject.ROOM, row.room_id))
    if frees:
        needs = [need for hold in _holds_of(work.session, row) for need in hold.needs]
        uses += [Use(PaperSubject.HOLD_NEED, need.id) for need in needs]
    title = f"{kind.name}, {row.where}: {row.state}" if row.where else f"{kind.name}: {row.state}"
    paper_id, _same = file_in(work, path, Filing(PaperKind.HAZARD_REPORT, title, on, uses=tuple(uses)))
    return paper_id
