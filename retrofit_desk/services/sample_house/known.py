"""When each row of a story became known, and how it read until what came to it later."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from retrofit_desk.records import models as m
from retrofit_desk.records.models.contracts import ContractState
from retrofit_desk.records.models.equipment import EquipmentStatus
from retrofit_desk.records.models.permits import PermitState
from retrofit_desk.records.models.programmes import ClaimState, ReservationState
from retrofit_desk.records.models.quotes import QuoteState
from retrofit_desk.records.models.tasks import TaskKind, TaskState
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.rules.states import BillsAnswer, MeasureState
from retrofit_desk.services.sample_house.story import Story, Told

Columns = dict[str, Any]
Turn = tuple[date, Columns]
"""A day on which something came to a row, and how these columns read until then."""
CALLED_AHEAD = timedelta(days=7)
"""How long before a visit it was booked, where the story does not say."""

_SINCE: dict[type[m.Base], tuple[str, ...]] = {
    m.Bill: ("period_end",),
    m.ChainParty: ("notice_on",),
    m.ChangeOrder: ("on",),
    m.Claim: ("sent_on",),
    m.Contract: ("signed_on",),
    m.DesignLoad: ("made_at",),
    m.EquipmentRating: ("as_of",),
    m.FactNote: ("as_of",),
    m.HazardFinding: ("seen_on",),
    m.Hold: ("made_on",),
    m.HoldOverride: ("at",),
    m.Insurance: ("starts_on",),
    m.Invoice: ("on",),
    m.LaterFigures: ("as_of",),
    m.LeakageTest: ("tested_on",),
    m.License: ("checked_on",),
    m.LienWaiver: ("received_on", "signed_on"),
    m.Loan: ("approved_on",),
    m.LoanDraw: ("asked_on",),
    m.MeasureStateChange: ("on",),
    m.Paper: ("on_paper",),
    m.Payment: ("on",),
    m.Permit: ("applied_on",),
    m.ProgrammeChoice: ("chosen_on",),
    m.ProgrammeListing: ("checked_on",),
    m.Quote: ("quoted_on",),
    m.QuoteQuestion: ("asked_on",),
    m.QuoteRequest: ("asked_on",),
    m.Reservation: ("asked_on",),
    m.ServiceEntry: ("done_on",),
    m.TaskContact: ("on",),
    m.Warranty: ("starts_on",),
    m.WorkEntry: ("written_at",),
}
"""Columns that tell when a row became known, the first stated one; without any, with what it belongs to."""

_LATER: dict[type[m.Base], dict[str, Columns]] = {
    m.ChainParty: {"last_work_on": {}},
    m.ChangeOrder: {"signed_by_owner_on": {}, "signed_by_firm_on": {}},
    m.Claim: {
        "sent_on": {"state": ClaimState.NOT_SENT, "number": ""},
        "answered_on": {"state": ClaimState.SENT, "answer": ""},
        "paid_on": {"state": ClaimState.APPROVED, "paid_cents": None, "answer": ""},
    },
    m.Contract: {"signed_on": {"state": ContractState.DRAFT}},
    m.Correction: {"closed_on": {"how_closed": ""}},
    m.Equipment: {"removed_on": {"status": EquipmentStatus.IN_USE}},
    m.HazardFinding: {"settled_on": {"state": HazardState.SUSPECTED, "settled_by": ""}},
    m.Hold: {"done_on": {}},
    m.HoldNeed: {"answered_on": {}},
    m.Inspection: {"visited_on": {"result": InspectionResult.BOOKED, "visited_at": None, "inspector": ""}},
    m.LoanDraw: {"paid_on": {}},
    m.Measure: {
        "placed_in_service_on": {},
        "owner_accepted_on": {},
        "bills_asked_on": {"bills_answer": BillsAnswer.NOT_ASKED},
        "cost_as_of": {
            "cost_cents": None,
            "cost_low_cents": None,
            "cost_high_cents": None,
            "cost_source": "",
        },
    },
    m.Payment: {"cleared_on": {}},
    m.Permit: {
        "issued_on": {"state": PermitState.APPLIED, "ends_on": None, "idle_days_limit": None},
        "final_on": {"state": PermitState.ISSUED},
    },
    m.QuoteQuestion: {"answered_on": {"answer": ""}},
    m.Reservation: {"held_from": {"state": ReservationState.ASKED, "number": "", "ends_on": None}},
    m.Task: {"since": {"ask_again_on": None}, "started_on": {"state": TaskState.OPEN}},
    m.Warranty: {"registered_on": {}},
    m.WorkPlace: {"covered_on": {}},
}
"""Columns whose day came later than the row, and how others beside them read until that day."""

_BROUGHT_BY: dict[type[m.Base], dict[str, type[m.Base]]] = {
    m.HiddenThing: {"entry_id": m.WorkEntry},
    m.PanelLoad: {"added_by_measure_id": m.Measure},
    m.Paper: {"from_firm_id": m.Firm},
}
"""Links that may be empty; where they are not, the row came with what they name."""
_COME_WITH_FIRM = (m.Insurance, m.Paper)
"""Dated before they were shown: a firm's papers are seen when the firm is met."""


@dataclass
class Known:
    """The days of one story: since when each row is known, and the turns it took afterwards."""

    story: Story

    def __post_init__(self) -> None:
        site = next(told for told in self.story.told if isinstance(told.row, m.Site))
        self.first: date = site.beside["known_on"]
        self._zone = ZoneInfo(site.row.time_zone)  # type: ignore[attr-defined]
        self._told = {_key(told.row): told for told in self.story.told}
        self._links = {model: tuple(_links(model)) for model in {type(told.row) for told in self.story.told}}
        self._since: dict[tuple[str, int], date] = {}
        self._meet_firms()

    def since(self, row: m.Base) -> date:
        """The day on which a row became known; never before what it belongs to."""
        key = _key(row)
        if key not in self._since:
            days = (self.first, self._own_day(self._told[key]), *map(self.since, self._needed(row)))
            self._since[key] = max(day for day in days if day is not None)
        return self._since[key]

    def turns(self, row: m.Base) -> list[Turn]:
        """What came to a row after it became known, the latest first."""
        since = self.since(row)
        found = [(day, before) for day, before in self._all_turns(row) if day > since]
        return sorted(found, key=lambda turn: turn[0])[::-1]  # of one day, too, the last one first

    # since when

    def _own_day(self, told: Told) -> date | None:
        row = told.row
        if stated := told.beside.get("known_on"):
            return stated  # type: ignore[no-any-return]
        if special := _OWN_DAYS.get(type(row)):
            return special(self, row)
        days = (getattr(row, column) for column in _SINCE.get(type(row), ()))
        return next((self._day(day) for day in days if day is not None), None)

    def _day(self, at: date) -> date:
        return at.astimezone(self._zone).date() if isinstance(at, datetime) else at

    def _needed(self, row: m.Base) -> Iterator[m.Base]:
        """The rows without which this one cannot stand in the record."""
        for column, model, is_required in self._links[type(row)]:
            if is_required:
                yield self.story.row(model, getattr(row, column))
        if isinstance(row, m.PaperUse | m.Hold):
            yield self._told[str(row.subject), row.subject_id].row
        for column, model in _BROUGHT_BY.get(type(row), {}).items():
            yield from filter(None, (self.story.row(model, getattr(row, column)),))

    def _meet_firms(self) -> None:
        """A firm becomes known with the first row that names it."""
        firms = {_key(row): row for row in self.story.rows(m.Firm)}
        self._since |= dict.fromkeys(firms, self.first)
        met: dict[tuple[str, int], date] = {}
        for told in self.story.told:
            for column, model, _ in self._links[type(told.row)]:
                key = (m.Firm.__tablename__, getattr(told.row, column))
                is_met = self._own_day(told) is not None and not isinstance(told.row, _COME_WITH_FIRM)
                if model is m.Firm and key in firms and is_met:
                    met[key] = min(met.get(key, date.max), self.since(told.row))
        self._since = {key: met.get(key, self.first) for key in firms}

    def moved_to(self, measure_id: int | None, *states: MeasureState) -> date | None:
        """When a measure first reached one of these states; else when it was first thought of."""
        rows = [one for one in self.story.rows(m.MeasureStateChange) if one.measure_id == measure_id]
        days = [one.on for one in rows if one.after in states] or [one.on for one in rows]
        return min(days, default=None)

    # what came later

    def _all_turns(self, row: m.Base) -> Iterator[Turn]:
        for column, before in _LATER.get(type(row), {}).items():
            if (day := getattr(row, column)) is not None:
                yield day, {column: None, **before}
        for column, model, is_required in self._links[type(row)]:
            target = getattr(row, column)
            if target is not None and not is_required:
                yield self.since(self.story.row(model, target)), {column: None}
        if special := _TURNS.get(type(row)):
            yield from special(self, row)

    def beside(self, row: m.Base) -> Columns:
        """What the story says of a row beside its columns."""
        return self._told[_key(row)].beside


def _key(row: m.Base) -> tuple[str, int]:
    return row.__tablename__, row.id


def _links(model: type[m.Base]) -> Iterator[tuple[str, type[m.Base], bool]]:
    """Column, what it names, and whether the row cannot stand without it."""
    tables = {one.class_.__tablename__: one.class_ for one in m.Base.registry.mappers}
    for column in model.__table__.columns:
        for link in column.foreign_keys:
            yield column.name, tables[link.column.table.name], not column.nullable


# the days and turns that stand in other rows


def _equipment_day(known: Known, row: m.Equipment) -> date | None:
    """A machine that a measure brings; those that were there were found with the house."""
    if row.measure_id is None:
        return None
    return row.installed_on or known.moved_to(row.measure_id, MeasureState.COMMITTED)


def _circuit_day(known: Known, row: m.Circuit) -> date | None:
    return known.moved_to(row.measure_id, MeasureState.UNDER_WAY) if row.measure_id else None


def _task_day(known: Known, row: m.Task) -> date | None:
    """A step is planned once its measure is decided; a wait is known since it began."""
    if row.kind is TaskKind.WAIT and row.since is not None:
        return row.since
    planned = known.moved_to(row.measure_id, MeasureState.COMMITTED)
    return min((day for day in (row.started_on, planned) if day is not None), default=None)


def _measure_turns(known: Known, row: m.Measure) -> Iterator[Turn]:
    for change in known.story.rows(m.MeasureStateChange):
        if change.measure_id == row.id and change.before is not None:
            was_replaced = {"replaced_by_id": None} if change.after is MeasureState.REPLACED else {}
            yield change.on, {"state": change.before, **was_replaced}


def _quote_turns(known: Known, row: m.Quote) -> Iterator[Turn]:
    """It was accepted with the contract; the other firms were told the same day."""
    quotes = {one.id for one in known.story.rows(m.Quote) if one.request_id == row.request_id}
    for contract in known.story.rows(m.Contract):
        if contract.quote_id in quotes and row.state in (QuoteState.ACCEPTED, QuoteState.DECLINED):
            yield contract.signed_on, {"state": QuoteState.RECEIVED}


def _contract_turns(known: Known, row: m.Contract) -> Iterator[Turn]:
    paid = [one.on for one in known.story.rows(m.Payment) if one.contract_id == row.id]
    if row.state is ContractState.COMPLETE and paid:
        yield max(paid), {"state": ContractState.SIGNED}


def _inspection_turns(known: Known, row: m.Inspection) -> Iterator[Turn]:
    if row.booked_for is not None:
        called_on = known.beside(row).get("booked_on", row.booked_for - CALLED_AHEAD)
        unbooked = {"booked_for": None, "booked_window": "", "booking_number": ""}
        yield called_on, {"result": InspectionResult.NOT_BOOKED, **unbooked}


def _reservation_turns(known: Known, row: m.Reservation) -> Iterator[Turn]:
    claims = [one for one in known.story.rows(m.Claim) if one.choice_id == row.choice_id and one.sent_on]
    if row.state is ReservationState.USED and claims:
        yield min(one.sent_on for one in claims), {"state": ReservationState.HELD}


def _task_turns(known: Known, row: m.Task) -> Iterator[Turn]:
    if row.done_on is not None:
        has_begun = row.started_on is not None or row.since is not None
        yield row.done_on, {"done_on": None, "state": TaskState.STARTED if has_begun else TaskState.OPEN}


def _equipment_turns(known: Known, row: m.Equipment) -> Iterator[Turn]:
    if row.measure_id is not None and row.tested_on is not None:
        yield row.tested_on, {"tested_on": None, "status": EquipmentStatus.NOT_YET_RUNNING}


_OWN_DAYS: dict[type[m.Base], Callable[[Known, Any], date | None]] = {
    m.Circuit: _circuit_day,
    m.Equipment: _equipment_day,
    m.Measure: lambda known, row: known.moved_to(row.id),
    m.Task: _task_day,
}
_TURNS: dict[type[m.Base], Callable[[Known, Any], Iterator[Turn]]] = {
    m.Contract: _contract_turns,
    m.Equipment: _equipment_turns,
    m.Inspection: _inspection_turns,
    m.Measure: _measure_turns,
    m.Quote: _quote_turns,
    m.Reservation: _reservation_turns,
    m.Task: _task_turns,
}
