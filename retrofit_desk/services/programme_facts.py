"""What the record holds about the measures of a rebate, as the rules of programmes look at it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.programmes import ReservationState
from retrofit_desk.rules.programme_amounts import WorkDates, WorkFacts, WorkItem
from retrofit_desk.rules.programme_file import Installer, Programme
from retrofit_desk.services.budget import cost_of
from retrofit_desk.services.choice_facts import FactName, assessed_on

GONE = (m.MeasureState.DROPPED, m.MeasureState.REPLACED)
WHOLE_HOUSE = "whole_house"
"""The kind of work in a rule that pays for the house as a whole."""


def work_facts(
    session: Session,
    measures: Sequence[m.Measure],
    programme: Programme,
    choice: m.ProgrammeChoice | None,
    *,
    is_whole_house: bool = False,
) -> WorkFacts:
    """Costs, days, old fuel, income and installer; a cost that is not known counts as none here.

    Of several measures the day that counts is the last one's, and none while one of them has none.
    """
    facts = choice.facts if choice is not None else {}
    costs = [cost_of(session, one).value or 0 for one in measures]
    items = [WorkItem(one.kind, cost) for one, cost in zip(measures, costs, strict=True)]
    if is_whole_house:
        items = [WorkItem(WHOLE_HOUSE, sum(costs))]
    units = _exact(facts.get(FactName.UNITS))
    if units is not None and len(items) == 1:
        items = [replace(items[0], units=units)]
    return WorkFacts(
        items=tuple(items),
        dates=_dates_of_all(session, measures, choice),
        income_of_median=income_of(session),
        existing_fuel=_burnt_first(_old_fuel(session, one) for one in measures),
        savings_share=_exact(facts.get(FactName.SAVINGS_SHARE)),
        saved_kwh=_exact(facts.get(FactName.SAVED_KWH)),
        state_average_kwh=_exact(facts.get(FactName.STATE_AVERAGE_KWH)),
        products=tuple(facts.get(FactName.PRODUCTS, {}).items()),
        installer=_least(_installer(session, one, programme.key) for one in measures),
    )


def _exact(told: object) -> Decimal | None:
    return None if told is None else Decimal(str(told))


def income_of(session: Session) -> Decimal | None:
    """Household income over the area's median."""
    site = session.scalar(select(m.Site))
    share = site.household_income_share if site is not None else None
    return None if share is None else Decimal(str(share))


def facts_of_choice(session: Session, programme: Programme, choice: m.ProgrammeChoice) -> WorkFacts:
    """The same for a programme that is chosen, over all its measures."""
    whole = choice.is_whole_house
    return work_facts(session, measures_of(choice), programme, choice, is_whole_house=whole)


def measures_of(choice: m.ProgrammeChoice) -> list[m.Measure]:
    """What it pays for, without what was given up meanwhile."""
    return [one for one in choice.measures if one.state not in GONE] or choice.measures


def _dates_of_all(
    session: Session, measures: Sequence[m.Measure], choice: m.ProgrammeChoice | None
) -> WorkDates:
    """Work has begun with the first measure and is done with the last."""
    each = [_dates(session, one, choice) for one in measures]
    if not each:
        return WorkDates()
    signed = [one.signed for one in each if one.signed]
    started = [one.work_started for one in each if one.work_started]
    return replace(
        each[0],
        placed_in_service=_last([one.placed_in_service for one in each]),
        installation_completed=_last([one.installation_completed for one in each]),
        invoiced=_last([one.invoiced for one in each]),
        signed=min(signed, default=None),
        work_started=min(started, default=None),
    )


def _last(days: Sequence[date | None]) -> date | None:
    known = [day for day in days if day is not None]
    return max(known) if len(known) == len(days) else None


def _burnt_first(fuels: Iterable[str | None]) -> str | None:
    known = {fuel for fuel in fuels if fuel is not None}
    return min(known - {str(m.Fuel.ELECTRICITY)}, default=min(known, default=None))


def _least(installers: Iterable[Installer | None]) -> Installer | None:
    """What can be said of all of them."""
    found = list(installers)
    order = (Installer.ANYONE, Installer.LICENSED, Installer.LISTED)
    return None if None in found else min((one for one in found if one), key=order.index, default=None)


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
        assessed=assessed_on(choice) if choice is not None else None,
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
    machines = session.scalars(select(m.Equipment).where(m.Equipment.key.in_(keys)))
    return _burnt_first(str(one.fuel) for one in machines if one.fuel is not None)


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
