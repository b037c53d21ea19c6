"""One measure gathered from all over the record."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.rules import states
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.holds import HoldView
from retrofit_desk.services.measure_facts import facts_of
from retrofit_desk.services.measures import (
    EntrySheet,
    ItemLine,
    MeasureSheet,
    StateLine,
    TestLine,
    row_of,
)
from retrofit_desk.services.places import found
from retrofit_desk.services.site_tests import found_text, limits_text, verdict_of
from retrofit_desk.values.place import Found, PageKey, Place
from retrofit_desk.values.quantity import Units


def sheet_of(session: Session, measure: m.Measure, holds: Sequence[HoldView], units: Units) -> MeasureSheet:
    """Everything about one measure, in plain values."""
    following = states.next_notch(measure.state)
    facts = facts_of(session, measure)
    other = session.get(m.Measure, measure.replaced_by_id) if measure.replaced_by_id else None
    return MeasureSheet(
        row=row_of(session, measure, holds),
        why=measure.why,
        notes=measure.notes,
        needs_permit=measure.needs_permit,
        places=tuple(
            found(place.surface or place.room) for place in measure.places if place.room is not None
        ),
        replaced_by=other.title if other else "",
        history=tuple(StateLine(one.on, one.before, one.after, one.reason) for one in measure.changes),
        entries=tuple(_entry(session, entry, units) for entry in reversed(measure.entries)),
        quotes=_quotes(session, measure),
        contracts=_contracts(session, measure),
        permits=tuple(
            found(link.permit)
            for link in session.scalars(
                select(m.PermitMeasure).where(m.PermitMeasure.measure_id == measure.id)
            )
        ),
        papers=_papers(session, measure),
        holds=tuple(view for view in holds if view.measure_id == measure.id and not _is_past(view, measure)),
        next_move=states.may_move(measure.state, following, facts) if following else None,
        may_reopen=states.may_reopen(measure.state),
        cost_range_cents=(measure.cost_low_cents, measure.cost_high_cents),
        cost_source=measure.cost_source,
        cost_as_of=measure.cost_as_of,
    )


def _is_past(view: HoldView, measure: m.Measure) -> bool:
    """Free, and of work that was accepted: nobody does that step any more."""
    accepted = states.notches(measure.state) >= states.notches(MeasureState.SIGNED_OFF)
    return accepted and view.answer.is_free and not view.is_done


def _entry(session: Session, entry: m.WorkEntry, units: Units) -> EntrySheet:
    firm = session.get(m.Firm, entry.firm_id) if entry.firm_id else None
    rooms = [session.get(m.Room, place.room_id) for place in entry.places if place.room_id]
    marks = session.scalars(
        select(m.HiddenThing).where(m.HiddenThing.entry_id == entry.id).order_by(m.HiddenThing.id)
    )
    return EntrySheet(
        id=entry.id,
        worked_on=entry.worked_on,
        who=entry.who,
        firm=firm.name if firm else "",
        hours=entry.stated("hours"),
        notes=entry.notes,
        change_from_plan=entry.change_from_plan,
        still_open=entry.still_open,
        is_draft=entry.is_draft,
        is_complete=entry.is_complete,
        rooms=tuple(dict.fromkeys(room.name for room in rooms if room is not None)),
        inside=(
            *(place.what_is_inside for place in entry.places if place.what_is_inside),
            *(f"{mark.kind}, {mark.name}" for mark in marks),
        ),
        covered=tuple(
            _where(session, place) for place in entry.places if place.covered_on == entry.worked_on
        ),
        items=tuple(_item(item) for item in entry.items),
        settings=tuple((one.name, f"{one.value} {one.unit}".strip()) for one in entry.settings),
        tests=tuple(_test(session, test, units) for test in entry.tests),
    )


def _where(session: Session, place: m.WorkPlace) -> str:
    room = session.get(m.Room, place.room_id) if place.room_id else None
    surface = session.get(m.Surface, place.surface_id) if place.surface_id else None
    return ", ".join(one.name for one in (room, surface) if one is not None)


def _item(item: m.InstalledItem) -> ItemLine:
    quantity = "" if item.quantity is None else f"{item.quantity:,g} {item.unit}".strip()
    return ItemLine(item.product, item.make, item.model, item.serial, quantity)


def _test(session: Session, test: m.CommissioningTest, units: Units) -> TestLine:
    verdict = verdict_of(session, test, units)
    how = (test.medium, f"gauge {test.gauge}" if test.gauge else "", f"witness {test.witness}")
    return TestLine(
        quantity=test.quantity,
        found=found_text(test, units),
        limits=limits_text(test, units),
        limit_source=test.limit_source,
        how=", ".join(part for part in (how if test.witness else how[:2]) if part),
        passed=verdict.passed,
        sentence=verdict.sentence,
    )


def _quotes(session: Session, measure: m.Measure) -> tuple[Found, ...]:
    query = select(m.Quote).join(m.QuoteRequest).where(m.QuoteRequest.measure_id == measure.id)
    return tuple(found(quote) for quote in session.scalars(query))


def _contracts(session: Session, measure: m.Measure) -> tuple[Found, ...]:
    query = select(m.Contract).join(m.ContractShare).where(m.ContractShare.measure_id == measure.id)
    return tuple(found(contract) for contract in session.scalars(query).unique())


def _papers(session: Session, measure: m.Measure) -> tuple[Found, ...]:
    entry_ids = [entry.id for entry in measure.entries]
    query = (
        select(m.Paper)
        .join(m.PaperUse)
        .where(
            ((m.PaperUse.subject == m.PaperSubject.MEASURE) & (m.PaperUse.subject_id == measure.id))
            | (m.PaperUse.subject == m.PaperSubject.WORK_ENTRY) & m.PaperUse.subject_id.in_(entry_ids)
        )
        .order_by(m.Paper.on_paper, m.Paper.id)
    )
    papers = session.scalars(query).unique()
    return tuple(
        Found(paper.title, str(paper.kind), Place(PageKey.PAPERS, "paper", paper.id)) for paper in papers
    )
