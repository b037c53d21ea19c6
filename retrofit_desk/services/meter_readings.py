"""Readings of a meter by the hour or finer: looked at before they are kept, then filed whole.

The filed file is the record; what is shown is read from it each time, so that nothing stands twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache
from pathlib import Path

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.plant_from_records import FUELS
from retrofit_desk.exchange.readings_file import BadReadings, read_readings
from retrofit_desk.physics.meter_readings import DAY_S, HOUR_S, MeterReadings, by_day, by_hour, merged
from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import tables_of
from retrofit_desk.services.days import zone_of
from retrofit_desk.services.fuel_rows import kwh_of, kwh_per_unit
from retrofit_desk.services.papers import Filing, Use, file_in
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.quantity import billed_text, count_text, unit_of_many

WINTER, SUMMER = (12, 1, 2), (6, 7, 8)


@dataclass(frozen=True)
class HoursOfDay:
    """Mean use in each hour of standard time, (24,), in the meter's unit; None where nothing was read."""

    name: str
    values: tuple[float | None, ...]


@dataclass(frozen=True)
class ReadingsSummary:
    """What the readings of one meter hold, in its unit."""

    meter_id: int
    meter: str
    unit: str
    step_minutes: int
    first: date
    last: date
    readings: int
    used: float
    fed_in: float
    gaps: int
    hours_missing: float
    clock_days: tuple[tuple[date, int], ...]
    """Days of 23 or 25 hours."""
    largest_in_hour: float
    largest_at: datetime
    least_in_night: float | None
    """Median of the least hour of each night: what is never off."""
    against_bills: tuple[float, float, int] | None
    """What bills of days read whole say, what the readings say, and how many bills."""
    notes: tuple[str, ...]

    def lines(self) -> tuple[str, ...]:
        """The summary for a person, a line for each thing."""
        days = (self.last - self.first).days + 1
        fed_in = f", {billed_text(self.fed_in, self.unit)} fed in" if self.fed_in else ""
        hour = f"{self.largest_at:%I %p}".lstrip("0")
        readings, step = count_text(self.readings, "reading"), count_text(self.step_minutes, "minute")
        largest = f"{self.largest_in_hour:,.2f} {unit_of_many(self.unit)}"
        told = [
            f"{self.meter}: {readings} of {step}, "
            f"{day_text(self.first)} to {day_text(self.last)} ({count_text(days, 'day')}), "
            f"{billed_text(self.used, self.unit)} used{fed_in}",
            f"Largest hour: {largest} on {day_text(self.largest_at.date())}, from {hour}",
        ]
        if self.gaps:
            told.append(f"{count_text(self.gaps, 'gap')}, {self.hours_missing:,.1f} hours missing")
        told.extend(
            f"{day_text(day)} has {hours} hours, as the clocks changed" for day, hours in self.clock_days
        )
        if self.against_bills is not None:
            billed, read, bills = self.against_bills
            off = round((read / billed - 1.0) * 100.0, 1) + 0.0 if billed else 0.0  # no minus before a zero
            told.append(
                f"{count_text(bills, 'bill')} of the same days: {billed_text(billed, self.unit)}; "
                f"the readings say {read:,.0f} ({off:+.1f}%)".replace("-", "−")
            )
        told.extend(f"{note[:1].upper()}{note[1:]}" for note in self.notes)
        return tuple(told)


@dataclass(frozen=True)
class ReadingsSheet:
    """The readings kept for one meter: their summary, files, and mean days."""

    summary: ReadingsSummary
    files: tuple[str, ...]
    days: tuple[HoursOfDay, ...]


class MeterReadingsService:
    """Reads files of readings, keeps them, and shows what is kept."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def look(self, path: Path, meter: str | None = None) -> tuple[ReadingsSummary, ...]:
        """What a file holds, by meter; nothing is kept. Raises `BadReadings`."""
        with self._project.session() as session:
            parts = read_readings(path, zone_of(session))
            return tuple(
                _summary(session, one, in_unit)
                for one, in_unit in _by_meter(self._project, session, path, parts, meter)
            )

    def keep(self, path: Path, meter: str | None = None) -> tuple[ReadingsSummary, ...]:
        """File the readings with their meters, in one step that undo takes back. Raises `BadReadings`."""
        with self._project.action(f"Read in readings from {path.name}") as work:
            session = work.session
            found = _by_meter(self._project, session, path, read_readings(path, zone_of(session)), meter)
            told = tuple(_summary(session, one, in_unit) for one, in_unit in found)
            uses = tuple(Use(PaperSubject.METER, one.id) for one, _ in found)
            title = f"Readings of {', '.join(one.name for one, _ in found)}"
            file_in(work, path, Filing(PaperKind.METER_READINGS, title, told[0].last, uses=uses))
            return told

    def sheet(self, meter_id: int) -> ReadingsSheet | None:
        """What is kept for a meter; None where there is nothing. Raises `BadReadings`, `PaperLost`."""
        with self._project.session() as session:
            meter = session.get(m.Meter, meter_id)
            readings = readings_in_use(self._project, session, meter) if meter is not None else None
            if meter is None or readings is None:
                return None
            names = tuple(paper.original_name for paper in _papers(session, meter))
            return ReadingsSheet(_summary(session, meter, readings), names, _mean_days(session, readings))


def readings_in_use(project: Project, session: Session, meter: m.Meter) -> MeterReadings | None:
    """All that is filed for a meter, in its unit. Raises `BadReadings`, `PaperLost`, `PaperChanged`."""
    parts: list[MeterReadings] = []
    zone = zone_of(session)
    for paper in _papers(session, meter):
        project.papers.read(paper.sha256, paper.original_name)
        found = _read_filed(project.papers.path(paper.sha256), zone, paper.original_name)
        parts.extend(_in_unit_of(project, meter, one) for one in found if one.fuel == str(meter.fuel))
    return merged(parts) if parts else None


@lru_cache(maxsize=16)
def _read_filed(path: Path, zone: tzinfo, name: str) -> tuple[MeterReadings, ...]:
    return read_readings(path, zone, name)


def _papers(session: Session, meter: m.Meter) -> list[m.Paper]:
    """In the order they were filed: of one time the last counts."""
    query = (
        select(m.Paper)
        .join(m.PaperUse)
        .where(
            m.Paper.kind == PaperKind.METER_READINGS,
            m.PaperUse.subject == PaperSubject.METER,
            m.PaperUse.subject_id == meter.id,
        )
    )
    return list(session.scalars(query.order_by(m.Paper.id)).unique())


def _by_meter(
    project: Project, session: Session, path: Path, parts: Sequence[MeterReadings], name: str | None
) -> list[tuple[m.Meter, MeterReadings]]:
    """Each part with the meter it belongs to: the one named, or the only one of its fuel."""
    meters = list(session.scalars(select(m.Meter).order_by(m.Meter.id)))
    called = [one for one in meters if name is None or name in (one.name, one.key, one.number)]
    found = []
    for part in parts:
        fits = [one for one in called if str(one.fuel) == part.fuel]
        if len(fits) == 1:
            found.append((fits[0], _in_unit_of(project, fits[0], part)))
        elif name is None:
            names = ", ".join(one.name for one in meters if str(one.fuel) == part.fuel) or "none"
            raise BadReadings(
                path, f"cannot tell which meter of {part.fuel} this is", f"name it; meters recorded: {names}"
            )
    if not found:
        fuels = " and ".join(part.fuel for part in parts)
        raise BadReadings(path, f"it holds {fuels}, and '{name}' is no such meter", "name the right meter")
    return found


def _in_unit_of(project: Project, meter: m.Meter, part: MeterReadings) -> MeterReadings:
    """A volume of gas to therms, and back, by the average heat content of the table."""
    if part.unit == str(meter.unit):
        return part
    tables = tables_of(project)
    read_in = kwh_of(tables, FUELS[meter.fuel], part.unit)
    if read_in is None:
        raise CannotSay("what the readings count", f"{meter.name} in another unit than {part.unit}")
    factor = read_in / kwh_per_unit(meter, tables)
    note = f"{part.unit} counted as {factor:.3f} {meter.unit} each, the average heat content"
    return replace(
        part,
        unit=str(meter.unit),
        used=part.used * factor,
        fed_in=part.fed_in * factor,
        notes=(*part.notes, note),
    )


def _summary(session: Session, meter: m.Meter, readings: MeterReadings) -> ReadingsSummary:
    zone = zone_of(session)
    days = by_day(readings, zone)
    hours = by_hour(readings, _standard_offset_h(zone, readings))
    is_odd = (days.hours != 24.0) & (days.hours_read > 0)
    largest = int(np.nanargmax(hours.used)) if np.isfinite(hours.used).any() else 0
    begins = datetime.combine(hours.days[largest // 24], datetime.min.time(), UTC)
    shift = timedelta(hours=largest % 24 - _standard_offset_h(zone, readings))
    nights = hours.used[np.isfinite(hours.used[:, :6]).all(axis=1), :6]
    return ReadingsSummary(
        meter_id=meter.id,
        meter=meter.name,
        unit=readings.unit,
        step_minutes=readings.step_s // 60,
        first=days.days[0],
        last=days.days[-1],
        readings=len(readings),
        used=float(readings.used.sum()),
        fed_in=float(readings.fed_in.sum()),
        gaps=len(readings.gaps),
        hours_missing=sum(count for _, count in readings.gaps) * readings.step_s / HOUR_S,
        clock_days=tuple((days.days[at], round(float(days.hours[at]))) for at in np.flatnonzero(is_odd)),
        largest_in_hour=float(np.nan_to_num(hours.used.ravel()[largest])),
        largest_at=(begins + shift).astimezone(zone),
        least_in_night=float(np.median(nights.min(axis=1))) if len(nights) else None,
        against_bills=_against_bills(
            meter, days.days[0], np.where(days.is_whole, days.used - days.fed_in, np.nan)
        ),
        notes=(*readings.notes, *_about_zone(session)),
    )


def _about_zone(session: Session) -> tuple[str, ...]:
    site = session.scalar(select(m.Site))
    if site is not None and site.time_zone:
        return ()
    return ("the house's time zone is not stated; times are taken by the clock of this machine",)


def _against_bills(meter: m.Meter, first: date, used: np.ndarray) -> tuple[float, float, int] | None:
    """Bills of days that were all read whole, and the readings of the same days."""
    billed = read = 0.0
    count = 0
    for bill in meter.bills:
        start, end = (bill.period_start - first).days, (bill.period_end - first).days
        if bill.quantity is None or start < 0 or end > len(used) or not np.isfinite(used[start:end]).all():
            continue
        billed += bill.quantity - (bill.exported or 0.0)
        read += float(used[start:end].sum())
        count += 1
    return (billed, read, count) if count else None


def _mean_days(session: Session, readings: MeterReadings) -> tuple[HoursOfDay, ...]:
    """Winter, summer, and the last four weeks."""
    hours = by_hour(readings, _standard_offset_h(zone_of(session), readings))
    months = np.array([day.month for day in hours.days])
    newest = np.arange(len(hours.days)) >= len(hours.days) - 28
    chosen = (
        ("winter", np.isin(months, WINTER)),
        ("summer", np.isin(months, SUMMER)),
        ("last 28 days", newest),
    )
    found = []
    for name, days in chosen:
        values = hours.used[days]
        known = np.isfinite(values).sum(axis=0)
        if not known.any():
            continue
        sums = np.nansum(values, axis=0)
        means = tuple(float(one / count) if count else None for one, count in zip(sums, known, strict=True))
        found.append(HoursOfDay(name, means))
    return tuple(found)


def _standard_offset_h(zone: tzinfo, readings: MeterReadings) -> float:
    """Of standard time: the lesser offset of the year, north or south."""
    first = datetime.fromtimestamp(int(readings.starts_s[0]), UTC)
    offsets = [
        (first + timedelta(seconds=DAY_S * at)).astimezone(zone).utcoffset() for at in (0, 91, 182, 273)
    ]
    return min(one.total_seconds() for one in offsets if one is not None) / HOUR_S
