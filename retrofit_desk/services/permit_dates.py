"""When an issued permit lapses: by its own end, its extension, or too long without a visit."""

from __future__ import annotations

from datetime import date

from retrofit_desk.records import models as m
from retrofit_desk.records.models.permits import PermitState
from retrofit_desk.rules.permits import PermitDates, permit_ends


def active_on(row: m.Permit) -> tuple[date, ...]:
    """The days on which something happened under a permit."""
    return tuple(day for day in (row.issued_on, *(visit.visited_on for visit in row.inspections)) if day)


def lapses_on(row: m.Permit) -> date | None:
    """The last day on which it stands; none while it is not issued, and none once it is final."""
    if row.state not in (PermitState.ISSUED, PermitState.EXPIRED):
        return None
    dates = PermitDates(
        row.issued_on, row.idle_days_limit, row.ends_on, row.final_on, active_on(row), row.extended_until
    )
    return permit_ends(dates)


def state_on(row: m.Permit, today: date) -> PermitState:
    """Its state on a day: what was issued and has lapsed since is expired, though nobody wrote that down."""
    end = lapses_on(row)
    return PermitState.EXPIRED if end is not None and end < today else row.state
