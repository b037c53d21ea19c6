"""Outdoor temperature of the days that bills cover: as measured where it was, else of a typical year."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
FEWEST_KNOWN_SHARE = 0.9
"""Days of a period that must be measured: open M&V methods document 2.0, temperature coverage of a bill."""


@dataclass(frozen=True, eq=False)
class OutsideTemps:
    """Daily means, degree F: `typical_f` of the 365 days of a year, `actual_f` of dates."""

    typical_f: Floats
    actual_f: Mapping[date, float] = field(default_factory=dict)

    def of(self, start: date, end: date) -> Floats:
        """The days of a period up to, not including, its end.

        A few missing days are left out; a period with too many takes the typical year, its February 29 the
        day after.
        """
        days = [start + timedelta(days=number) for number in range((end - start).days)]
        known = [self.actual_f[day] for day in days if day in self.actual_f]
        if known and len(known) >= FEWEST_KNOWN_SHARE * len(days):
            return np.array(known)
        return self.typical_f[[day_of_typical_year(day) for day in days]]

    def is_measured(self, start: date, end: date) -> bool:
        """Whether a period's own weather is known."""
        days = [start + timedelta(days=number) for number in range((end - start).days)]
        return bool(days) and sum(day in self.actual_f for day in days) >= FEWEST_KNOWN_SHARE * len(days)


def day_of_typical_year(day: date) -> int:
    """0 to 364."""
    return min(day.timetuple().tm_yday, 365) - 1
