"""Tests on site: the limit that applies, whether the record is complete, and whether it passed."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from retrofit_desk.values.origin import Origin


@dataclass(frozen=True)
class TestKind:
    """One kind of test, SI units. Low limit: the higher of `low_limit` and `times_design` x design value.

    `must_hold_share`: share of the start value that must be left at the end.
    """

    __test__ = False

    key: str
    name: str
    quantity: str
    unit: str
    low_limit: float | None
    high_limit: float | None
    times_design: float | None
    minutes: float | None
    medium: str
    must_hold_share: float | None
    asks_for: tuple[str, ...]
    """What the record needs to be complete: gauge, end_value, times, ambient, witness, photo."""
    measures: tuple[str, ...]
    """Kinds of measure that this test belongs to."""
    caution: str
    origin: Origin


@dataclass(frozen=True)
class TestLimits:
    """The limits for one system."""

    __test__ = False

    low: float | None
    high: float | None
    minutes: float | None


@dataclass(frozen=True)
class TestRecord:
    """What was written down; none or blank where it was not."""

    __test__ = False

    value: float | None = None
    end_value: float | None = None
    minutes: float | None = None
    has_times: bool = False
    gauge: str = ""
    medium: str = ""
    ambient_change_c: float | None = None
    witness: str = ""
    has_photo: bool = False
    """A photo of the gauge, or the signed test sheet, is filed with it."""


@dataclass(frozen=True)
class TestVerdict:
    """`passed` is none while the record is incomplete: the hold stays shut."""

    __test__ = False

    passed: bool | None
    missing: tuple[str, ...]
    sentence: str


_WORDS = {
    "gauge": "its gauge",
    "end_value": "the value at the end",
    "times": "start and end time",
    "ambient": "the change of outdoor temperature",
    "witness": "who witnessed it",
    "photo": "a photo of the gauge",
}
# "oxygen-free nitrogen" is a trade word for the right gas
_OXYGEN = re.compile(r"\boxygen\b(?![ -]free)|\bo2\b", re.IGNORECASE)


def limits_for(kind: TestKind, design_value: float | None = None) -> TestLimits:
    """Limits for a system with the given design value (e.g. its highest working pressure)."""
    scaled = kind.times_design * design_value if kind.times_design and design_value is not None else None
    lows = [one for one in (kind.low_limit, scaled) if one is not None]
    return TestLimits(max(lows, default=None), kind.high_limit, kind.minutes)


def limits_kept(kind: TestKind, stated: TestLimits, source: str) -> TestLimits:
    """The limits that count: stated ones stand once their source is named (a local sheet, the contract).

    Without a source of its own a stated limit may only be stricter than the one of the table.
    """
    usual = limits_for(kind)
    if source.strip() and source != kind.origin.source:
        return TestLimits(
            usual.low if stated.low is None else stated.low,
            usual.high if stated.high is None else stated.high,
            usual.minutes if stated.minutes is None else stated.minutes,
        )
    return TestLimits(
        max((one for one in (usual.low, stated.low) if one is not None), default=None),
        min((one for one in (usual.high, stated.high) if one is not None), default=None),
        max((one for one in (usual.minutes, stated.minutes) if one is not None), default=None),
    )


def judge(
    kind: TestKind, record: TestRecord, limits: TestLimits, written: Callable[[float], str] | None = None
) -> TestVerdict:
    """Against the limits as far as the record goes; a pass also needs a complete record.

    `written` puts a reading into words, in the units that the owner reads.
    """
    say = written or (lambda value: f"{value:g} {kind.unit}".strip())
    missing, faults = _missing(kind, record, limits), _faults(kind, record, limits, say)
    lacks = f"it needs {', '.join(missing)}" if missing else ""
    if faults:
        told = "; ".join([*faults, *([lacks] if lacks else [])])
        return TestVerdict(False, missing, f"Failed: {kind.name}, {told}.")
    if missing:
        return TestVerdict(None, missing, f"Incomplete: {kind.name}, {lacks}.")
    return TestVerdict(True, (), f"Passed: {kind.name}.")


def _missing(kind: TestKind, record: TestRecord, limits: TestLimits) -> tuple[str, ...]:
    there = {
        "gauge": bool(record.gauge.strip()),
        "end_value": record.end_value is not None,
        "times": record.has_times,
        "ambient": record.ambient_change_c is not None,
        "witness": bool(record.witness.strip()),
        "photo": record.has_photo,
    }
    found = [] if record.value is not None else ["the value"]
    if limits.low is None and limits.high is None:
        found.append("a limit to keep")
    said_by_times = "times" in kind.asks_for and not record.has_times
    if limits.minutes is not None and record.minutes is None and not said_by_times:
        found.append("how long it was held")
    if kind.medium and not record.medium.strip():
        found.append("what it was tested with")
    return tuple(found + [_WORDS[one] for one in kind.asks_for if not there[one]])


def _faults(kind: TestKind, record: TestRecord, limits: TestLimits, say: Callable[[float], str]) -> list[str]:
    faults = ["never test with oxygen"] if _OXYGEN.search(record.medium) else []
    if limits.minutes is not None and record.minutes is not None and record.minutes < limits.minutes:
        faults.append(f"held {record.minutes:g} of {limits.minutes:g} minutes")
    readings = [one for one in (record.value, record.end_value) if one is not None]
    if not readings:
        return faults
    if limits.low is not None and min(readings) < limits.low:
        faults.append(_beside(say(min(readings)), "below", say(limits.low)))
    if limits.high is not None and max(readings) > limits.high:
        faults.append(_beside(say(max(readings)), "above", say(limits.high)))
    start, end, held = record.value, record.end_value, kind.must_hold_share
    if held is not None and start is not None and end is not None and end < held * start:
        faults.append(f"fell from {say(start)} to {say(end)}")
    return faults


def _beside(reading: str, way: str, limit: str) -> str:
    """Rounded for reading, the two may look the same."""
    return f"{reading} is {'just ' if reading == limit else ''}{way} {limit}"
