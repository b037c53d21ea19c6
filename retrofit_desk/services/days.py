"""The day the record is looked at from."""

from __future__ import annotations

from datetime import UTC, date, datetime, tzinfo
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records.clock import Clock, StoodAt
from retrofit_desk.records.models import Site


def today_of(session: Session) -> date:
    """Today at the house; a story (the sample house) stands still on its day, its past on earlier ones."""
    site: Site | None = session.scalar(select(Site))
    story: date | None = site.story_date if site is not None else None
    here = now_of(session).astimezone(zone_of(session)).date()
    if story is None:
        return here
    return min(story, here) if isinstance(session.info["now"], StoodAt) else story


def now_of(session: Session) -> datetime:
    """The moment by the project's clock, in UTC."""
    clock: Clock = session.info["now"]
    return clock().astimezone(UTC)


def made_now(session: Session) -> datetime:
    """The moment by the clock at the house, on the day the record is looked at from: an answer of today."""
    now = now_of(session).astimezone(zone_of(session))
    return datetime.combine(today_of(session), now.timetz())


def zone_of(session: Session) -> tzinfo:
    """The time zone at the house, or that of this machine where none is stated."""
    site: Site | None = session.scalar(select(Site))
    if site is not None and site.time_zone:
        return ZoneInfo(site.time_zone)
    return datetime.now().astimezone().tzinfo or UTC
