"""Days on which nothing tested and running could heat the house or make hot water, as the plan stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from retrofit_desk.records.project import Project
from retrofit_desk.rules import gaps as rules
from retrofit_desk.rules.gaps import Gap, Span
from retrofit_desk.services.dated_steps import dated_steps
from retrofit_desk.services.days import today_of
from retrofit_desk.services.heat_sources import (
    LOOK_AHEAD_DAYS,
    Machine,
    heat_machines,
    needed_spans,
    water_machines,
)
from retrofit_desk.services.holds import holds_in
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.place import PageKey, Place


@dataclass(frozen=True)
class GapWarning:
    """One gap. `coldest_c`: the coldest hour of those days in the weather in use.

    `temporary_heat_w`: what would carry the house as described through that hour; none: cannot say.
    """

    sentence: str
    is_heat: bool
    days: int
    coldest_c: float | None
    temporary_heat_w: float | None
    place: Place


@dataclass(frozen=True)
class HeatWatch:
    """The gaps, and in words which machine carries the house until when."""

    gaps: tuple[GapWarning, ...]
    heat: str
    hot_water: str


class HeatWatchService:
    """Reads only; the first look loads the weather."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def look(self) -> HeatWatch:
        """Raises `CannotSay` when no weather is chosen, `CircularPlan`."""
        # the year of weather and the design load take long to load; nobody else needs them here
        from retrofit_desk.services.gap_sums import GapSums

        with self._project.session() as session:
            today = today_of(session)
            schedule = dated_steps(session, today, holds_in(session, today))
            whole = Span(today, today + timedelta(days=LOOK_AHEAD_DAYS))
            heat = heat_machines(session, schedule)
            water = water_machines(session, schedule)
            sums = GapSums(self._project, session)
            cold = needed_spans(self._project, session, whole)
            found = []
            for gap in rules.heat_gaps([one.plain for one in heat], cold):
                coldest_c = sums.coldest_c(gap.span)
                needed_w = sums.heat_needed_w(coldest_c)
                found.append(GapWarning(_by_plan(gap), True, gap.span.days, coldest_c, needed_w, _house()))
            dry = rules.hot_water_gaps([one.plain for one in water], [whole])
            found += [GapWarning(_by_plan(gap), False, gap.span.days, None, None, _house()) for gap in dry]
            return HeatWatch(
                tuple(found), _in_words("Heat", heat, today), _in_words("Hot water", water, today)
            )


def _by_plan(gap: Gap) -> str:
    return f"As the plan stands: {gap.sentence[:1].lower()}{gap.sentence[1:]}"


def _house() -> Place:
    return Place(PageKey.MEASURES, "schedule")


def _in_words(subject: str, machines: Sequence[Machine], today: date) -> str:
    """Who carries it now, until when, and who follows."""
    parts = []
    for one in machines:
        source = one.plain
        if source.gone_on is not None and source.gone_on <= today:
            continue
        if source.is_broken:
            parts.append(f"{source.name}, out of order")
        elif source.running_from is None:
            parts.append(f"{source.name}, not tested and without a planned day")
        elif one.is_planned:
            parts.append(f"{source.name} from {day_text(source.running_from)}, if its tests pass")
        elif source.gone_on is not None:
            parts.append(f"{source.name} until it goes on {day_text(source.gone_on)}")
        else:
            parts.append(f"{source.name}, tested and running")
    return f"{subject}: {'; '.join(parts)}." if parts else f"{subject}: nothing on record could give it."
