"""Writing up the work: one sitting, one step, and at once what it frees or still blocks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_in
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.days import now_of, today_of, zone_of
from retrofit_desk.services.holds import HoldEffect, effect_between, holds_in, pass_for_work
from retrofit_desk.services.inside import WrittenHidden, mark_in
from retrofit_desk.services.measures import advance
from retrofit_desk.services.papers import Filing, FilingChoices, PaperService, Use, file_in
from retrofit_desk.services.site_tests import (
    TestTemplate,
    WrittenTest,
    recorded,
    settle,
    templates_for,
)
from retrofit_desk.services.usual_holds import take_by_itself
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.stated import Stated, StatedValue

NOT_STATED: StatedValue[float] = StatedValue(None, Stated.NOT_STATED)
KEPT = "the entry was kept half finished"


class EntryUnclear(DeskError):
    """A write-up that cannot be recorded as it stands."""


@dataclass(frozen=True)
class WrittenPlace:
    """Where the work was done; a surface belongs to its room. `is_covered`: it was closed with this work."""

    room_id: int
    surface_id: int | None = None
    inside: str = ""
    is_covered: bool = False


@dataclass(frozen=True)
class WrittenItem:
    """A product as fitted, with what its plate says."""

    product: str
    make: str = ""
    model: str = ""
    serial: str = ""
    quantity: float | None = None
    unit: str = ""


@dataclass(frozen=True)
class WrittenSetting:
    name: str
    value: str


@dataclass(frozen=True)
class WrittenPhoto:
    """A photo taken during the work, filed with the entry."""

    path: Path
    title: str
    room_id: int | None = None
    surface_id: int | None = None
    direction: m.Direction | None = None
    tape_in_view: bool = False
    answers_need_id: int | None = None


@dataclass(frozen=True)
class WriteUp:
    """A day's work on one measure as the owner tells it.

    `hidden`: what lies inside walls and floors since. `reason`: why work went on past a hold that was shut.
    """

    measure_id: int
    worked_on: date
    who: str
    firm_id: int | None = None
    hours: StatedValue[float] = NOT_STATED
    notes: str = ""
    change_from_plan: str = ""
    still_open: str = ""
    is_complete: bool = False
    places: tuple[WrittenPlace, ...] = ()
    items: tuple[WrittenItem, ...] = ()
    settings: tuple[WrittenSetting, ...] = ()
    tests: tuple[WrittenTest, ...] = ()
    photos: tuple[WrittenPhoto, ...] = ()
    hidden: tuple[WrittenHidden, ...] = ()
    reason: str = ""


@dataclass(frozen=True)
class WrittenUp:
    """The answer: the entry, the state before and after, what it frees and still blocks."""

    entry_id: int
    before: MeasureState
    after: MeasureState
    effect: HoldEffect


@dataclass(frozen=True)
class WriteUpChoices:
    """What the form offers for one measure; `firms` are (id, name)."""

    title: str
    firms: tuple[tuple[int, str], ...]
    filing: FilingChoices
    tests: tuple[TestTemplate, ...]
    waiting: tuple[str, ...]


class WorkLogService:
    """Records write-ups of work."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def today(self) -> date:
        with self._project.session() as session:
            return today_of(session)

    def choices(self, measure_id: int) -> WriteUpChoices:
        """Firms, rooms, holds and tests that the form offers. Raises `EntryUnclear` for no such measure."""
        filing = PaperService(self._project).choices()
        with self._project.session() as session:
            measure = session.get(m.Measure, measure_id)
            if measure is None:
                raise EntryUnclear("this measure is no longer recorded", do="choose another one")
            firms = session.scalars(select(m.Firm).order_by(m.Firm.name))
            holds = holds_in(session, today_of(session))
            waiting = [
                view.sentence
                for view in holds
                if view.measure_id == measure_id and not view.is_done and not view.answer.is_free
            ]
            return WriteUpChoices(
                title=measure.title,
                firms=tuple((firm.id, firm.name) for firm in firms),
                filing=filing,
                tests=templates_for(session, measure),
                waiting=tuple(waiting),
            )

    def record(self, told: WriteUp) -> WrittenUp:
        """One action: entry, items, tests, photos, marks, and the state they support.

        Raises `EntryUnclear`, `MarkUnclear`, and `NotYet` when work went past a shut hold without a reason.
        """
        with self._project.action("Write up the work") as work:
            session = work.session
            measure = _checked(session, told)
            today = today_of(session)
            before_holds, before = holds_in(session, today), measure.state
            entry = _entry(told, now_of(session))
            entry.tests = [recorded(one, told.worked_on, zone_of(session)) for one in told.tests]
            measure.entries.append(entry)
            _name_hidden_places(session, told, entry)
            _name_places(measure, entry)
            session.flush()
            for one in told.hidden:
                mark_in(session, one, entry, KEPT)
            for photo in told.photos:
                file_in(work, photo.path, _filing(photo, told, entry))
            settle(session, {test.id for test in entry.tests})
            _go_past_holds(session, told)
            after = advance(session, measure)
            take_by_itself(session, tables_in(session), measure)
            effect = effect_between(before_holds, holds_in(session, today), measure.id)
            return WrittenUp(entry.id, before, after, effect)


def _checked(session: Session, told: WriteUp) -> m.Measure:
    measure = session.get(m.Measure, told.measure_id)
    if measure is None:
        raise EntryUnclear("the work belongs to no measure", kept=KEPT, do="choose a measure")
    where, kept = measure.title, KEPT
    if not told.who.strip():
        raise EntryUnclear("nobody is named", where=where, kept=kept, do="say who did the work")
    if any(not test.quantity.strip() for test in told.tests):
        raise EntryUnclear("a test has no name", where=where, kept=kept, do="say what was tested")
    if told.worked_on > today_of(session):
        raise EntryUnclear("the day lies ahead", where=where, kept=kept, do="correct the date")
    if measure.state.is_over:
        raise EntryUnclear(
            f"the measure was {measure.state}", where=where, kept=kept, do="take it up again first"
        )
    return measure


def _name_hidden_places(session: Session, told: WriteUp, entry: m.WorkEntry) -> None:
    """What was marked in a face was done there."""
    named = {place.surface_id for place in entry.places}
    for surface_id in dict.fromkeys(one.surface_id for one in told.hidden):
        surface = session.get(m.Surface, surface_id)
        if surface is not None and surface_id not in named:
            entry.places.append(m.WorkPlace(room_id=surface.room_id, surface_id=surface_id))


def _name_places(measure: m.Measure, entry: m.WorkEntry) -> None:
    """Where work was done, the measure is."""
    known = {(one.room_id, one.surface_id) for one in measure.places}
    for place in entry.places:
        if (place.room_id, place.surface_id) not in known:
            known.add((place.room_id, place.surface_id))
            measure.places.append(m.MeasurePlace(room_id=place.room_id, surface_id=place.surface_id))


def _go_past_holds(session: Session, told: WriteUp) -> None:
    """Last of all, for the day's own tests and photos may be what a hold waits for."""
    covered = [(place.room_id, place.surface_id) for place in told.places if place.is_covered]
    pass_for_work(
        session,
        told.measure_id,
        covered,
        on=told.worked_on,
        reason=told.reason,
        by=told.who.strip(),
        kept=KEPT,
    )


def _entry(told: WriteUp, now: datetime) -> m.WorkEntry:
    entry = m.WorkEntry(
        worked_on=told.worked_on,
        written_at=now,
        who=told.who.strip(),
        firm_id=told.firm_id,
        notes=told.notes,
        change_from_plan=told.change_from_plan,
        still_open=told.still_open,
        is_complete=told.is_complete,
        places=[
            m.WorkPlace(
                room_id=one.room_id,
                surface_id=one.surface_id,
                what_is_inside=one.inside,
                covered_on=told.worked_on if one.is_covered else None,
            )
            for one in told.places
        ],
        items=[_item(one) for one in told.items],
        settings=[m.MachineSetting(name=one.name, value=one.value) for one in told.settings],
    )
    entry.set_stated("hours", told.hours)
    return entry


def _item(one: WrittenItem) -> m.InstalledItem:
    return m.InstalledItem(
        product=one.product,
        make=one.make,
        model=one.model,
        serial=one.serial,
        quantity=one.quantity,
        unit=one.unit,
    )


def _filing(photo: WrittenPhoto, told: WriteUp, entry: m.WorkEntry) -> Filing:
    uses = [Use(m.PaperSubject.WORK_ENTRY, entry.id)]
    uses += [
        Use(m.PaperSubject.TEST, row.id)
        for test, row in zip(told.tests, entry.tests, strict=True)
        if test.photo == photo.path
    ]
    if photo.surface_id is not None:
        uses.append(Use(m.PaperSubject.SURFACE, photo.surface_id))
    elif photo.room_id is not None:
        uses.append(Use(m.PaperSubject.ROOM, photo.room_id))
    if photo.answers_need_id is not None:
        uses.append(Use(m.PaperSubject.HOLD_NEED, photo.answers_need_id))
    return Filing(
        kind=m.PaperKind.PHOTO,
        title=photo.title,
        on_paper=told.worked_on,
        uses=tuple(uses),
        direction=photo.direction,
        tape_in_view=photo.tape_in_view,
    )


def serial_from_name(path: Path) -> str:
    """A serial number that stands in a file name after `serial` or `sn`; empty when there is none."""
    words = path.stem.replace("=", " ").replace("_", " ").split()
    for word, following in pairwise(words):
        if word.casefold() in {"serial", "sn", "s/n"}:
            return following
    return ""
