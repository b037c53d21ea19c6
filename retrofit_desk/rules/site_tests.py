"""Tests on site: the limit that applies, whether the record is complete, and whether it passed."""

from __future__ import annotations

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


@dataclass(frozen=True)
class TestVerdict:
    """`passed` is none while the record is incomplete: the hold stays shut."""

    __test__ = False

    passed: bool | None
    missing: tuple[str, ...]
    sentence: str


_WORDS = {
    "gauge": "the gauge",
    "end_value": "the value at the end",
    "times": "start and end time",
    "ambient": "the change of outdoor temperature",
    "witness": "who witnessed it",
    "photo": "a photo of the gauge",
}


def limits_for(kind: TestKind, design_value: float | None = None) -> TestLimits:
    """Limits for a system with the given design value (e.g. its highest working pressure)."""
    scaled = kind.times_design * design_value if kind.times_design and design_value is not None else None
    lows = [one for one in (kind.low_limit, scaled) if one is not None]
    return TestLimits(max(lows, default=None), kind.high_limit, kind.minutes)


def judge(kind: TestKind, record: TestRecord, limits: TestLimits) -> TestVerdict:
    """Complete first, then against the limits."""
    missing = _missing(kind, record, limits)
    if missing or record.value is None:
        return TestVerdict(None, missing, f"Incomplete: {kind.name} lacks {', '.join(missing)}.")
    faults = _faults(kind, record, record.value, limits)
    if faults:
        return TestVerdict(False, (), f"Failed: {kind.name}, {'; '.join(faults)}.")
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
    if limits.minutes is not None and record.minutes is None:
        found.append("how long it was held")
    return tuple(found + [_WORDS[one] for one in kind.asks_for if not there[one]])


def _faults(kind: TestKind, record: TestRecord, value: float, limits: TestLimits) -> list[str]:
    lowest = min(value, record.end_value) if record.end_value is not None else value
    faults: list[str] = []
    if limits.low is not None and lowest < limits.low:
        faults.append(f"{lowest:g} {kind.unit} is below {limits.low:g}")
    if limits.high is not None and value > limits.high:
        faults.append(f"{value:g} {kind.unit} is above {limits.high:g}")
    if limits.minutes is not None and record.minutes is not None and record.minutes < limits.minutes:
        faults.append(f"held {record.minutes:g} of {limits.minutes:g} minutes")
    held = kind.must_hold_share
    if held is not None and record.end_value is not None and record.end_value < held * value:
        faults.append(f"fell from {value:g} to {record.end_value:g} {kind.unit}")
    if kind.medium and "oxygen" in record.medium.lower():
        faults.append("never test with oxygen")
    return faults
