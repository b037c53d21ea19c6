"""When an issued permit lapses: by its own end, its extension, or too long without activity that counts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.permits import PermitState
from retrofit_desk.records.tables import tables_in
from retrofit_desk.rules.deadlines import Ending, EndKind
from retrofit_desk.rules.permits import ActivityKind, PermitDates, PermitTemplate, last_activity, permit_ends
from retrofit_desk.values.dates import day_text

LOCAL = "The local authority decides."
EXPIRED = "Nothing may go on under it until the office extends it in writing or issues it again."


@dataclass(frozen=True)
class Activity:
    """Something that happened under a permit, and the words for it."""

    on: date
    what: str


class PermitLives:
    """How long permits stand, for one look at the record: the days of work are read once."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def lapses_on(self, row: m.Permit) -> date | None:
        """The last day on which it stands; none while it is not issued, and none once it is final."""
        if row.state not in (PermitState.ISSUED, PermitState.EXPIRED):
            return None
        return permit_ends(self._dates(row))

    def state_on(self, row: m.Permit, today: date) -> PermitState:
        """Its state on a day: what was issued and has lapsed since is expired, though none wrote so."""
        end = self.lapses_on(row)
        return PermitState.EXPIRED if end is not None and end < today else row.state

    def ending(self, row: m.Permit, today: date) -> Ending | None:
        """When it lapses, with what fixes that day."""
        end = self.lapses_on(row)
        if end is None:
            return None
        start = last_activity(self._dates(row))
        means = EXPIRED if end < today else f"{self._why(row, end, start)} {LOCAL}"
        return Ending(EndKind.PERMIT, row.title, end, start, means=means, key=f"permit:{row.id}")

    def counted(self, row: m.Permit) -> str:
        """What counts as activity, in the source's words; empty where no days are counted."""
        template = self._templates.get(row.kind)
        return template.activity_words if template is not None and row.idle_days_limit is not None else ""

    def _why(self, row: m.Permit, end: date, start: date | None) -> str:
        if end == row.extended_until:
            return "Extended in writing."
        if end == row.ends_on:
            return "As written on it."
        last = next(one for one in self._activity(row) if one.on == start)
        return f"{row.idle_days_limit} days after the last activity: {last.what}, {day_text(last.on)}."

    def _dates(self, row: m.Permit) -> PermitDates:
        days = tuple(one.on for one in self._activity(row))
        return PermitDates(
            row.issued_on, row.idle_days_limit, row.ends_on, row.final_on, days, row.extended_until
        )

    def _activity(self, row: m.Permit) -> Iterator[Activity]:
        template = self._templates.get(row.kind)
        counts = template.activity if template is not None else tuple(ActivityKind)
        if row.issued_on is not None:
            yield Activity(row.issued_on, "issued")
        if ActivityKind.VISIT in counts:
            for visit in row.inspections:
                if visit.visited_on is not None:
                    yield Activity(visit.visited_on, visit.title)
        if ActivityKind.WORK in counts:
            for link in row.measures:
                yield from self._worked.get(link.measure_id, ())

    @cached_property
    def _templates(self) -> dict[str, PermitTemplate]:
        tables = tables_in(self._session)
        return {one.permit_kind: one for one in tables.permit_templates}

    @cached_property
    def _worked(self) -> dict[int, list[Activity]]:
        """The days of work written up for each measure."""
        days = self._session.execute(
            select(m.WorkEntry.measure_id, m.WorkEntry.worked_on, m.Measure.title)
            .join(m.Measure, m.Measure.id == m.WorkEntry.measure_id)
            .where(m.WorkEntry.is_draft.is_(False))
            .distinct()
        )
        found: defaultdict[int, list[Activity]] = defaultdict(list)
        for measure_id, on, title in days:
            found[measure_id].append(Activity(on, f"work on {title}"))
        return found
