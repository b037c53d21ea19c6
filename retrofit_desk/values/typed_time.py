"""Times of day as the owner types them."""

from __future__ import annotations

import re
from datetime import time

from retrofit_desk.values.errors import DeskError

HALF_DAY_H = 12
_CLOCK = re.compile(r"^(\d{1,2})(?::?(\d{2}))?\s*(?:([ap])\.?\s*m\.?)?$")


class NoTimeOfDay(DeskError):
    """The text typed is no time of day."""


def parse_time(text: str, *, where: str = "", kept: str = "") -> time:
    """`9:05`, `0905`, `3:40 pm`, `15:40`, `9`. Raises `NoTimeOfDay`."""
    found = _CLOCK.match(text.strip().casefold())
    if found is not None:
        hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
        fits = 1 <= hour <= HALF_DAY_H if half else hour < 2 * HALF_DAY_H
        if fits and minute < 60:
            if half:
                hour = hour % HALF_DAY_H + (HALF_DAY_H if half == "p" else 0)
            return time(hour, minute)
    raise NoTimeOfDay(f"'{text.strip()}': no time of day", where=where, kept=kept, do="type e.g. 3:40 pm")
