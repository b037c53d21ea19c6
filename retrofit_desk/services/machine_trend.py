"""The log of a machine's controller: looked at before it is kept, filed whole, held against its limits.

The filed file is the record; what is shown is read from it each time, so that nothing stands twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo
from functools import lru_cache
from pathlib import Path

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.exchange.trend_file import read_trend
from retrofit_desk.physics.machine_trend import (
    TEMPERATURES,
    Bools,
    Floats,
    MachineTrend,
    Quantity,
    kept,
    running,
    runs_of,
)
from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables, tables_in
from retrofit_desk.rules.site_tests import TestKind
from retrofit_desk.services.days import zone_of
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.services.site_tests import reading_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension, Units, count_text, in_unit, percent_text, show

DIFFERENCE, TANK = "temperature_difference", "tank_temperature"
MOST_STARTS_AN_HOUR = 6
STARTS_SOURCE = "common practice, no source; the maker's sheet decides"
ALLOWED_SHARE = 0.05
"""Of the readings that may lie outside while a machine starts and stops: own judgment."""
DRAWN_POINTS = 400
HAVE_LOGS = (
    m.EquipmentKind.FURNACE,
    m.EquipmentKind.BOILER,
    m.EquipmentKind.AIR_SOURCE_HEAT_PUMP,
    m.EquipmentKind.GROUND_SOURCE_HEAT_PUMP,
    m.EquipmentKind.STORAGE_TANK,
    m.EquipmentKind.WATER_HEATER,
    m.EquipmentKind.HEAT_PUMP_WATER_HEATER,
)


class TrendUnclear(DeskError):
    """A log that cannot be kept as told."""


@dataclass(frozen=True)
class TrendLineDrawn:
    """One temperature over the log, thinned out for a picture: in the units shown, none in a gap."""

    name: str
    values: tuple[float | None, ...]


@dataclass(frozen=True)
class TrendPoint:
    """One thing the log says. `is_fault`: outside its limit; none where no limit is known."""

    title: str
    words: str
    is_fault: bool | None


@dataclass(frozen=True)
class TrendSheet:
    """One log of one machine. `hours`: from first to last reading. `unit`: of the drawn lines."""

    machine: str
    name: str
    first: date
    last: date
    hours: float
    readings: int
    step_minutes: float
    points: tuple[TrendPoint, ...]
    drawn: tuple[TrendLineDrawn, ...]
    unit: str
    notes: tuple[str, ...]

    @property
    def line(self) -> str:
        """The log in one line."""
        readings, step = count_text(self.readings, "reading"), count_text(self.step_minutes, "minute")
        return f"{day_text(self.first)} to {day_text(self.last)}, {readings}, one in {step}"


@dataclass(frozen=True)
class FiledTrend:
    paper_id: int
    sheet: TrendSheet


@dataclass(frozen=True)
class _Limit:
    """Limits that a test on site kept, else those of the table."""

    low: float | None
    high: float | None
    source: str


class MachineTrendService:
    """Reads logs, files them with their machine, and shows them."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def machines(self) -> tuple[tuple[int, str], ...]:
        """Machines in the house that may have a controller with a log, (id, name)."""
        query = select(m.Equipment.id, m.Equipment.name).where(
            m.Equipment.kind.in_(HAVE_LOGS), m.Equipment.status != m.EquipmentStatus.REMOVED
        )
        with self._project.session() as session:
            return tuple((key, name) for key, name in session.execute(query.order_by(m.Equipment.id)))

    def look(self, path: Path, machine_id: int, units: Units = Units.US) -> TrendSheet:
        """What a file holds, with nothing kept. Raises `BadReadings`, `TrendUnclear`."""
        with self._project.session() as session:
            machine = _machine(session, machine_id)
            return self._sheet(session, machine, read_trend(path, zone_of(session)), path.name, units)

    def keep(self, path: Path, machine_id: int) -> int:
        """File the log with its machine, in one step. Returns the paper's id. Raises as `look`."""
        with self._project.session() as session:
            trend = read_trend(path, zone_of(session))
            ends = _day(trend, -1, zone_of(session))
        with self._project.action("File a machine's log") as work:
            machine = _machine(work.session, machine_id)
            uses = [Use(PaperSubject.EQUIPMENT, machine.id)]
            if machine.measure_id is not None:
                uses.append(Use(PaperSubject.MEASURE, machine.measure_id))
            title = f"Log of {machine.name}"
            return file_in(work, path, Filing(PaperKind.TREND, title, ends, uses=tuple(uses)))[0]

    def filed(self, machine_id: int, units: Units = Units.US) -> tuple[FiledTrend, ...]:
        """All logs of a machine, the newest first. Raises `BadReadings`, `PaperLost`, `PaperChanged`."""
        with self._project.session() as session:
            machine = _machine(session, machine_id)
            query = (
                select(m.Paper)
                .join(m.PaperUse)
                .where(
                    m.Paper.kind == PaperKind.TREND,
                    m.PaperUse.subject == PaperSubject.EQUIPMENT,
                    m.PaperUse.subject_id == machine_id,
                )
                .order_by(m.Paper.on_paper.desc(), m.Paper.id.desc())
            )
            found: list[FiledTrend] = []
            for paper in session.scalars(query):
                self._project.papers.read(paper.sha256, paper.original_name)
                path = self._project.papers.path(paper.sha256)
                trend = _read(path, zone_of(session), paper.original_name)
                sheet = self._sheet(session, machine, trend, paper.original_name, units)
                found.append(FiledTrend(paper.id, sheet))
            return tuple(found)

    def _sheet(
        self, session: Session, machine: m.Equipment, trend: MachineTrend, name: str, units: Units
    ) -> TrendSheet:
        zone = zone_of(session)
        ran = running(trend)
        points = tuple(_points(session, machine, trend, ran, tables_in(session), units))
        drawn, unit = _drawn(trend, units)
        moments = trend.moments_s
        return TrendSheet(
            machine=machine.name,
            name=name,
            first=_day(trend, 0, zone),
            last=_day(trend, -1, zone),
            hours=float(moments[-1] - moments[0]) / 3600.0,
            readings=len(moments),
            step_minutes=round(trend.step_s / 60.0, 2),
            points=points,
            drawn=drawn,
            unit=unit,
            notes=trend.notes,
        )


def _points(
    session: Session,
    machine: m.Equipment,
    trend: MachineTrend,
    ran: Bools | None,
    tables: Tables,
    units: Units,
) -> Iterator[TrendPoint]:
    """How it ran, then what was logged while it ran, each against its limit."""
    if ran is None:
        yield TrendPoint(
            "When it ran cannot be said", "the log has no power, and no supply with return", None
        )
        counted = np.ones(len(trend.moments_s), bool)
    else:
        yield _starts(trend, ran)
        counted = ran
    apart = trend.difference_k
    if apart is not None and ran is not None:
        limit = _limit(session, machine, tables, DIFFERENCE)
        yield from _against("Supply and return apart", apart, counted, "K", limit, units)
    for line in trend.lines:
        unit = (
            "W" if line.quantity is Quantity.POWER else "m3/s" if line.quantity is Quantity.FLOW else "degC"
        )
        always = line.quantity in (Quantity.OUTDOOR, Quantity.ROOM, Quantity.TANK)
        there = np.ones(len(counted), bool) if always else counted
        limit = _limit(session, machine, tables, TANK) if line.quantity is Quantity.TANK else None
        limit = limit or _tested(session, machine, line.quantity, unit)
        title = f"{line.quantity[:1].upper()}{line.quantity[1:]}"
        yield from _against(title, line.values, there, unit, limit, units)


def _starts(trend: MachineTrend, ran: Bools) -> TrendPoint:
    """Short cycling: without a buffer or enough open zones a machine starts again and again."""
    runs = runs_of(trend, ran)
    hours = float(trend.moments_s[-1] - trend.moments_s[0]) / 3600.0
    length = (
        ""
        if runs.median_minutes is None
        else f"; half of its runs last {runs.median_minutes:.0f} min or less"
    )
    starts = f"{count_text(runs.starts, 'start')} in {count_text(round(hours), 'hour')}"
    words = (
        f"{starts}, most {runs.most_starts_in_hour} in one hour{length}; "
        f"it ran {percent_text(runs.share_of_time)} of the time. "
        f"Limit: {MOST_STARTS_AN_HOUR} an hour ({STARTS_SOURCE})."
    )
    is_fault = runs.most_starts_in_hour > MOST_STARTS_AN_HOUR
    title = "It starts too often: a buffer, or more zones open" if is_fault else "Starts and runs"
    return TrendPoint(title, words, is_fault)


def _against(
    title: str, values: Floats, counted: Bools, unit: str, limit: _Limit | None, units: Units
) -> Iterator[TrendPoint]:
    low, high = (limit.low, limit.high) if limit is not None else (None, None)
    found = kept(values, counted, low, high)
    if found is None:
        return
    least, middle, most = (_text(one, unit, units) for one in (found.low, found.middle, found.high))
    words = f"{least} to {most}, half of the readings up to {middle}"
    if limit is None or found.share_outside is None:
        yield TrendPoint(title, f"{words}; no limit is on record.", None)
        return
    is_fault = found.share_outside > ALLOWED_SHARE
    parts = [f"at least {_text(low, unit, units)}"] if low is not None else []
    parts += [f"at most {_text(high, unit, units)}"] if high is not None else []
    verdict = (
        f"outside for {percent_text(found.share_outside)} of the readings"
        if found.share_outside
        else "kept throughout"
    )
    yield TrendPoint(title, f"{words}. Limit: {', '.join(parts)} ({limit.source}): {verdict}.", is_fault)


def _text(value: float, unit: str, units: Units) -> str:
    """Water's flow is told in gallons, not as air; power is what the meter counts, not heat."""
    if unit in ("m3/s", "W"):
        return show(value, Dimension.WATER_FLOW if unit == "m3/s" else Dimension.ELECTRIC_POWER, units)
    return reading_text(value, unit, units)


def _limit(session: Session, machine: m.Equipment, tables: Tables, key: str) -> _Limit | None:
    """As the last test of this kind on the machine stated it, else as the table of tests does."""
    tests = [one for one in _tests(session, machine) if one.kind == key]
    if tests:
        return _stated(tests[-1])
    kind = next((one for one in tables.test_kinds if one.key == key), None)
    measure = session.get(m.Measure, machine.measure_id) if machine.measure_id else None
    if kind is None or (measure is not None and measure.kind not in kind.measures):
        return None
    return _of_table(kind)


def _tested(session: Session, machine: m.Equipment, quantity: Quantity, unit: str) -> _Limit | None:
    """A test of the owner's own that names this quantity and has limits in its unit."""
    words = set(quantity.split())
    fits = [
        one
        for one in _tests(session, machine)
        if one.unit == unit
        and words <= set(one.quantity.casefold().split())
        and (one.low_limit is not None or one.high_limit is not None)
    ]
    return _stated(fits[-1]) if fits else None


def _tests(session: Session, machine: m.Equipment) -> list[m.CommissioningTest]:
    """Written up for this machine, or for the measure that brought it, the oldest first."""
    query = select(m.CommissioningTest).join(m.WorkEntry).where(m.WorkEntry.is_draft.is_(False))
    rows = session.scalars(query.order_by(m.WorkEntry.worked_on, m.CommissioningTest.id))
    return [
        one
        for one in rows
        if one.equipment_id == machine.id
        or (one.equipment_id is None and one.entry.measure_id == machine.measure_id)
    ]


def _stated(test: m.CommissioningTest) -> _Limit:
    source = f"tested {day_text(test.entry.worked_on)}"
    return _Limit(
        test.low_limit, test.high_limit, f"{source}; {test.limit_source}" if test.limit_source else source
    )


def _of_table(kind: TestKind) -> _Limit:
    return _Limit(kind.low_limit, kind.high_limit, kind.origin.source)


def _drawn(trend: MachineTrend, units: Units) -> tuple[tuple[TrendLineDrawn, ...], str]:
    """Temperatures thinned out to means of equal times."""
    edges = np.linspace(
        trend.moments_s[0], trend.moments_s[-1] + 1, min(DRAWN_POINTS, len(trend.moments_s)) + 1
    )
    at = np.clip(np.searchsorted(edges, trend.moments_s, side="right") - 1, 0, len(edges) - 2)
    drawn = []
    temperatures = [one for one in trend.lines if one.quantity in TEMPERATURES]
    for line in sorted(temperatures, key=lambda one: TEMPERATURES.index(one.quantity)):
        there = np.isfinite(line.values)
        count = np.bincount(at[there], minlength=len(edges) - 1)
        sums = np.bincount(at[there], line.values[there], minlength=len(edges) - 1)
        values = tuple(
            in_unit(total / many, Dimension.TEMPERATURE, units) if many else None
            for total, many in zip(sums.tolist(), count.tolist(), strict=True)
        )
        drawn.append(TrendLineDrawn(str(line.quantity), values))
    return tuple(drawn), "°F" if units is Units.US else "°C"


def _day(trend: MachineTrend, at: int, zone: tzinfo) -> date:
    return datetime.fromtimestamp(int(trend.moments_s[at]), UTC).astimezone(zone).date()


def _machine(session: Session, machine_id: int) -> m.Equipment:
    row = session.get(m.Equipment, machine_id)
    if row is None:
        raise TrendUnclear("this machine is no longer recorded", kept="nothing was read in", do="choose one")
    return row


@lru_cache(maxsize=8)
def _read(path: Path, zone: tzinfo, name: str) -> MachineTrend:
    return read_trend(path, zone, name)
