"""How each office gives its visits, and the first day on which it can come."""

from __future__ import annotations

from datetime import date, datetime, time

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.booking import BookingRule
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.services.days import now_of, today_of, zone_of
from retrofit_desk.services.work_days import calendar_in
from retrofit_desk.values.errors import DeskError

MORNING = time(8)
"""A story stands still on its day: it is called from in the morning."""


class OfficeUnclear(DeskError):
    """A booking rule that cannot be recorded as it stands."""


class BookingService:
    """The owner writes down once how an office gives its visits; days to book follow from it."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def rule(self, firm_id: int) -> BookingRule | None:
        """What is known of this office; none: nothing."""
        with self._project.session() as session:
            return rules_in(session).get(firm_id)

    def keep(self, firm_id: int, rule: BookingRule | None) -> None:
        """From now on it gives its visits like this; none: nothing is known any more."""
        with self._project.action("Say how an office gives its visits") as work:
            session = work.session
            if session.get(m.Firm, firm_id) is None:
                raise OfficeUnclear("this office is no longer recorded", do="undo, or choose another one")
            row = session.scalar(select(m.BookingRule).where(m.BookingRule.firm_id == firm_id))
            if rule is None:
                if row is not None:
                    session.delete(row)
                return
            if row is None:
                row = m.BookingRule(firm_id=firm_id)
                session.add(row)
            row.lead_days = rule.lead_days
            row.call_by = f"{rule.call_by:%H:%M}" if rule.call_by is not None else ""
            row.weekdays = "".join(str(day + 1) for day in sorted(rule.weekdays))
            row.slots, row.words = "\n".join(rule.slots), rule.words

    def does_not_fit(self, firm_id: int | None, visit: date) -> str:
        """Why this is not a day the office usually gives; empty when it is, or nothing is known."""
        with self._project.session() as session:
            rule = rules_in(session).get(firm_id or 0)
            if rule is None:
                return ""
            return rule.does_not_fit(visit, called_at(session), calendar_in(session).offices)


def rules_in(session: Session) -> dict[int, BookingRule]:
    """Office -> how it gives its visits."""
    return {row.firm_id: _plain(row) for row in session.scalars(select(m.BookingRule))}


def called_at(session: Session) -> datetime:
    """This moment by the clock at the house."""
    today, now = today_of(session), now_of(session).astimezone(zone_of(session))
    return now if now.date() == today else datetime.combine(today, MORNING)


def earliest_in(session: Session) -> dict[int, date]:
    """Office -> the first day on which it comes when it is called now."""
    rules = rules_in(session)
    if not rules:
        return {}
    now, office = called_at(session), calendar_in(session).offices
    return {firm_id: rule.earliest(now, office) for firm_id, rule in rules.items()}


def earliest_visits(session: Session) -> dict[int, date]:
    """Visit that is not booked -> the first day on which its office can come."""
    by_office = earliest_in(session)
    if not by_office:
        return {}
    open_visits = session.execute(
        select(m.Inspection.id, m.Permit.authority_id)
        .join(m.Permit, m.Permit.id == m.Inspection.permit_id)
        .where(m.Inspection.result == InspectionResult.NOT_BOOKED)
    )
    return {key: by_office[office] for key, office in open_visits if office in by_office}


def _plain(row: m.BookingRule) -> BookingRule:
    return BookingRule(
        row.lead_days,
        time.fromisoformat(row.call_by) if row.call_by else None,
        frozenset(int(day) - 1 for day in row.weekdays),
        tuple(line for line in row.slots.splitlines() if line.strip()),
        row.words,
    )
