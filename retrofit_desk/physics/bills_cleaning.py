"""Which bills may be leaned on: estimated reads merged, odd periods left out, each with its reason.

Limits: open M&V methods document 2.0 (billing data).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

SHORTEST_DAYS, LONGEST_MONTHLY_DAYS, LONGEST_BIMONTHLY_DAYS = 25, 35, 70
LONGEST_MISSING_DAYS = 37  # a tenth of a year


@dataclass(frozen=True)
class MeterSpan:
    """One bill from `start` up to, not including, `end`; `used` is none when not known."""

    start: date
    end: date
    used: float | None
    is_estimated: bool = False

    @property
    def days(self) -> int:
        return (self.end - self.start).days


@dataclass(frozen=True)
class LeftOut:
    """A bill that is not used, and why."""

    span: MeterSpan
    why: str


@dataclass(frozen=True)
class UsableBills:
    """Bills to fit on, and those left out."""

    kept: tuple[MeterSpan, ...]
    left_out: tuple[LeftOut, ...]

    @property
    def days(self) -> int:
        return sum(span.days for span in self.kept)


def usable_bills(
    spans: Sequence[MeterSpan], *, zero_is_missing: bool, is_bimonthly: bool = False
) -> UsableBills:
    """Merge estimated reads into the next true one (up to 70 days), leave out what is too short or too long.

    Electricity of zero is missing (`zero_is_missing`), gas of zero is a true summer.
    """
    longest = LONGEST_BIMONTHLY_DAYS if is_bimonthly else LONGEST_MONTHLY_DAYS
    kept: list[MeterSpan] = []
    out: list[LeftOut] = []
    for span, was_merged in _merged(sorted(spans, key=lambda one: one.start)):
        limit = LONGEST_BIMONTHLY_DAYS if was_merged else longest
        if span.used is None or (zero_is_missing and span.used == 0):
            out.append(LeftOut(span, "its use is missing"))
        elif span.is_estimated:
            out.append(LeftOut(span, "it was estimated and no true reading follows in time"))
        elif span.days < SHORTEST_DAYS:
            out.append(LeftOut(span, f"it covers only {span.days} days"))
        elif span.days > limit:
            out.append(LeftOut(span, f"it covers {span.days} days"))
        else:
            kept.append(span)
    return UsableBills(tuple(kept), tuple(out))


def without_gap(
    bills: UsableBills, work_began: date, work_ended: date
) -> tuple[tuple[MeterSpan, ...], tuple[MeterSpan, ...]]:
    """Bills wholly before and wholly after the work, and none in between; at most a year before it."""
    before = [span for span in bills.kept if span.end <= work_began]
    last_year = [span for span in before if (work_began - span.start).days <= 365 + LONGEST_MISSING_DAYS]
    return tuple(last_year), tuple(span for span in bills.kept if span.start >= work_ended)


def _merged(spans: Sequence[MeterSpan]) -> list[tuple[MeterSpan, bool]]:
    """Spans, and whether each swallowed an estimated one before it."""
    found: list[tuple[MeterSpan, bool]] = []
    for span in spans:
        if found:
            last, _ = found[-1]
            together = (span.end - last.start).days
            fits = last.is_estimated and last.end == span.start and together <= LONGEST_BIMONTHLY_DAYS
            if fits and last.used is not None and span.used is not None:
                whole = MeterSpan(last.start, span.end, last.used + span.used, span.is_estimated)
                found[-1] = (whole, True)
                continue
        found.append((span, False))
    return found
