"""The clock of a story: it stands on the day that is being lived through."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

HOUSE = ZoneInfo("America/New_York")
EVENING = time(20, 0)


class StoryClock:
    """Each look is a second later, so that what happens in one evening keeps its order."""

    def __init__(self, day: date) -> None:
        self._now = datetime.combine(day, EVENING, HOUSE)

    def __call__(self) -> datetime:
        self._now += timedelta(seconds=1)
        return self._now.astimezone(UTC)

    def set(self, day: date) -> None:
        self._now = datetime.combine(day, EVENING, HOUSE)

    @property
    def today(self) -> date:
        return self._now.date()


def end_of(day: date) -> datetime:
    """The last moment of a day at the house."""
    return datetime.combine(day, time(23, 59, 59), HOUSE)
