"""What the record holds of each meter, as the proof takes it: bills, fills, days read, and its tariffs."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.proof_periods import MeterRecord
from retrofit_desk.money.bills import bill_month, plain_use
from retrofit_desk.money.tariff import Tariff
from retrofit_desk.physics.bills_cleaning import MeterSpan
from retrofit_desk.physics.meter_readings import by_day
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import NotInTable, Tables, tables_in
from retrofit_desk.services.days import zone_of
from retrofit_desk.services.fuel_rows import kwh_per_unit
from retrofit_desk.services.meter_readings import readings_in_use
from retrofit_desk.values.errors import CannotSay


def meter_records(project: Project, session: Session) -> tuple[MeterRecord, ...]:
    """Every meter or tank with bills or readings. Raises `CannotSay` for an odd unit, and as readings do."""
    tables = Tables()
    found = []
    for meter in session.scalars(select(m.Meter).order_by(m.Meter.id)):
        days = _days_read(project, session, meter)
        if not meter.bills and not days:
            continue
        closed = meter.account.closed_on if meter.account is not None else None
        found.append(
            MeterRecord(
                name=meter.name,
                fuel=str(meter.fuel),
                unit=str(meter.unit),
                kwh_per_unit=kwh_per_unit(meter, tables),
                bills=tuple(span_of(bill) for bill in meter.bills),
                by_fills=any(bill.kind is m.BillKind.DELIVERY for bill in meter.bills),
                days_read=days,
                closed_on=closed or meter.removed_on,
            )
        )
    return tuple(found)


def span_of(bill: m.Bill) -> MeterSpan:
    """What is fed in is taken off: what counts is what the house needs of the network."""
    used = None if bill.quantity is None else bill.quantity - (bill.exported or 0.0)
    days = max((bill.period_end - bill.period_start).days, 1)
    return MeterSpan(
        bill.period_start,
        bill.period_end,
        used,
        bill.kind is m.BillKind.ESTIMATED,
        away_share=bill.days_away / days,
    )


def _days_read(project: Project, session: Session, meter: m.Meter) -> tuple[MeterSpan, ...]:
    """Days of which every hour was read. A day is as lived in as the bill it lies in."""
    readings = readings_in_use(project, session, meter)
    if readings is None:
        return ()
    days = by_day(readings, zone_of(session))
    away = {
        bill.period_start + timedelta(days=at): bill.days_away / (bill.period_end - bill.period_start).days
        for bill in meter.bills
        if bill.days_away and bill.kind is not m.BillKind.DELIVERY
        for at in range((bill.period_end - bill.period_start).days)
    }
    used = days.used - days.fed_in
    return tuple(
        MeterSpan(day, day + timedelta(days=1), float(use), away_share=away.get(day, 0.0))
        for day, use, is_whole in zip(days.days, used, days.is_whole, strict=True)
        if is_whole
    )


@dataclass(frozen=True)
class DatedTariff:
    """The tariff of a meter from a day on."""

    starts_on: date
    tariff: Tariff


def tariffs_of(project: Project, session: Session) -> dict[str, tuple[DatedTariff, ...]]:
    """By the meter's name, the oldest first; a tariff whose table is gone is left out."""
    tables = tables_in(session)
    found: dict[str, tuple[DatedTariff, ...]] = {}
    for meter in session.scalars(select(m.Meter)):
        dated = []
        for choice in meter.tariffs:
            with suppress(NotInTable):
                dated.append(DatedTariff(choice.starts_on, tables.tariff(choice.tariff_key)))
        found[meter.name] = tuple(dated)
    return found


def priced_cents(span: MeterSpan, tariffs: Sequence[DatedTariff]) -> int:
    """Raises `CannotSay` without a tariff, or for one that asks for the hours."""
    began = [one for one in tariffs if one.starts_on <= span.start] or list(tariffs[:1])
    if not began:
        raise CannotSay("what the use cost", "the tariff of the meter")
    tariff = began[-1].tariff
    units = Decimal(str(max(span.used or 0.0, 0.0)))
    return bill_month(tariff, plain_use(tariff, span.start.month, span.days, units)).total_cents
