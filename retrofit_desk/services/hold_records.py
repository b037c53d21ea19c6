"""Recorded holds and everything that can answer them, as the plain values the rules look at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import Date, func, select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.records import models as m
from retrofit_desk.records.columns import all_as_tuples, one_as_tuple
from retrofit_desk.rules import holds as rules
from retrofit_desk.rules import states
from retrofit_desk.rules.holds import Evidence, HoldAction, NeedKind, Outcome
from retrofit_desk.services.permit_dates import PermitLives


class HoldRow(NamedTuple):
    """The columns of `m.Hold` that a look needs."""

    id: int
    key: str
    action: HoldAction
    what: str
    subject: m.HoldSubject
    subject_id: int
    measure_id: int | None
    because: str
    source: str
    done_on: date | None


class NeedRow(NamedTuple):
    """The columns of `m.HoldNeed` that a look needs."""

    id: int
    hold_id: int
    kind: NeedKind
    text: str
    count: int  # type: ignore[assignment]  # hides the method of tuples, which nobody calls here
    inspection_id: int | None
    permit_id: int | None
    measure_id: int | None
    state: str
    equipment_id: int | None
    stage_id: int | None
    reservation_id: int | None
    test_kind: str
    not_before: date | None
    with_whom: str
    not_applicable_reason: str


class OverrideRow(NamedTuple):
    """The columns of `m.HoldOverride` that a look needs."""

    hold_id: int
    reason: str
    by: str
    at: datetime
    missing: str
    withdrawn_at: datetime | None


@dataclass(frozen=True)
class RecordedHold:
    """A hold with its needs and overrides, in order."""

    row: HoldRow
    needs: Sequence[NeedRow]
    overrides: Sequence[OverrideRow]

    @classmethod
    def of(cls, row: m.Hold) -> RecordedHold:
        """One hold that is at hand already."""
        needs = [one_as_tuple(NeedRow, one) for one in row.needs]
        overrides = [one_as_tuple(OverrideRow, one) for one in row.overrides]
        return cls(one_as_tuple(HoldRow, row), needs, overrides)

    def plain(self, roots: dict[int, int]) -> rules.Hold:
        """As the rules look at it; `roots` maps a repeated inspection to the first visit it repeats."""
        row, standing = self.row, [one for one in self.overrides if one.withdrawn_at is None]
        return rules.Hold(
            key=row.key,
            action=row.action,
            what=row.what,
            needs=tuple(_plain_need(need, row.measure_id, roots) for need in self.needs),
            because=row.because,
            source=row.source,
            override=_plain_override(standing[-1]) if standing else None,
            done_on=row.done_on,
        )


def recorded_holds(session: Session) -> list[RecordedHold]:
    """Every hold on record, by one query for each of its three tables."""
    needs: defaultdict[int, list[NeedRow]] = defaultdict(list)
    overrides: defaultdict[int, list[OverrideRow]] = defaultdict(list)
    for need in all_as_tuples(session, NeedRow, m.HoldNeed, m.HoldNeed.position, m.HoldNeed.id):
        needs[need.hold_id].append(need)
    for override in all_as_tuples(session, OverrideRow, m.HoldOverride, m.HoldOverride.id):
        overrides[override.hold_id].append(override)
    rows = all_as_tuples(session, HoldRow, m.Hold, m.Hold.id)
    return [RecordedHold(row, needs[row.id], overrides[row.id]) for row in rows]


def _plain_override(row: OverrideRow) -> rules.Override:
    missing = tuple(part for part in row.missing.split("\n") if part)
    return rules.Override(row.reason, row.by, row.at.date(), missing)


def _plain_need(row: NeedRow, measure_id: int | None, roots: dict[int, int]) -> rules.Need:
    return rules.Need(
        kind=row.kind,
        text=row.text,
        key=_need_key(row, measure_id, roots),
        count=row.count,
        not_before=row.not_before,
        with_whom=row.with_whom,
        not_applicable_reason=row.not_applicable_reason,
    )


def _need_key(row: NeedRow, measure_id: int | None, roots: dict[int, int]) -> str:
    """What a need looks at; one without a reference is answered by the papers filed for it."""
    if row.kind is NeedKind.TEST and row.test_kind:
        return f"test:{row.measure_id or measure_id}:{row.test_kind}"
    seen = _LOOKS_AT.get(row.kind)
    reference = getattr(row, f"{seen}_id") if seen else None
    if reference is None:
        return f"need:{row.id}"
    if seen == "inspection":
        return f"inspection:{roots.get(reference, reference)}"
    if seen == "measure":
        return f"measure:{reference}:{row.state}"
    return f"{seen}:{reference}"


_LOOKS_AT = {
    NeedKind.INSPECTION: "inspection",
    NeedKind.CORRECTIONS: "inspection",
    NeedKind.MEASURE: "measure",
    NeedKind.PERMIT: "permit",
    NeedKind.RESERVATION: "reservation",
    NeedKind.EQUIPMENT_RUNNING: "equipment",
    NeedKind.TAKEN_OUT: "equipment",
    NeedKind.WAIVER: "stage",
    NeedKind.PAYMENT_CLEARED: "stage",
}
"""The column of a need, without its `_id`, that names the thing it looks at."""


def all_evidence(session: Session) -> tuple[Evidence, ...]:
    """Everything on record that can answer a need."""
    return tuple(
        one
        for part in (
            _from_papers,
            _from_inspections,
            _from_tests,
            _from_measures,
            _from_permits,
            _from_reservations,
            _from_equipment,
            _from_money,
        )
        for one in part(session)
    )


def inspection_roots(session: Session) -> dict[int, int]:
    """For each inspection the first visit that it repeats."""
    again = {first: of for first, of in session.execute(select(m.Inspection.id, m.Inspection.again_of_id))}
    roots = {}
    for first in again:
        root, seen = first, {first}
        while (before := again.get(root)) is not None and before not in seen:
            root = before
            seen.add(root)
        roots[first] = root
    return roots


def _from_papers(session: Session) -> Iterator[Evidence]:
    # bare columns: thousands of papers answer holds, and only these of them are looked at
    on = func.coalesce(m.Paper.on_paper, func.date(m.Paper.filed_at), type_=Date)
    uses = session.execute(
        select(m.HoldNeed.id, m.HoldNeed.kind, on, m.Paper.ends_on, m.Paper.title)
        .join(m.PaperUse, m.PaperUse.subject_id == m.HoldNeed.id)
        .join(m.Paper, m.PaperUse.paper_id == m.Paper.id)
        .where(m.PaperUse.subject == m.PaperSubject.HOLD_NEED)
    )
    answered = set()
    for need_id, kind, day, ends_on, title in uses:
        answered.add(need_id)
        yield Evidence(kind, f"need:{need_id}", Outcome.GIVEN, day, 1, ends_on, title)
    for need in session.scalars(select(m.HoldNeed).where(m.HoldNeed.answered_on.is_not(None))):
        if need.id not in answered:
            yield Evidence(need.kind, f"need:{need.id}", Outcome.GIVEN, need.answered_on, need.count)


def _from_inspections(session: Session) -> Iterator[Evidence]:
    roots = inspection_roots(session)
    rows = session.scalars(select(m.Inspection).options(selectinload(m.Inspection.corrections)))
    outcomes = {
        m.InspectionResult.PASSED: Outcome.GIVEN,
        m.InspectionResult.FAILED: Outcome.REFUSED,
        m.InspectionResult.BOOKED: Outcome.EXPECTED,
    }
    for row in rows:
        key = f"inspection:{roots[row.id]}"
        if row.result in outcomes:
            on = row.booked_for if row.result is m.InspectionResult.BOOKED else row.visited_on
            yield Evidence(NeedKind.INSPECTION, key, outcomes[row.result], on, title=row.title)
        closed = [correction.closed_on for correction in row.corrections if correction.closed_on]
        if row.corrections and len(closed) == len(row.corrections):
            yield Evidence(NeedKind.CORRECTIONS, key, Outcome.GIVEN, max(closed), title=row.title)


def _from_tests(session: Session) -> Iterator[Evidence]:
    rows = session.execute(
        select(m.CommissioningTest, m.WorkEntry)
        .join(m.WorkEntry, m.CommissioningTest.entry_id == m.WorkEntry.id)
        .where(m.WorkEntry.is_draft.is_(False), m.CommissioningTest.passed.is_not(None))
    )
    for test, entry in rows:
        outcome = Outcome.GIVEN if test.passed else Outcome.REFUSED
        key = f"test:{entry.measure_id}:{test.kind}"
        yield Evidence(NeedKind.TEST, key, outcome, entry.worked_on, title=test.quantity)


def _from_measures(session: Session) -> Iterator[Evidence]:
    """A measure answers for its state and every notch below it, since the day it first got there."""
    for row in session.scalars(select(m.Measure).options(selectinload(m.Measure.changes))):
        reached = states.notches(row.state)
        if row.state in (m.MeasureState.DROPPED, m.MeasureState.REPLACED):
            continue
        for number, state in enumerate(states.PATH[:reached], start=1):
            on = _reached_on(row, number)
            yield Evidence(NeedKind.MEASURE, f"measure:{row.id}:{state}", Outcome.GIVEN, on, title=row.title)


def _reached_on(row: m.Measure, notch: int) -> date | None:
    days = [
        change.on
        for change in row.changes
        if change.after not in (m.MeasureState.DROPPED, m.MeasureState.REPLACED)
        and states.notches(change.after) >= notch
    ]
    return min(days, default=None)


def _from_permits(session: Session) -> Iterator[Evidence]:
    """An issued permit counts until it lapses; one that is final, for good."""
    lives = PermitLives(session)
    loads = (selectinload(m.Permit.inspections), selectinload(m.Permit.measures))
    for row in session.scalars(select(m.Permit).options(*loads)):
        if row.issued_on is not None and row.state in (m.PermitState.ISSUED, m.PermitState.FINAL):
            key, until = f"permit:{row.id}", lives.lapses_on(row)
            yield Evidence(NeedKind.PERMIT, key, Outcome.GIVEN, row.issued_on, 1, until, row.title)


def _from_reservations(session: Session) -> Iterator[Evidence]:
    for row in session.scalars(select(m.Reservation)):
        if row.state is m.ReservationState.HELD:
            outcome, on = Outcome.GIVEN, row.held_from
        elif row.state is m.ReservationState.ASKED:
            outcome, on = Outcome.EXPECTED, row.asked_on
        else:
            continue
        yield Evidence(NeedKind.RESERVATION, f"reservation:{row.id}", outcome, on, 1, row.ends_on)


def _from_equipment(session: Session) -> Iterator[Evidence]:
    for row in session.scalars(select(m.Equipment)):
        for kind, on in ((NeedKind.EQUIPMENT_RUNNING, row.tested_on), (NeedKind.TAKEN_OUT, row.removed_on)):
            if on is not None:
                yield Evidence(kind, f"equipment:{row.id}", Outcome.GIVEN, on, title=row.name)
    # a machine that is gone is not started any more: what was asked before its start is settled
    gone = session.execute(
        select(m.HoldNeed, m.Equipment)
        .join(m.Hold)
        .join(m.Equipment, m.Equipment.id == m.Hold.subject_id)
        .where(
            m.Hold.subject == m.HoldSubject.EQUIPMENT,
            m.Hold.action == rules.HoldAction.START,
            m.Equipment.removed_on.is_not(None),
        )
    )
    for need, machine in gone:
        key = f"need:{need.id}"
        yield Evidence(need.kind, key, Outcome.GIVEN, machine.removed_on, need.count, title="taken out")


def _from_money(session: Session) -> Iterator[Evidence]:
    for waiver in session.scalars(select(m.LienWaiver).where(m.LienWaiver.stage_id.is_not(None))):
        if waiver.received_on is not None:
            key = f"stage:{waiver.stage_id}"
            yield Evidence(NeedKind.WAIVER, key, Outcome.GIVEN, waiver.received_on, title=str(waiver.kind))
    for payment in session.scalars(select(m.Payment).where(m.Payment.stage_id.is_not(None))):
        if payment.cleared_on is not None:
            key = f"stage:{payment.stage_id}"
            yield Evidence(NeedKind.PAYMENT_CLEARED, key, Outcome.GIVEN, payment.cleared_on)
