"""What the record holds about a measure, as the rules of its states look at it."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.rules.states import MeasureFacts


def facts_of(session: Session, measure: m.Measure) -> MeasureFacts:
    """Quotes, contracts, write-ups, tests, permits and bills that speak for this measure."""
    entries = [entry for entry in measure.entries if not entry.is_draft]
    permits = _permits(session, measure)
    replaced_by = session.get(m.Measure, measure.replaced_by_id) if measure.replaced_by_id else None
    return MeasureFacts(
        has_written_quote=_has_quote(session, measure),
        has_own_costing=measure.cost_cents is not None,
        is_signed_or_bought=_is_signed_or_bought(session, measure),
        is_own_work=measure.own_work,
        work_has_begun=bool(entries),
        everything_fitted=any(entry.is_complete for entry in entries),
        open_tests=_open_tests(entries),
        needs_permit=measure.needs_permit,
        permits_issued=bool(permits) and all(permit.issued_on is not None for permit in permits),
        open_inspections=tuple(name for permit in permits for name in open_inspections(permit)),
        owner_accepts=measure.owner_accepted_on is not None,
        bills=measure.bills_answer,
        replaced_by=replaced_by.title if replaced_by else "",
    )


def _has_quote(session: Session, measure: m.Measure) -> bool:
    quotes = session.scalars(
        select(m.Quote).join(m.QuoteRequest).where(m.QuoteRequest.measure_id == measure.id)
    )
    return any(quote.price_cents is not None for quote in quotes)


def _is_signed_or_bought(session: Session, measure: m.Measure) -> bool:
    shares = session.scalars(select(m.ContractShare).where(m.ContractShare.measure_id == measure.id))
    if any(share.contract.signed_on is not None for share in shares):
        return True
    invoices = session.scalars(
        select(m.Invoice).where(m.Invoice.measure_id == measure.id, m.Invoice.contract_id.is_(None))
    )
    return next(iter(invoices), None) is not None


def _open_tests(entries: list[m.WorkEntry]) -> tuple[str, ...]:
    """Tests whose latest result is not a pass."""
    latest: dict[str, m.CommissioningTest] = {}
    for entry in sorted(entries, key=lambda one: (one.worked_on, one.id)):
        for test in entry.tests:
            latest[f"{test.kind}:{test.equipment_id}:{test.quantity}"] = test
    return tuple(test.quantity for test in latest.values() if test.passed is not True)


def _permits(session: Session, measure: m.Measure) -> list[m.Permit]:
    links = session.scalars(select(m.PermitMeasure).where(m.PermitMeasure.measure_id == measure.id))
    return [link.permit for link in links if link.permit.state is not m.PermitState.WITHDRAWN]


def open_inspections(permit: m.Permit) -> tuple[str, ...]:
    """Visits not passed and corrections not closed; a passed repeat answers for the visit before it."""
    repeated = {visit.again_of_id for visit in permit.inspections}
    open_names = [
        f"{permit.title}, {visit.title}"
        for visit in permit.inspections
        if visit.result not in (m.InspectionResult.PASSED, m.InspectionResult.CANCELLED)
        and visit.id not in repeated
    ]
    corrections = [
        f"correction: {one.text}"
        for visit in permit.inspections
        for one in visit.corrections
        if one.closed_on is None
    ]
    return (*open_names, *corrections)
