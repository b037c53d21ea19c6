"""Permits, visits and overridden holds as a packet tells them."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.paperwork.contents import (
    InspectionLine,
    OverrideLine,
    PermitLine,
    ReadinessLine,
    VisitPart,
)
from retrofit_desk.records import models as m
from retrofit_desk.services.days import today_of
from retrofit_desk.services.permit_dates import PermitLives
from retrofit_desk.values.stated import Stated, StatedValue


def permit_lines(session: Session, measure_ids: Iterable[int]) -> tuple[PermitLine, ...]:
    """Every permit that covers one of the measures, in the order of issue."""
    links = session.scalars(
        select(m.PermitMeasure).where(m.PermitMeasure.measure_id.in_(tuple(measure_ids)))
    ).all()
    permits = {link.permit_id: link.permit for link in links}.values()
    shown = [permit for permit in permits if permit.state is not m.PermitState.WITHDRAWN]
    lives = PermitLives(session)
    return tuple(_permit(session, lives, permit) for permit in sorted(shown, key=_order))


def _order(permit: m.Permit) -> tuple[bool, str, int]:
    return permit.issued_on is None, str(permit.issued_on), permit.id


def _permit(session: Session, lives: PermitLives, row: m.Permit) -> PermitLine:
    authority = session.get(m.Firm, row.authority_id) if row.authority_id else None
    covered = [session.get(m.Measure, link.measure_id) for link in row.measures]
    number = StatedValue(row.number) if row.number else StatedValue[str](None, Stated.UNKNOWN)
    return PermitLine(
        kind=str(row.kind).capitalize(),
        number=number,
        authority=authority.name if authority else "not stated",
        covers="; ".join(measure.title for measure in covered if measure is not None) or row.title,
        state=str(lives.state_on(row, today_of(session))),
        issued_on=row.issued_on,
        runs_out_on=lives.lapses_on(row),
        inspections=tuple(_inspection(one) for one in row.inspections),
    )


def _inspection(row: m.Inspection) -> InspectionLine:
    return InspectionLine(
        name=row.title,
        visit_on=row.visited_on or row.booked_for,
        result="not asked for" if row.result is m.InspectionResult.CANCELLED else str(row.result),
        open_corrections=tuple(_correction(one) for one in row.corrections if one.closed_on is None),
        closed_corrections=tuple(_correction(one) for one in row.corrections if one.closed_on is not None),
    )


def _correction(row: m.Correction) -> str:
    how = f" ({row.how_closed})" if row.closed_on is not None and row.how_closed else ""
    return f"{row.text}{how}"


def visit_part(
    session: Session, row: m.Inspection, ready: tuple[ReadinessLine, ...], checklist: tuple[str, ...]
) -> VisitPart:
    """One visit; what an earlier one of the same inspection left to correct comes with it."""
    before = session.get(m.Inspection, row.again_of_id) if row.again_of_id else None
    number = f" {row.permit.number}" if row.permit.number else ""
    return VisitPart(
        inspection=row.title,
        permit=f"{row.permit.title}{number}",
        on=row.booked_for,
        window=row.booked_window,
        ready=ready,
        checklist=checklist,
        earlier_corrections=tuple(
            one.text for one in (before.corrections if before else row.corrections) if one.closed_on is None
        ),
    )


def override_lines(session: Session) -> tuple[OverrideLine, ...]:
    """Every hold that was passed for a reason and stands; whoever reads the packet."""
    rows = session.scalars(select(m.HoldOverride).order_by(m.HoldOverride.at, m.HoldOverride.id))
    return tuple(
        OverrideLine(
            hold=f"Don't {row.hold.action} {row.hold.what}",
            missing=row.missing.replace("\n", "; "),
            reason=row.reason,
            by=row.by or "not stated",
            on=row.at.date(),
            step_on=row.hold.done_on,
        )
        for row in rows
        if row.withdrawn_at is None
    )
