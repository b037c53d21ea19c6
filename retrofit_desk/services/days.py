"""The day the record is looked at from."""

from __future__ import annotations

from datetime import date, datetime
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
    zone = ZoneInfo(site.time_zone) if site is not None and site.time_zone else None
    return datetime.now(zone).date()
