"""When everything was last saved and backed up."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import func, select

from retrofit_desk.records.models import Action, ActionKind, Site
from retrofit_desk.records.project import Project
from retrofit_desk.services.days import zone_of
from retrofit_desk.values.dates import day_of_year_text, day_text

CLOCKS_DIFFER = timedelta(hours=1)
"""A folder that two computers open in turn: their clocks are never quite alike."""


class KeptService:
    """The quiet line of the strip, and a backup on request."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def name(self) -> str:
        """What the project is called: the house's name, else its folder's."""
        with self._project.session() as session:
            site = session.scalar(select(Site))
            return site.name if site is not None and site.name else self._project.path.stem

    def line(self, now: datetime | None = None) -> str:
        """ "Saved 21:14 · backed up today", in the local time of the house."""
        with self._project.session() as session:
            here = (now or self._project.now()).astimezone(zone_of(session))
        last = self._project.last_saved
        saved = _moment_text(last, here) if last else ""
        backups = self._project.backups()
        parts = [
            f"Saved {saved}" if saved else "Nothing recorded yet",
            f"backed up {_day_text(backups[0].made_at, here)}" if backups else "not backed up yet",
        ]
        if self._project.is_read_only:
            parts.insert(0, "Read only")
        return " · ".join(parts)

    def clock_line(self) -> str:
        """What is wrong with the clock of this machine; empty while it runs on from the record."""
        done = Action.kind != ActionKind.GIVEN  # a sample house is given with days of its story
        with self._project.session() as session:
            zone = zone_of(session)
            last = session.scalar(select(func.max(Action.at)).where(done))
        now = self._project.now()
        if last is None or now >= last - CLOCKS_DIFFER:
            return ""
        said, known = now.astimezone(zone), last.astimezone(zone)
        return (
            f"This computer's clock says {day_text(said.date())}, {said:%H:%M}, but something was recorded "
            f"on {day_text(known.date())}, {known:%H:%M}. Nothing is lost; set the clock right, for what is "
            "due and what may go on is told by it."
        )

    def back_up(self) -> str:
        """Make and verify a backup; one line about it."""
        made = self._project.backup_now()
        return f"Backed up and verified: {made.name}."

    def back_up_if_due(self) -> None:
        """The daily backup, once a day; nothing for a project open for reading only."""
        if not self._project.is_read_only:
            self._project.backup_if_due()


def _moment_text(moment: datetime, here: datetime) -> str:
    local = moment.astimezone(here.tzinfo)
    clock = f"{local:%H:%M}"
    return clock if local.date() == here.date() else f"{_day_text(moment, here)} {clock}"


def _day_text(moment: datetime, here: datetime) -> str:
    local = moment.astimezone(here.tzinfo)
    days = (here.date() - local.date()).days
    if days == 0:
        return "today"
    return "yesterday" if days == 1 else day_of_year_text(local)
