"""What a project tells the time by."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

Clock = Callable[[], datetime]
"""Tells the moment, zone-aware: this machine's, or the fixed one of a day of the past."""


def machine_clock() -> datetime:
    """This machine's moment, in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class StoodAt:
    """The clock of a look at the past: it stands at the moment that is looked at."""

    moment: datetime

    def __call__(self) -> datetime:
        return self.moment
