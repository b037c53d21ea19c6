"""Meters and their bills: as billed, and by month of the last two years; the leakage tests."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.physics.leakage import air_changes_at_50_pa, power_law_from_one_point
from retrofit_desk.records import models as m
from retrofit_desk.records.models import BillKind, EnergyUnit
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import NotInTable, Tables, tables_in
from retrofit_desk.services.house import FactSource, NotRecorded, sources_of
from retrofit_desk.services.written_leakage import WrittenLeakage, written_leakage
from retrofit_desk.values.dates import month_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.place import Found, PageKey, Place
from retrofit_desk.values.stated import StatedValue

LONGEST_BILL_BY_MONTH_DAYS = 70  # a longer one says nothing about a single month; a delivery is always spread
DELIVERED = (m.Fuel.OIL, m.Fuel.PROPANE, m.Fuel.WOOD)
USUAL_EXPONENT = 0.65  # ASTM E779 practice where one pressure was measured (from memory)
YEAR_OF_BILLS_DAYS = 370  # twelve bills do not end on the day they began
Month = tuple[int, int]
"""Year and month."""


class CannotRecord(DeskError):
    """What was typed cannot be so."""


@dataclass(frozen=True)
class BillRow:
    """One bill, in the meter's unit; `per_day` when its quantity is known."""

    id: int
    period_start: date
    period_end: date
    days: int
    kind: BillKind
    quantity: StatedValue[float]
    exported: float | None
    cost_cents: StatedValue[int]
    per_day: float | None


@dataclass(frozen=True)
class YearOfMonths:
    """Twelve months January to December, in the meter's unit; None where the bills do not cover the month."""

    name: str
    values: tuple[float | None, ...]


@dataclass(frozen=True)
class BillsTotal:
    """What bills of so many days add up to."""

    days: int
    quantity: float
    cost_cents: int


@dataclass(frozen=True)
class MeterSheet:
    """One meter with its bills, newest first."""

    id: int
    name: str
    fuel: str
    unit: EnergyUnit
    number: str
    utility: str
    account_number: str
    case_numbers: str
    closed_on: date | None
    tariff: str
    tariff_source: str
    bills: tuple[BillRow, ...]
    years: tuple[YearOfMonths, ...]
    last_year: BillsTotal | None
    sources: tuple[FactSource, ...]


@dataclass(frozen=True)
class LeakageRow:
    """One leakage test; `ach50` when the tested volume is known.

    `id` is none for a test written up with a day's work: it is changed in that entry.
    """

    id: int | None
    tested_on: date
    house_version: str
    flow_50pa_m3_s: float
    exponent: float
    volume_m3: float | None
    ach50: float | None
    leakage_area_m2: float
    by: str
    after: str
    notes: str
    is_assumed: bool
    paper: Found | None


@dataclass(frozen=True)
class LeakageEntry:
    """A leakage test to be recorded."""

    tested_on: date
    flow_50pa_m3_s: float
    volume_m3: float | None
    exponent: float
    house_version: str
    tested_by: str
    notes: str
    after_measure_id: int | None


class MeterService:
    """Reads meters and leakage tests, and records new tests."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def meters(self) -> tuple[MeterSheet, ...]:
        """Every meter with its bills."""
        with self._project.session() as session:
            tables = tables_in(session)
            meters = session.scalars(select(m.Meter).order_by(m.Meter.id))
            return tuple(_meter(session, one, tables) for one in meters)

    def leakage_tests(self) -> tuple[LeakageRow, ...]:
        """All leakage tests, the newest first."""
        with self._project.session() as session:
            tests = session.scalars(select(m.LeakageTest).order_by(m.LeakageTest.tested_on.desc()))
            rows = [_leakage(session, one) for one in tests]
            rows += [_written_up(session, one) for one in written_leakage(session)]
            return tuple(sorted(rows, key=lambda row: row.tested_on, reverse=True))

    def record_leakage(self, entry: LeakageEntry) -> int:
        """Record a leakage test; the first one takes the place of an assumed flow. Raises `CannotRecord`."""
        if entry.flow_50pa_m3_s <= 0.0:
            raise CannotRecord("the flow must be more than 0", where="Leakage test", do="type it again")
        with self._project.action("Record a leakage test") as work:
            if entry.after_measure_id is None:
                _drop_assumed(work.session)
            test = m.LeakageTest(
                tested_on=entry.tested_on,
                flow_50pa_m3_s=entry.flow_50pa_m3_s,
                flow_exponent=entry.exponent,
                volume_m3=entry.volume_m3,
                house_version=entry.house_version,
                tested_by=entry.tested_by,
                after_measure_id=entry.after_measure_id,
                notes=entry.notes,
            )
            work.session.add(test)
            work.session.flush()
            return test.id

    def take_out_leakage(self, test_id: int) -> None:
        """Take a test out of the record. Raises `NotRecorded`."""
        with self._project.action("Take a leakage test out") as work:
            test = work.session.get(m.LeakageTest, test_id)
            if test is None:
                raise NotRecorded("this test is not recorded any more", do="undo brings it back")
            work.session.delete(test)

    def measures(self) -> tuple[tuple[int, str], ...]:
        """Measures that a test may follow, by their place in the line-up."""
        with self._project.session() as session:
            found = session.scalars(select(m.Measure).order_by(m.Measure.position))
            return tuple((one.id, one.title) for one in found)


def _drop_assumed(session: Session) -> None:
    """A flow that was only assumed makes way for a test."""
    assumed = select(m.FactNote).where(
        m.FactNote.table == m.LeakageTest.__tablename__, m.FactNote.certainty == m.Certainty.ASSUMED
    )
    for note in session.scalars(assumed):
        test = session.get(m.LeakageTest, note.row_id)
        if test is not None:
            session.delete(test)
        session.delete(note)


def by_month(bills: Iterable[tuple[date, date, float]]) -> dict[Month, float]:
    """Use of each fully covered month from (first day, day after the last, quantity), spread by day."""
    use: dict[Month, float] = {}
    days: dict[Month, int] = {}
    for start, end, quantity in bills:
        per_day = quantity / max((end - start).days, 1)
        for number in range((end - start).days):
            day = start + timedelta(days=number)
            month = (day.year, day.month)
            use[month] = use.get(month, 0.0) + per_day
            days[month] = days.get(month, 0) + 1
    return {month: value for month, value in use.items() if days[month] >= monthrange(*month)[1]}


def last_two_years(months: dict[Month, float]) -> tuple[YearOfMonths, ...]:
    """The twelve months up to the last covered one, and the twelve before, each as January to December."""
    if not months:
        return ()
    last = max(months)
    years = []
    for back in (1, 0):
        ends = (last[0] - back, last[1])
        window = [_months_before(ends, count) for count in range(12)]
        if any(month in months for month in window):
            by_number = {month[1]: months.get(month) for month in window}
            first = date(*window[-1], 1)
            name = f"{month_text(first)} to {month_text(date(*ends, 1))}"
            years.append(YearOfMonths(name, tuple(by_number[number] for number in range(1, 13))))
    return tuple(years)


def _months_before(month: Month, count: int) -> Month:
    whole = month[0] * 12 + month[1] - 1 - count
    return whole // 12, whole % 12 + 1


def _meter(session: Session, meter: m.Meter, tables: Tables) -> MeterSheet:
    account, tariff = meter.account, meter.tariffs[-1] if meter.tariffs else None
    known = [
        (one.period_start, one.period_end, one.quantity)
        for one in meter.bills
        if one.quantity is not None
        and (
            meter.fuel in DELIVERED or (one.period_end - one.period_start).days <= LONGEST_BILL_BY_MONTH_DAYS
        )
    ]
    months = by_month(known)
    return MeterSheet(
        id=meter.id,
        name=meter.name,
        fuel=str(meter.fuel),
        unit=meter.unit,
        number=meter.number,
        utility=account.utility if account else "",
        account_number=account.account_number if account else "",
        case_numbers=account.case_number if account else "",
        closed_on=account.closed_on if account else None,
        tariff=_tariff_name(tariff.tariff_key, tables) if tariff else "",
        tariff_source=tariff.source if tariff else "",
        bills=tuple(_bill(one) for one in reversed(meter.bills)),
        years=last_two_years(months),
        last_year=_last_year(meter.bills),
        sources=sources_of(session, "meter", meter.id),
    )


def _last_year(bills: list[m.Bill]) -> BillsTotal | None:
    """Use and cost of the last year's bills; None when they cover less than a year or one does not tell."""
    if not bills:
        return None
    since = bills[-1].period_end - timedelta(days=YEAR_OF_BILLS_DAYS)
    within = [one for one in bills if one.period_start >= since]
    days = sum((one.period_end - one.period_start).days for one in within)
    use = [one.quantity for one in within if one.quantity is not None]
    costs = [one.cost_cents for one in within if one.cost_cents is not None]
    if len(use) < len(within) or len(costs) < len(within) or days < YEAR_OF_BILLS_DAYS - 20:
        return None
    return BillsTotal(days, sum(use), sum(costs))


def _tariff_name(key: str, tables: Tables) -> str:
    try:
        return tables.tariff(key).name
    except NotInTable:
        return key


def _bill(one: m.Bill) -> BillRow:
    days = (one.period_end - one.period_start).days
    return BillRow(
        id=one.id,
        period_start=one.period_start,
        period_end=one.period_end,
        days=days,
        kind=one.kind,
        quantity=one.stated("quantity"),
        exported=one.exported,
        cost_cents=one.stated("cost_cents"),
        per_day=None if one.quantity is None or days <= 0 else one.quantity / days,
    )


def _leakage(session: Session, test: m.LeakageTest) -> LeakageRow:
    firm = session.get(m.Firm, test.firm_id) if test.firm_id else None
    after = session.get(m.Measure, test.after_measure_id) if test.after_measure_id else None
    paper = session.get(m.Paper, test.paper_id) if test.paper_id else None
    notes = sources_of(session, "leakage_test", test.id)
    return LeakageRow(
        id=test.id,
        tested_on=test.tested_on,
        house_version=test.house_version,
        flow_50pa_m3_s=test.flow_50pa_m3_s,
        exponent=test.flow_exponent,
        volume_m3=test.volume_m3,
        ach50=None if not test.volume_m3 else air_changes_at_50_pa(test.flow_50pa_m3_s, test.volume_m3),
        leakage_area_m2=_area_m2(test.flow_50pa_m3_s, test.flow_exponent),
        by=", ".join(part for part in (test.tested_by, firm.name if firm else "") if part),
        after=after.title if after else "",
        notes=test.notes,
        is_assumed=any(note.certainty is m.Certainty.ASSUMED for note in notes),
        paper=Found(paper.title, "paper", Place(PageKey.PAPERS, "paper", paper.id)) if paper else None,
    )


def _written_up(session: Session, test: WrittenLeakage) -> LeakageRow:
    paper = session.get(m.Paper, test.paper_id) if test.paper_id else None
    return LeakageRow(
        id=None,
        tested_on=test.tested_on,
        house_version=f"after {test.measure}",
        flow_50pa_m3_s=test.flow_50pa_m3_s,
        exponent=USUAL_EXPONENT,
        volume_m3=test.volume_m3,
        ach50=None if not test.volume_m3 else air_changes_at_50_pa(test.flow_50pa_m3_s, test.volume_m3),
        leakage_area_m2=_area_m2(test.flow_50pa_m3_s, USUAL_EXPONENT),
        by=test.by,
        after=test.measure,
        notes="Written up with the day's work; the volume is that of the newest test entered here.",
        is_assumed=False,
        paper=Found(paper.title, "paper", Place(PageKey.PAPERS, "paper", paper.id)) if paper else None,
    )


def _area_m2(flow_50pa_m3_s: float, exponent: float) -> float:
    return power_law_from_one_point(flow_50pa_m3_s, exponent=exponent).leakage_area_m2()
