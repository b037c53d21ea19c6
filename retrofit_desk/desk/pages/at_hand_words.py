"""The lines of At hand, in words."""

from __future__ import annotations

from datetime import date
from math import ceil, floor, log10

from retrofit_desk.desk.widgets.lines import LineButton, RunsOut, StackedLine, hold_line
from retrofit_desk.services.at_hand import NotYetLine, ReadyLine
from retrofit_desk.services.endings import LOOK_AHEAD_DAYS, EndingLine
from retrofit_desk.services.heat_watch import GapWarning
from retrofit_desk.services.waits import Waiting
from retrofit_desk.values.dates import day_text, days_text
from retrofit_desk.values.quantity import Dimension, Units, count_text, in_unit, show, unit_word


def spare_words(days: int | None) -> str:
    """`no day to spare`, `3 days to spare`, `2 days late`; empty where no schedule says."""
    if days is None:
        return ""
    if days == 0:
        return "no day to spare"
    count = count_text(abs(days), "day")
    return f"{count} to spare" if days > 0 else f"{count} late"


def ready_line(line: ReadyLine, buttons: tuple[LineButton, ...]) -> StackedLine:
    aside = spare_words(line.days_to_spare)
    if line.booked_in_days is not None:
        aside = days_text(line.booked_in_days)
    elif line.days_left is not None:
        aside = f"{count_text(line.days_left, 'day')} left"
    return StackedLine(line.title, line.why, aside, line.place, line.is_late, buttons)


def not_yet_line(line: NotYetLine) -> StackedLine:
    return hold_line(line.sentence, line.frees, line.place)


def wait_line(wait: Waiting, today: date, buttons: tuple[LineButton, ...]) -> StackedLine:
    since = f", since {day_text(wait.since)}" if wait.since is not None else ""
    near = days_text((wait.ask_again_on - today).days)
    said = f" {wait.last_said}" if wait.last_said else ""
    why = f"With {wait.with_whom}{since}; ask again on {day_text(wait.ask_again_on)}, {near}.{said}"
    return StackedLine(wait.what, why, "", wait.place, wait.is_due(today), buttons)


def end_bar(line: EndingLine) -> RunsOut:
    """The bar's length is the part of the span that is left; without a known start, of four months."""
    seen = line.seen
    start = seen.ending.starts_on
    whole = LOOK_AHEAD_DAYS if start is None else (seen.ending.ends_on - start).days
    ending = seen.ending
    when = day_text(ending.ends_on)
    return RunsOut(ending.what, when, seen.days_left, whole, line.place, line.needs_owner, why=ending.means)


def _at_least(power_w: float, units: Units) -> str:
    """Rounded up to two digits: the weather of those days is not known any better."""
    shown = in_unit(power_w, Dimension.POWER, units)
    step = 10 ** (floor(log10(shown)) - 1) if shown > 0 else 1
    return f"{ceil(shown / step) * step:,.10g} {unit_word(Dimension.POWER, units)}"


def gap_line(gap: GapWarning, units: Units) -> StackedLine:
    parts = []
    if gap.coldest_c is not None:
        coldest = show(gap.coldest_c, Dimension.TEMPERATURE, units)
        parts.append(f"The coldest hour of those days in the weather in use is {coldest}.")
    if gap.temporary_heat_w is not None:
        power = _at_least(gap.temporary_heat_w, units)
        parts.append(f"About {power} of temporary heat would carry the house as described through it.")
    if gap.is_heat:
        parts.append("Fuel-burning temporary heaters need air and a carbon monoxide alarm.")
    return StackedLine(gap.sentence, " ".join(parts), "", gap.place, needs_owner=True)
