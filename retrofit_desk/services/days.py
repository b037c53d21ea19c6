"""The day the record is looked at from."""

from __future__ import annotations

from datetime import UTC, date, datetime, tzinfo
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records.models import Site


def today_of(session: Session) -> date:
    """Today at the house; a story (the sample house) stands still on its own day."""
    site: Site | None = session.scalar(select(Site))
    story: date | None = site.story_date if site is not None else None
    if story is not None:
        return story
    return datetime.now(zone_of(session)).date()


def zone_of(session: Session) -> tzinfo:
    """The time zone at the house, or that of this machine where none is stated."""
    site: Site | None = session.scalar(select(Site))
    if site is not None and site.time_zone:
        return ZoneInfo(site.time_zone)
    return datetime.now().astimezone().tzinfo or UTC
