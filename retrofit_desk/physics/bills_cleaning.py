"""Which bills may be leaned on: estimated reads merged, odd periods left out, each with its reason.

Limits: open M&V methods document 2.0 (billing data).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from retrofit_desk.values.quantity import count_text

SHORTEST_DAYS, LONGEST_MONTHLY_DAYS, LONGEST_BIMONTHLY_DAYS = 25, 35, 70
YEAR_DAYS, LONGEST_MISSING_DAYS = 365, 37  # a tenth of it


@dataclass(frozen=True)
class MeterSpan:
    """One bill, fill or day from `start` up to, not including, `end`; `used` is none when not known.

    `away_share`: of its days, those with nobody at home.
    """

    start: date
    end: date
    used: float | None
    is_estimated: bool = False
    away_share: float = 0.0

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
            out.append(LeftOut(span, f"it covers only {count_text(span.days, 'day')}"))
        elif span.days > limit:
            out.append(LeftOut(span, f"it covers {count_text(span.days, 'day')}"))
        else:
            kept.append(span)
    return UsableBills(tuple(kept), tuple(out))


def usable_fills(fills: Sequence[MeterSpan]) -> UsableBills:
    """A tank filled up each time: a fill of one day replaces what was used since the fill before it.

    A delivery recorded with a longer period stands for the use of that period. However long, none is left
    out: a tank is filled when it is nearly empty.
    """
    kept: list[MeterSpan] = []
    out: list[LeftOut] = []
    full_on: date | None = None
    for fill in sorted(fills, key=lambda one: one.start):
        start, end = (fill.start, fill.end) if fill.days > 1 else (full_on, fill.start)
        full_on = end
        if fill.used is None:
            out.append(LeftOut(MeterSpan(start or end, end, None), "its quantity is missing"))
        elif start is not None and start < end:
            away_days = fill.away_share * fill.days
            away = min(away_days / (end - start).days, 1.0)
            kept.append(MeterSpan(start, end, fill.used, away_share=away))
    return UsableBills(tuple(kept), tuple(out))


def by_calendar_month(days: Sequence[MeterSpan]) -> tuple[MeterSpan, ...]:
    """Single days added up: a span for each month, as long as the days that are known of it."""
    months: dict[tuple[int, int], list[MeterSpan]] = {}
    for day in days:
        months.setdefault((day.start.year, day.start.month), []).append(day)
    return tuple(
        MeterSpan(
            known[0].start, known[0].start + timedelta(days=len(known)), sum(one.used or 0.0 for one in known)
        )
        for known in months.values()
    )


def without_gap(
    bills: UsableBills, work_began: date, work_ended: date, *, by_fills: bool = False
) -> tuple[tuple[MeterSpan, ...], tuple[MeterSpan, ...]]:
    """Bills wholly before and wholly after the work, and none in between; at most a year before it.

    Fills last long: the one that reaches over the start of that year is taken whole.
    """
    before = [span for span in bills.kept if span.end <= work_began]
    if by_fills:
        last_year = [span for span in before if (work_began - span.end).days < YEAR_DAYS]
    else:
        longest = YEAR_DAYS + LONGEST_MISSING_DAYS
        last_year = [span for span in before if (work_began - span.start).days <= longest]
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
                away = (last.away_share * last.days + span.away_share * span.days) / together
                whole = MeterSpan(last.start, span.end, last.used + span.used, span.is_estimated, away)
                found[-1] = (whole, True)
                continue
        found.append((span, False))
    return found
