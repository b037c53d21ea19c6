"""What the record holds about a measure, as the rules of programmes look at it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.programmes import ReservationState
from retrofit_desk.rules.programme_amounts import WorkDates, WorkFacts, WorkItem
from retrofit_desk.rules.programme_file import Installer, Programme
from retrofit_desk.services.budget import committed_of
from retrofit_desk.values.stated import StatedValue

UNIT_FACT = "units"
"""Where a choice keeps how many units (tons, square feet) the programme counts."""


def cost_of(session: Session, measure: m.Measure) -> StatedValue[int]:
    """What is committed, else the owner's own costing."""
    committed = committed_of(session, measure)
    return committed if committed.is_known else measure.stated("cost_cents")


def work_facts(
    session: Session, measure: m.Measure, programme: Programme, choice: m.ProgrammeChoice | None
) -> WorkFacts:
    """Costs, days, old fuel, income and installer; a cost that is not known counts as none here."""
    units = choice.facts.get(UNIT_FACT) if choice is not None else None
    item = WorkItem(
        measure.kind,
        cost_of(session, measure).value or 0,
        units=None if units is None else Decimal(str(units)),
    )
    return WorkFacts(
        items=(item,),
        dates=_dates(session, measure, choice),
        income_of_median=income_of(session),
        existing_fuel=_old_fuel(session, measure),
        installer=_installer(session, measure, programme.key),
    )


def income_of(session: Session) -> Decimal | None:
    """Household income over the area's median."""
    site = session.scalar(select(m.Site))
    share = site.household_income_share if site is not None else None
    return None if share is None else Decimal(str(share))


def _dates(session: Session, measure: m.Measure, choice: m.ProgrammeChoice | None) -> WorkDates:
    entries = [entry for entry in measure.entries if not entry.is_draft]
    complete = [entry.worked_on for entry in entries if entry.is_complete]
    bills = session.scalars(select(m.Invoice.on).where(m.Invoice.measure_id == measure.id)).all()
    held = _reservation(choice)
    sent = [one.sent_on for one in choice.claims if one.sent_on] if choice is not None else []
    asked = [one.asked_on for one in choice.reservations if one.asked_on] if choice is not None else []
    return WorkDates(
        placed_in_service=measure.placed_in_service_on,
        installation_completed=max(complete, default=None),
        invoiced=max(bills, default=None),
        application_received=min([*asked, *sent], default=None),
        reservation_held=held.held_from if held else None,
        reservation_ends=held.ends_on if held else None,
        signed=_signed_on(session, measure),
        work_started=min((entry.worked_on for entry in entries), default=None),
    )


def _reservation(choice: m.ProgrammeChoice | None) -> m.Reservation | None:
    good = (ReservationState.HELD, ReservationState.USED)
    held = [one for one in choice.reservations if one.state in good] if choice is not None else []
    return held[-1] if held else None


def _signed_on(session: Session, measure: m.Measure) -> date | None:
    """The first signature for any part of the work."""
    days = [contract.signed_on for contract in _contracts(session, measure) if contract.signed_on]
    return min(days, default=None)


def _contracts(session: Session, measure: m.Measure) -> list[m.Contract]:
    """Those that go on, the one with the largest part of the work first."""
    shares = session.scalars(select(m.ContractShare).where(m.ContractShare.measure_id == measure.id)).all()
    ordered = sorted(shares, key=lambda share: -share.share_cents)
    return [share.contract for share in ordered if share.contract.state is not m.ContractState.ENDED]


def _old_fuel(session: Session, measure: m.Measure) -> str | None:
    """The fuel of what is replaced; one that burns counts before electricity."""
    keys = measure.inputs.get("replaces", [])
    if not isinstance(keys, list) or not keys:
        return None
    fuels = {
        str(one.fuel)
        for one in session.scalars(select(m.Equipment).where(m.Equipment.key.in_(keys)))
        if one.fuel is not None
    }
    return min(fuels - {str(m.Fuel.ELECTRICITY)}, default=min(fuels, default=None))


def _installer(session: Session, measure: m.Measure, key: str) -> Installer | None:
    """Whether the programme lists the firm with the largest part of the work; none where nobody looked."""
    contracts = [one for one in _contracts(session, measure) if one.signed_on is not None]
    if not contracts:
        return Installer.ANYONE if measure.own_work else None
    signed = contracts[0].signed_on
    for one in contracts[0].firm.listings:
        begun = one.listed_from is None or (signed is not None and one.listed_from <= signed)
        going = one.listed_until is None or (signed is not None and signed <= one.listed_until)
        if one.programme_key == key and begun and going:
            return Installer.LISTED
    return None
