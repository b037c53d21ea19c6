"""Tests on site as written up: what is offered, what is kept, and what the rule says about it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import cache
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules import site_tests as rules
from retrofit_desk.rules.site_tests import TestKind, TestLimits, TestRecord, TestVerdict
from retrofit_desk.values.origin import Origin
from retrofit_desk.values.quantity import Dimension, Units, number_in, parse, show, unit_word
from retrofit_desk.values.stated import StatedValue

OWN = "own:"
"""Begins the kind of a test that the table does not know; no hold asks for one."""
_NAUGHTS = re.compile(r"\.0+ ")
_ANSWERS = (m.PaperKind.PHOTO, m.PaperKind.TEST_SHEET)
_SHOWN: dict[str, tuple[Dimension, float, int | None]] = {
    "m3/s": (Dimension.AIR_FLOW, 1.0, None),
    "Pa": (Dimension.PRESSURE, 1.0, 1),
    "kPa": (Dimension.WATER_PRESSURE, 1000.0, 1),
    "degC": (Dimension.TEMPERATURE, 1.0, 1),
    "K": (Dimension.TEMPERATURE_STEP, 1.0, None),
    "kg/m3": (Dimension.DENSITY, 1.0, None),
    "kg": (Dimension.MASS, 1.0, None),
    "W": (Dimension.POWER, 1.0, None),
    "share": (Dimension.SHARE, 1.0, None),
}
"""How the unit of a recorded test is shown, its factor to the SI unit of that dimension, its decimals."""


@dataclass(frozen=True)
class WrittenTest:
    """A test as read off the gauge, in `unit` (SI where the table knows the kind); a blank was not said.

    `started` and `ended` are clock times at the house; an end before the start falls on the next day.
    `photo` is one of the photos filed with the same entry.
    """

    kind: str
    quantity: str
    value: StatedValue[float]
    unit: str
    end_value: float | None = None
    low_limit: float | None = None
    high_limit: float | None = None
    minutes_needed: float | None = None
    limit_source: str = ""
    started: time | None = None
    ended: time | None = None
    gauge: str = ""
    medium: str = ""
    ambient_change_c: float | None = None
    witness: str = ""
    photo: Path | None = None

    @property
    def minutes(self) -> float | None:
        """How long it was held, from its start and end."""
        if self.started is None or self.ended is None:
            return None
        start, end = (60 * one.hour + one.minute for one in (self.started, self.ended))
        return float((end - start) % (24 * 60))


@dataclass(frozen=True)
class TestTemplate:
    """A test that the form offers, with its limits in `unit` and what its record needs."""

    __test__ = False

    kind: str
    quantity: str
    unit: str
    low_limit: float | None
    high_limit: float | None
    minutes_needed: float | None
    limit_source: str
    asks_for: tuple[str, ...]
    medium: str = ""
    caution: str = ""


def templates_for(session: Session, measure: m.Measure) -> tuple[TestTemplate, ...]:
    """The tests of this kind of measure with the limits last written up, then others on record."""
    rows = session.scalars(
        select(m.CommissioningTest)
        .join(m.WorkEntry)
        .join(m.Measure)
        .where(m.Measure.kind == measure.kind)
        .order_by(m.WorkEntry.worked_on)
    )
    found = {kind.key: template_of(kind) for kind in _tables().test_kinds if measure.kind in kind.measures}
    for row in rows:
        stated = TestLimits(row.low_limit, row.high_limit, row.minutes_needed)
        found[row.kind] = template_of(_kind(row.kind, row.quantity, row.unit), stated, row.limit_source)
    return tuple(found.values())


def template_of(kind: TestKind, stated: TestLimits | None = None, source: str = "") -> TestTemplate:
    """A kind of test with its limits, or with those that a sheet stated."""
    limits = rules.limits_kept(kind, stated or TestLimits(None, None, None), source)
    times = f"At least {kind.times_design:g} times the highest working pressure." if kind.times_design else ""
    return TestTemplate(
        kind=kind.key,
        quantity=kind.quantity,
        unit=kind.unit,
        low_limit=limits.low,
        high_limit=limits.high,
        minutes_needed=limits.minutes,
        limit_source=source or kind.origin.source,
        asks_for=kind.asks_for,
        medium=kind.medium,
        caution=" ".join(part for part in (times, kind.caution) if part),
    )


def own_template(quantity: str, unit: str) -> TestTemplate:
    """A test that the table does not know: its limits come from the owner."""
    return template_of(_kind(own_kind(quantity), quantity, unit))


def own_kind(quantity: str) -> str:
    return OWN + "_".join(quantity.casefold().split())


def verdict_on(told: WrittenTest, units: Units) -> TestVerdict:
    """What the rule says about a test before it is recorded."""
    kind = _kind(told.kind, told.quantity, told.unit)
    record = TestRecord(
        value=told.value.value,
        end_value=told.end_value,
        minutes=told.minutes,
        has_times=told.minutes is not None,
        gauge=told.gauge,
        medium=told.medium,
        ambient_change_c=told.ambient_change_c,
        witness=told.witness,
        has_photo=told.photo is not None,
    )
    return rules.judge(kind, record, _limits_of(kind, told), _words(kind.unit, units))


def recorded(told: WrittenTest, day: date, zone: tzinfo) -> m.CommissioningTest:
    """The row, not judged yet: `settle` does, once its papers are filed."""
    kind = _kind(told.kind, told.quantity, told.unit)
    limits = _limits_of(kind, told)
    started_at = None if told.started is None else _moment(day, told.started, zone)
    ended_at = None if told.ended is None else _moment(day, told.ended, zone)
    if started_at is not None and told.minutes is not None:
        ended_at = started_at + timedelta(minutes=told.minutes)
    row = m.CommissioningTest(
        kind=told.kind,
        quantity=told.quantity,
        unit=told.unit,
        end_value=told.end_value,
        low_limit=limits.low,
        high_limit=limits.high,
        minutes=told.minutes,
        minutes_needed=limits.minutes,
        started_at=started_at,
        ended_at=ended_at,
        gauge=told.gauge.strip(),
        medium=told.medium.strip(),
        ambient_change_c=told.ambient_change_c,
        witness=told.witness.strip(),
        limit_source=told.limit_source.strip() or kind.origin.source,
    )
    row.set_stated("value", told.value)
    return row


def verdict_of(session: Session, row: m.CommissioningTest, units: Units = Units.US) -> TestVerdict:
    """What the rule says about a recorded test with the papers that are filed for it."""
    kind = _kind(row.kind, row.quantity, row.unit)
    record = TestRecord(
        value=row.value,
        end_value=row.end_value,
        minutes=row.minutes,
        has_times=row.started_at is not None and row.ended_at is not None,
        gauge=row.gauge,
        medium=row.medium,
        ambient_change_c=row.ambient_change_c,
        witness=row.witness,
        has_photo=_has_photo(session, row),
    )
    stated = TestLimits(row.low_limit, row.high_limit, row.minutes_needed)
    return rules.judge(
        kind, record, rules.limits_kept(kind, stated, row.limit_source), _words(kind.unit, units)
    )


def settle(session: Session, test_ids: set[int]) -> None:
    """Let the rule judge these tests anew, e.g. after a paper of theirs was filed or taken out."""
    session.flush()
    for test_id in test_ids:
        row = session.get(m.CommissioningTest, test_id)
        if row is not None:
            row.passed = verdict_of(session, row).passed


def reading_text(value: float, unit: str, units: Units) -> str:
    """A recorded reading in the units shown."""
    if unit in _SHOWN:
        dimension, factor, decimals = _SHOWN[unit]
        return _NAUGHTS.sub(" ", show(value * factor, dimension, units, decimals=decimals))
    if unit == "m/s" and units is Units.US:
        return f"{number_in(f'{value} m/s', 'ft/s'):.3g} ft/s"
    if unit == "ohm":
        return f"{value / 1e6:g} MΩ"
    return f"{value:g} {unit}".strip()


def reading_of(text: str, unit: str, units: Units, *, where: str, kept: str) -> float:
    """A typed reading in the unit of the record; a bare number is in the unit shown. Raises `DeskError`."""
    if unit in _SHOWN:
        dimension, factor, _decimals = _SHOWN[unit]
        return parse(text, dimension, units, where=where, kept=kept).value_si / factor
    if unit == "m/s" and units is Units.US:
        return number_in(f"{number_in(text, 'ft/s', where=where, kept=kept)} ft/s", "m/s")
    if unit == "ohm":
        return number_in(text, "MΩ", where=where, kept=kept) * 1e6
    return number_in(text, unit, where=where, kept=kept)


def reading_unit(unit: str, units: Units) -> str:
    """The unit in which a reading of this kind is typed and shown."""
    if unit in _SHOWN:
        return unit_word(_SHOWN[unit][0], units)
    if unit == "m/s" and units is Units.US:
        return "ft/s"
    return "MΩ" if unit == "ohm" else unit


def found_text(test: m.CommissioningTest, units: Units) -> str:
    """What was read: "102 psi to 101 psi, 30 min"; a missing value in its word."""
    value = test.stated("value")
    found = value.stated.value if value.value is None else reading_text(value.value, test.unit, units)
    if test.end_value is not None and value.value is not None and test.end_value != value.value:
        found += f" to {reading_text(test.end_value, test.unit, units)}"
    if test.minutes is not None:
        found += f", {test.minutes:g} min"
    return found


def limits_text(test: m.CommissioningTest, units: Units) -> str:
    """The limits that the test had to keep, and for how long."""
    parts = []
    if test.low_limit is not None:
        parts.append(f"at least {reading_text(test.low_limit, test.unit, units)}")
    if test.high_limit is not None:
        parts.append(f"at most {reading_text(test.high_limit, test.unit, units)}")
    if test.minutes_needed is not None:
        parts.append(f"for {test.minutes_needed:g} min")
    return ", ".join(parts)


def _has_photo(session: Session, row: m.CommissioningTest) -> bool:
    filed = (
        select(m.PaperUse.id)
        .join(m.Paper)
        .where(
            m.PaperUse.subject == m.PaperSubject.TEST,
            m.PaperUse.subject_id == row.id,
            m.Paper.kind.in_(_ANSWERS),
        )
    )
    return session.scalar(filed.limit(1)) is not None


def _limits_of(kind: TestKind, told: WrittenTest) -> TestLimits:
    stated = TestLimits(told.low_limit, told.high_limit, told.minutes_needed)
    return rules.limits_kept(kind, stated, told.limit_source)


def _words(unit: str, units: Units) -> Callable[[float], str]:
    return lambda value: reading_text(value, unit, units)


def _moment(day: date, clock: time, zone: tzinfo) -> datetime:
    return datetime.combine(day, clock, zone).astimezone(UTC)


def _kind(key: str, quantity: str, unit: str) -> TestKind:
    """The kind from the table, or one of the owner's own that asks for gauge and witness."""
    known = next((one for one in _tables().test_kinds if one.key == key), None)
    if known is not None:
        return known
    origin = Origin("", "", date.min, "")
    asks_for = ("gauge", "witness")
    return TestKind(key, quantity, quantity, unit, None, None, None, None, "", None, asks_for, (), "", origin)


@cache
def _tables() -> Tables:
    return Tables()
