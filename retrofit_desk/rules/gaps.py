"""Days on which no tested and running source could heat the house or make hot water."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from retrofit_desk.values.dates import day_text

_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Source:
    """A machine that could do the job alone. Counts from `running_from` (tested and running) until `gone_on`.

    `running_from` none: not tested, so it does not count. `is_enough`: it can carry the design load.
    `is_broken`: it ran, and does not any more.
    """

    name: str
    running_from: date | None
    gone_on: date | None = None
    is_enough: bool = True
    is_broken: bool = False


@dataclass(frozen=True)
class Span:
    """Days from `first` through `last`."""

    first: date
    last: date

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1


@dataclass(frozen=True)
class Gap:
    """A gap and what the owner reads."""

    span: Span
    subject: str
    sentence: str


def heating_spans(first: date, last: date, months: Iterable[int]) -> tuple[Span, ...]:
    """The parts of a period that lie in the months that need heat."""
    wanted = set(months)
    return _runs([day for day in _days(Span(first, last)) if day.month in wanted])


def heating_months(mean_c: Sequence[float], no_heat_above_c: float) -> tuple[int, ...]:
    """Months whose mean outdoor temperature asks for heat, from twelve means."""
    return tuple(at + 1 for at, mean in enumerate(mean_c) if mean < no_heat_above_c)


def heat_gaps(sources: Iterable[Source], needed: Iterable[Span]) -> tuple[Gap, ...]:
    """Gaps in the days that need heat."""
    return _gaps(tuple(sources), needed, "heat", "could heat the house")


def hot_water_gaps(sources: Iterable[Source], needed: Iterable[Span]) -> tuple[Gap, ...]:
    """Gaps in the days on which people are at home."""
    return _gaps(tuple(sources), needed, "hot-water", "could make hot water")


def _gaps(sources: tuple[Source, ...], needed: Iterable[Span], subject: str, verb: str) -> tuple[Gap, ...]:
    open_days = [
        day for span in needed for day in _days(span) if not any(_covers(one, day) for one in sources)
    ]
    return tuple(_gap(span, sources, subject, verb) for span in _runs(sorted(set(open_days))))


def _gap(span: Span, sources: tuple[Source, ...], subject: str, verb: str) -> Gap:
    still_there = [one for one in sources if one.gone_on is None]
    not_tested = [one.name for one in still_there if one.running_from is None and not one.is_broken]
    broken = [one.name for one in still_there if one.is_broken]
    until = f"until {day_text(span.last)}" if span.days > 1 else "one day"
    why = f"; out of order: {', '.join(broken)}" if broken else ""
    why += f"; not tested yet: {', '.join(not_tested)}" if not_tested else ""
    count = f"{span.days} day{'s' if span.days > 1 else ''}"
    label = subject[:1].upper() + subject[1:]
    when = f"{count} from {day_text(span.first)}, {until}"
    sentence = f"{label} gap of {when}: nothing tested and running {verb}{why}."
    return Gap(span, subject, sentence)


def _covers(source: Source, day: date) -> bool:
    if source.running_from is None or source.is_broken or not source.is_enough or day < source.running_from:
        return False
    return source.gone_on is None or day < source.gone_on


def _days(span: Span) -> list[date]:
    return [span.first + at * _DAY for at in range(max(span.days, 0))]


def _runs(days: Sequence[date]) -> tuple[Span, ...]:
    spans: list[Span] = []
    for day in days:
        if spans and day - spans[-1].last == _DAY:
            spans[-1] = Span(spans[-1].first, day)
        else:
            spans.append(Span(day, day))
    return tuple(spans)
