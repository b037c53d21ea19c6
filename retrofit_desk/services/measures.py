"""The register of measures: what each is, how far it is, what lets it move on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_in
from retrofit_desk.rules import states
from retrofit_desk.rules.states import MeasureState, MoveAnswer
from retrofit_desk.services.account_closing import is_used
from retrofit_desk.services.budget import committed_of
from retrofit_desk.services.days import today_of
from retrofit_desk.services.holds import HoldView, holds_in
from retrofit_desk.services.measure_facts import facts_of
from retrofit_desk.services.usual_holds import take_usual
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import Found, PageKey, Place
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.stated import StatedValue


class MeasureGone(DeskError):
    """A measure is asked for that is no longer recorded."""


class CannotMove(DeskError):
    """The record does not yet support the state asked for."""


@dataclass(frozen=True)
class MeasureRow:
    """One line of the register. `notches`: how many of the seven are cut."""

    id: int
    key: str
    kind: str
    title: str
    state: MeasureState
    notches: int
    position: int
    in_line_up: bool
    rooms: tuple[str, ...]
    cost_cents: StatedValue[int]
    cost_is_contract: bool
    blocked: int
    placed_in_service_on: date | None
    own_work: bool


@dataclass(frozen=True)
class StateLine:
    """One step of the past."""

    on: date
    before: MeasureState | None
    after: MeasureState
    reason: str


@dataclass(frozen=True)
class ItemLine:
    """A product as fitted."""

    product: str
    make: str
    model: str
    serial: str
    quantity: str


@dataclass(frozen=True)
class TestLine:
    """A test on site in the units shown; `sentence` is what the rule says about it."""

    __test__ = False

    quantity: str
    found: str
    limits: str
    limit_source: str
    how: str
    """Medium, gauge and witness, as far as they were said."""
    passed: bool | None
    sentence: str


@dataclass(frozen=True)
class EntrySheet:
    """One write-up of work."""

    id: int
    worked_on: date
    who: str
    firm: str
    hours: StatedValue[float]
    notes: str
    change_from_plan: str
    still_open: str
    is_draft: bool
    is_complete: bool
    rooms: tuple[str, ...]
    inside: tuple[str, ...]
    covered: tuple[str, ...]
    """What was closed with this work."""
    items: tuple[ItemLine, ...]
    settings: tuple[tuple[str, str], ...]
    tests: tuple[TestLine, ...]


@dataclass(frozen=True)
class MeasureSheet:
    """One measure with all that is known of it."""

    row: MeasureRow
    why: str
    notes: str
    needs_permit: bool
    places: tuple[Found, ...]
    replaced_by: str
    history: tuple[StateLine, ...]
    entries: tuple[EntrySheet, ...]
    quotes: tuple[Found, ...]
    contracts: tuple[Found, ...]
    permits: tuple[Found, ...]
    papers: tuple[Found, ...]
    holds: tuple[HoldView, ...]
    next_move: MoveAnswer | None
    may_reopen: bool
    cost_range_cents: tuple[int | None, int | None]
    cost_source: str
    cost_as_of: date | None


class MeasureService:
    """Reads and moves measures; every move is one step that undo takes back."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def rows(self) -> tuple[MeasureRow, ...]:
        """All measures in the order of the line-up."""
        with self._project.session() as session:
            holds = holds_in(session, today_of(session))
            return tuple(row_of(session, measure, holds) for measure in _measures(session))

    def kinds(self) -> tuple[tuple[str, str], ...]:
        """Every kind of measure, (key, title), by title."""
        from retrofit_desk.estimate.measures import kinds

        return tuple(sorted(((one.key, one.title) for one in kinds().values()), key=lambda one: one[1]))

    def sheet(self, measure_id: int, units: Units = Units.US) -> MeasureSheet:
        """One measure, its tests in these units. Raises `MeasureGone`."""
        with self._project.session() as session:
            from retrofit_desk.services.measure_sheet import sheet_of

            holds = holds_in(session, today_of(session))
            return sheet_of(session, _measure(session, measure_id), holds, units)

    def move(self, measure_id: int, after: MeasureState, *, reason: str = "") -> None:
        """Move on or back by the one-line rules. Raises `CannotMove` naming what is missing."""
        with self._project.action(f"Move a measure to “{after}”") as work:
            measure = _measure(work.session, measure_id)
            answer = states.may_move(measure.state, after, facts_of(work.session, measure), reason=reason)
            if not answer.is_allowed:
                raise CannotMove(answer.sentence.rstrip("."), where=measure.title, kept="nothing was changed")
            move_in(measure, after, today_of(work.session), reason)

    def accept_work(self, measure_id: int) -> None:
        """The owner accepts what is in place, where no permit is needed: that signs it off."""
        with self._project.action("Accept the work") as work:
            measure = _measure(work.session, measure_id)
            today = today_of(work.session)
            measure.owner_accepted_on = today
            answer = states.may_move(measure.state, MeasureState.SIGNED_OFF, facts_of(work.session, measure))
            if not answer.is_allowed:
                raise CannotMove(answer.sentence.rstrip("."), where=measure.title, kept="nothing was changed")
            move_in(measure, MeasureState.SIGNED_OFF, today, "accepted by the owner")

    def set_order(self, measure_ids: Sequence[int]) -> None:
        """Put the line-up into this order."""
        with self._project.action("Change the line-up") as work:
            for position, measure_id in enumerate(measure_ids):
                _measure(work.session, measure_id).position = position

    def set_in_line_up(self, measure_id: int, is_in: bool) -> None:
        """Count a measure in the savings sum, at its place, or leave it out."""
        with self._project.action("Take a measure in" if is_in else "Leave a measure out") as work:
            _measure(work.session, measure_id).in_line_up = is_in

    def add(
        self,
        kind: str,
        title: str,
        why: str = "",
        *,
        own_work: bool = False,
        usual_holds: Sequence[str] = (),
    ) -> int:
        """Write a new idea down; it stands last. `usual_holds`: keys of the usual holds it gets at once.

        Raises `CannotMove` without a title, and for the end of a fuel that the house does not have.
        """
        if not title.strip():
            raise CannotMove("a measure needs a title", do="say in a few words what is done to the house")
        with self._project.action(f"Add {title}") as work:
            _check_fuel(work.session, kind, title)
            last = max((row.position for row in _measures(work.session)), default=-1)
            keys = {row.key for row in _measures(work.session)}
            stem = "-".join(title.casefold().split())[:40]
            key = next(name for number in range(1000) if (name := f"{stem}-{number}") not in keys)
            measure = m.Measure(
                key=key, kind=kind, title=title.strip(), why=why, position=last + 1, own_work=own_work
            )
            measure.changes.append(
                m.MeasureStateChange(before=None, after=MeasureState.IDEA, on=today_of(work.session))
            )
            measure.in_line_up = False
            work.session.add(measure)
            take_usual(work.session, tables_in(work.session), measure, usual_holds)
            return measure.id

    def cost_it(self, measure_id: int, cost_cents: StatedValue[int], source: str) -> None:
        """File the owner's own costing; an idea becomes priced by it."""
        with self._project.action("Cost a measure") as work:
            measure = _measure(work.session, measure_id)
            measure.set_stated("cost_cents", cost_cents)
            measure.cost_source, measure.cost_as_of = source, today_of(work.session)
            advance(work.session, measure)


def move_in(measure: m.Measure, after: MeasureState, on: date, reason: str) -> None:
    """Inside an action: note the step and take it."""
    measure.changes.append(m.MeasureStateChange(before=measure.state, after=after, on=on, reason=reason))
    measure.state = after
    if after is MeasureState.IN_PLACE and measure.placed_in_service_on is None:
        measure.placed_in_service_on = on


def advance(session: Session, measure: m.Measure) -> MeasureState:
    """Inside an action: move a measure as far forward as its evidence goes, never back. Returns the state."""
    session.flush()
    facts = facts_of(session, measure)
    goal = states.supported_state(facts)
    ahead = goal in states.PATH and states.notches(goal) > states.notches(measure.state)
    if ahead and states.may_move(measure.state, goal, facts).is_allowed:
        move_in(measure, goal, today_of(session), states.RULES[goal])
    return measure.state


def _check_fuel(session: Session, kind: str, title: str) -> None:
    from retrofit_desk.estimate.measures import kinds
    from retrofit_desk.estimate.plant_from_records import FUELS

    ends = kinds()[kind].ends_fuel if kind in kinds() else None
    fuel = next((one for one, name in FUELS.items() if name == ends), None)
    if fuel is not None and not is_used(session, fuel):
        raise CannotMove(
            f"no meter, account or machine on record uses {fuel}, so there is none to close",
            where=title,
            kept="nothing was changed",
            do="record the meter first, or choose another kind",
        )


def _measures(session: Session) -> list[m.Measure]:
    query = (
        select(m.Measure).options(selectinload(m.Measure.places)).order_by(m.Measure.position, m.Measure.id)
    )
    return list(session.scalars(query))


def _measure(session: Session, measure_id: int) -> m.Measure:
    measure = session.get(m.Measure, measure_id)
    if measure is None:
        raise MeasureGone("this measure is no longer recorded", do="undo, or choose another one")
    return measure


def row_of(session: Session, measure: m.Measure, holds: Sequence[HoldView]) -> MeasureRow:
    """One line of the register."""
    before = [change.before for change in measure.changes if change.before is not None]
    cost, is_contract = cost_of(session, measure)
    blocked = [one for one in holds if one.measure_id == measure.id and not one.is_done]
    return MeasureRow(
        id=measure.id,
        key=measure.key,
        kind=measure.kind,
        title=measure.title,
        state=measure.state,
        notches=states.notches(measure.state, before[-1] if before else MeasureState.IDEA),
        position=measure.position,
        in_line_up=measure.in_line_up,
        rooms=tuple(dict.fromkeys(place.room.name for place in measure.places if place.room is not None)),
        cost_cents=cost,
        cost_is_contract=is_contract,
        blocked=sum(1 for one in blocked if not one.answer.may_go_on),
        placed_in_service_on=measure.placed_in_service_on,
        own_work=measure.own_work,
    )


def cost_of(session: Session, measure: m.Measure) -> tuple[StatedValue[int], bool]:
    """What the measure costs: what is committed for it, else the owner's costing; whether it is committed."""
    committed = committed_of(session, measure)
    return (committed, True) if committed.is_known else (measure.stated("cost_cents"), False)


def measure_place(measure_id: int) -> Place:
    return Place(PageKey.MEASURES, "measure", measure_id)
