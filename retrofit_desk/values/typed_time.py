"""Times of day as the owner types them, and as an office says them."""

from __future__ import annotations

import re
from datetime import time

from retrofit_desk.values.errors import DeskError

HALF_DAY_H = 12
_CLOCK = re.compile(r"^(\d{1,2})(?::?(\d{2}))?\s*(?:([ap])\.?\s*m\.?)?$")


class NoTimeOfDay(DeskError):
    """The text typed is no time of day."""


def clock_text(clock: time) -> str:
    """`3 p.m.`, `7:30 a.m.`, `noon`: a time of day as an office in the US says it."""
    if clock == time(HALF_DAY_H):
        return "noon"
    hour = clock.hour % HALF_DAY_H or HALF_DAY_H
    minutes = f":{clock.minute:02}" if clock.minute else ""
    return f"{hour}{minutes} {'a' if clock.hour < HALF_DAY_H else 'p'}.m."


def parse_time(text: str, *, where: str = "", kept: str = "") -> time:
    """`9:05`, `0905`, `3:40 pm`, `15:40`, `9`, `noon`. Raises `NoTimeOfDay`."""
    typed = text.strip().casefold()
    if typed == "noon":
        return time(HALF_DAY_H)
    found = _CLOCK.match(typed)
    if found is not None:
        hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
        fits = 1 <= hour <= HALF_DAY_H if half else hour < 2 * HALF_DAY_H
        if fits and minute < 60:
            if half:
                hour = hour % HALF_DAY_H + (HALF_DAY_H if half == "p" else 0)
            return time(hour, minute)
    raise NoTimeOfDay(f"'{text.strip()}': no time of day", where=where, kept=kept, do="type e.g. 3:40 pm")
