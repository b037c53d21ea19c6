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
    if row.state is not PermitState.ISSUED:
        return None
    ends_on = row.extended_until or row.ends_on
    dates = PermitDates(row.issued_on, row.idle_days_limit, ends_on, row.final_on, active_on(row))
    end = permit_ends(dates)
    if end is None or row.extended_until is None:
        return end
    return max(end, row.extended_until)  # the office gave it in spite of the idle days
