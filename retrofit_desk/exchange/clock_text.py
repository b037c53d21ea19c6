"""Dates and times as tables write them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_YEAR_LAST = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})(?!\d)")
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
_NAMED = re.compile(r"(?:(\d{1,2})[- ])?([A-Za-z]{3})[a-z]*[- ,]+(?:(\d{1,2}),?[- ]+)?(\d{4}|\d{2})(?!\d)")
_TIME = re.compile(r"(?<![\d:+-])(\d{1,2}):(\d{2})(?::\d{2}(?:\.\d+)?)?\s*([AaPp])?\.?[Mm]?")
_HOUR_ONLY = re.compile(r"(\d{1,2})\s*([AaPp])\.?[Mm]\.?")
_OFFSET = re.compile(r"\d\s*(Z|[+-]\d{2}:?\d{2})$")
_ZONES = {"UTC": 0, "GMT": 0} | {
    f"{zone}{kind}T": hours + (kind == "D")
    for zone, hours in (("E", -5), ("C", -6), ("M", -7), ("P", -8))
    for kind in "SD"
}
"""Common US letters of zones; each stands for one offset."""
PLAUSIBLE = range(1990, 2100)


@dataclass(frozen=True)
class Dates:
    """How a table writes its dates."""

    day_first: bool
    notes: tuple[str, ...] = ()

    @classmethod
    def told_by(cls, cells: Iterable[str]) -> Dates:
        """Month first, as in the US, unless a first figure says otherwise."""
        pairs = [(int(one[1]), int(one[2])) for cell in cells if (one := _YEAR_LAST.search(cell))]
        if any(first > 12 for first, _ in pairs):
            return cls(day_first=True)
        is_open = bool(pairs) and not any(second > 12 for _, second in pairs)
        notes = ("dates are taken as month/day/year, which no line proves",) if is_open else ()
        return cls(day_first=False, notes=notes)

    def day(self, text: str) -> date | None:
        """The date in a cell; None where there is none."""
        try:
            if one := _YEAR_FIRST.search(text):
                return _checked(int(one[1]), int(one[2]), int(one[3]))
            if one := _YEAR_LAST.search(text):
                first, second, year = int(one[1]), int(one[2]), _full(one[3])
                month, day = (second, first) if self.day_first else (first, second)
                return _checked(year, month, day)
            if (one := _NAMED.search(text)) and one[2].casefold() in _MONTHS and (one[1] or one[3]):
                month = _MONTHS.index(one[2].casefold()) + 1
                return _checked(_full(one[4]), month, int(one[1] or one[3]))
        except ValueError:
            return None
        return None


def time_of(text: str) -> int | None:
    """Minutes after midnight, up to 24:00; a date alone is its midnight; None where there is no time."""
    if one := _TIME.search(text):
        hour, minute, half = int(one[1]), int(one[2]), one[3]
    elif one := _HOUR_ONLY.fullmatch(text.strip()):
        hour, minute, half = int(one[1]), 0, one[2]
    elif _YEAR_FIRST.fullmatch(text) or _YEAR_LAST.fullmatch(text):
        return 0
    else:
        return None
    if half is not None:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half in "Pp" else 0)
    minutes = hour * 60 + minute
    return minutes if minute < 60 and minutes <= 24 * 60 else None


def offset_of(text: str) -> int | None:
    """Seconds from UTC that a time states; None where it states none."""
    if one := _OFFSET.search(text):
        if one[1] == "Z":
            return 0
        sign = -1 if one[1][0] == "-" else 1
        return sign * (int(one[1][1:3]) * 3600 + int(one[1][-2:]) * 60)
    last = text.rsplit(" ", 1)[-1].upper()
    return _ZONES[last] * 3600 if last in _ZONES else None


def _full(year: str) -> int:
    return int(year) + 2000 if len(year) == 2 else int(year)


def _checked(year: int, month: int, day: int) -> date:
    if year not in PLAUSIBLE:
        raise ValueError(year)
    return date(year, month, day)
