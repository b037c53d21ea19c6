"""Bills and deliveries typed by hand, corrected, and taken out; no day is billed twice."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models import BillKind
from retrofit_desk.records.project import Project
from retrofit_desk.records.unit_of_work import Work
from retrofit_desk.services.house import NotRecorded
from retrofit_desk.services.meters import DELIVERED, CannotRecord
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import count_text
from retrofit_desk.values.stated import StatedValue

__all__ = ["BillEntryService", "BillKind", "WrittenBill", "check_free", "kind_for"]


@dataclass(frozen=True)
class WrittenBill:
    """One bill as it is written, in the meter's unit; it runs up to, not including, `period_end`."""

    period_start: date
    period_end: date
    kind: BillKind
    quantity: StatedValue[float]
    exported: float | None
    cost_cents: StatedValue[int]
    days_away: int


class BillEntryService:
    """Every entry is one undo step."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def next_start(self, meter_id: int) -> date | None:
        """Where the last bill of the meter ended; None without one."""
        with self._project.session() as session:
            ends = session.scalars(select(m.Bill.period_end).where(m.Bill.meter_id == meter_id))
            return max(ends, default=None)

    def usual_kind(self, meter_id: int) -> BillKind:
        """A delivery for what comes by the truck, else a reading. Raises `NotRecorded`."""
        with self._project.session() as session:
            meter = session.get(m.Meter, meter_id)
            if meter is None:
                raise NotRecorded("this meter is not recorded any more", do="undo brings it back")
            return kind_for(meter)

    def written(self, bill_id: int) -> WrittenBill:
        """The bill as it stands. Raises `NotRecorded`."""
        with self._project.session() as session:
            row = session.get(m.Bill, bill_id)
            if row is None:
                raise NotRecorded("this bill is not recorded any more", do="undo brings it back")
            return WrittenBill(
                row.period_start,
                row.period_end,
                row.kind,
                row.stated("quantity"),
                row.exported,
                row.stated("cost_cents"),
                row.days_away,
            )

    def enter(self, meter_id: int, written: WrittenBill) -> int:
        """Record a bill and give its id. Raises `CannotRecord`, `NotRecorded`."""
        with self._project.action("Enter a bill") as work:
            meter = work.session.get(m.Meter, meter_id)
            if meter is None:
                raise NotRecorded("this meter is not recorded any more", do="undo brings it back")
            _check(written, meter.bills)
            row = m.Bill(period_start=written.period_start, period_end=written.period_end)
            _set(row, written)
            meter.bills.append(row)
            work.session.flush()
            return row.id

    def change(self, bill_id: int, written: WrittenBill) -> None:
        """Correct a bill. Raises `CannotRecord`, `NotRecorded`."""
        with self._project.action("Change a bill") as work:
            row = _bill(work, bill_id)
            _check(written, (one for one in row.meter.bills if one is not row))
            _set(row, written)

    def take_out(self, bill_id: int) -> None:
        """Take a bill out of the record. Raises `NotRecorded`."""
        with self._project.action("Take a bill out") as work:
            work.session.delete(_bill(work, bill_id))


def kind_for(meter: m.Meter) -> BillKind:
    """What a bill of this meter usually is."""
    return BillKind.DELIVERY if meter.fuel in DELIVERED else BillKind.READ


def check_free(start: date, end: date, bills: Iterable[m.Bill], where: str) -> None:
    """Raises `CannotRecord` where a recorded bill already counts some of these days."""
    for other in bills:
        if start < other.period_end and other.period_start < end:
            raise CannotRecord(
                f"the bill of {day_text(start)} to {day_text(end)} lies over the recorded one of "
                f"{day_text(other.period_start)} to {day_text(other.period_end)}",
                where=where,
                kept="nothing was recorded",
                do="correct the dates, or take the recorded bill out first",
            )


def _bill(work: Work, bill_id: int) -> m.Bill:
    row = work.session.get(m.Bill, bill_id)
    if row is None:
        raise NotRecorded("this bill is not recorded any more", do="undo brings it back")
    return row


def _check(written: WrittenBill, others: Iterable[m.Bill]) -> None:
    days = (written.period_end - written.period_start).days
    if days <= 0:
        raise CannotRecord("it does not end after its start", where="To", do="correct the dates")
    if not 0 <= written.days_away <= days:
        raise CannotRecord(
            f"the bill has {count_text(days, 'day')}", where="Days away", do="type as many or fewer"
        )
    check_free(written.period_start, written.period_end, others, "Bill")


def _set(row: m.Bill, written: WrittenBill) -> None:
    row.period_start, row.period_end = written.period_start, written.period_end
    row.kind, row.exported, row.days_away = written.kind, written.exported, written.days_away
    row.set_stated("quantity", written.quantity)
    row.set_stated("cost_cents", written.cost_cents)
