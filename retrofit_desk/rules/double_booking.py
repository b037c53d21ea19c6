"""Firms that are planned to be in two places on the same days."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from retrofit_desk.rules.schedule import PlannedStep, StepKind


@dataclass(frozen=True)
class DoubleBooking:
    """One firm, two steps of work, and the first day on which they meet."""

    firm: str
    first: PlannedStep
    second: PlannedStep
    on: date


def double_bookings(planned: Sequence[PlannedStep], firm_of: Mapping[str, str]) -> tuple[DoubleBooking, ...]:
    """Open steps of work of one firm that lie on common days, the soonest first; `firm_of` by step key."""
    by_firm: dict[str, list[PlannedStep]] = {}
    for one in planned:
        firm = firm_of.get(one.step.key, "")
        if firm and one.step.kind is StepKind.WORK and one.step.done_on is None:
            by_firm.setdefault(firm, []).append(one)
    found = [
        DoubleBooking(firm, first, second, max(first.start, second.start))
        for firm, steps in by_firm.items()
        for first, second in combinations(sorted(steps, key=lambda one: one.start), 2)
        if first.start < second.end and second.start < first.end
    ]
    return tuple(sorted(found, key=lambda one: (one.on, one.firm)))
