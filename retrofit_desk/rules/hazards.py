"""Hazards to look for by the age of the house and the work, and when work must stop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from retrofit_desk.rules.holds import HoldAction
from retrofit_desk.values.origin import Origin

# 40 CFR 745 subpart E: paid work in houses from before 1978, above these areas of disturbed paint, sq ft.
LEAD_BEFORE_YEAR = 1978
LEAD_INSIDE_SQFT, LEAD_OUTSIDE_SQFT = 6.0, 20.0


class HazardState(StrEnum):
    SUSPECTED = "suspected"
    SENT_TO_TEST = "sent to test"
    FOUND = "found"
    NOT_FOUND = "not found"
    CLEARED = "cleared"


@dataclass(frozen=True)
class HazardKind:
    """One hazard of the table. `built_before` none: of any age. `measures` empty: whatever is done."""

    key: str
    name: str
    built_before: int | None
    measures: tuple[str, ...]
    where: str
    what_to_do: str
    caution: str
    stops_work: bool
    clearance: str
    """The paper of licensed people that lets work go on, in words that follow "until"."""
    origin: Origin


@dataclass(frozen=True)
class Finding:
    """What is on record about a hazard at one place."""

    kind: str
    state: HazardState
    stops_work: bool
    where: str = ""


def to_look_for(
    kinds: Iterable[HazardKind],
    year_built: int | None,
    measures: Iterable[str],
    findings: Iterable[Finding] = (),
) -> tuple[HazardKind, ...]:
    """Hazards the age and the planned work suggest and nobody has looked into. Unknown age counts as old."""
    planned = set(measures)
    settled = {one.kind for one in findings}
    return tuple(
        kind
        for kind in kinds
        if kind.key not in settled
        and (kind.built_before is None or year_built is None or year_built < kind.built_before)
        and any(touches(kind, one) for one in planned)
    )


def stopping(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings that stop work where they are: not cleared, not ruled out."""
    quiet = (HazardState.NOT_FOUND, HazardState.CLEARED)
    return tuple(one for one in findings if one.stops_work and one.state not in quiet)


def touches(kind: HazardKind, measure_kind: str) -> bool:
    """Whether this kind of work meets the hazard, by the table."""
    return not kind.measures or measure_kind in kind.measures


def stopped_actions(*, has_begun: bool) -> tuple[HoldAction, ...]:
    """What a find stops: work not begun may not start; where it has begun nothing is taken out or covered."""
    return (HoldAction.REMOVE, HoldAction.COVER) if has_begun else (HoldAction.START,)


def needs_lead_safe_firm(
    year_built: int | None,
    *,
    paid_work: bool,
    inside_sqft_per_room: float = 0.0,
    outside_sqft: float = 0.0,
    replaces_windows: bool = False,
) -> bool:
    """Whether paid work must be done by a lead-safe certified firm (40 CFR 745; unknown age counts as old).

    The owner's own unpaid work is not covered by the rule; the paint is as dangerous.
    """
    if not paid_work or (year_built is not None and year_built >= LEAD_BEFORE_YEAR):
        return False
    disturbs = inside_sqft_per_room > LEAD_INSIDE_SQFT or outside_sqft > LEAD_OUTSIDE_SQFT
    return disturbs or replaces_windows
