"""Outdoor temperatures of the days that bills cover: those read in, else the typical year of the sums."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.proof import daily_means_f
from retrofit_desk.physics.outside_temps import OutsideTemps, day_of_typical_year
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.values.dates import day_text

if TYPE_CHECKING:
    from retrofit_desk.physics.weather import WeatherYear

Floats = NDArray[np.float64]


def outside_temps_in_use(project: Project, session: Session, weather: WeatherYear) -> OutsideTemps:
    """All tables of daily temperatures in the order they were filed; of one day the last counts.

    Raises `BadTemperatures`, and `PaperLost` or `PaperChanged` where a filed table is not what it was.
    """
    actual: dict[date, float] = {}
    papers = select(m.Paper).where(m.Paper.kind == m.PaperKind.DAILY_TEMPERATURES).order_by(m.Paper.id)
    for paper in session.scalars(papers):
        project.papers.read(paper.sha256, paper.original_name)
        actual.update(_days_of(project.papers.path(paper.sha256), paper.original_name))
    return OutsideTemps(daily_means_f(weather), actual)


def hourly_f(weather: WeatherYear, temps: OutsideTemps, days: Sequence[date]) -> Floats:
    """Hours of standard time of some days, degree F, (days, 24): a typical course about the day's mean.

    Where daily temperatures are read in at all, a day without one is not a number.
    """
    typical = weather.temp_c.reshape(-1, 24) * 1.8 + 32.0
    course = typical[[day_of_typical_year(day) for day in days]]
    if not temps.actual_f:
        return course
    means = np.array([temps.actual_f.get(day, np.nan) for day in days])
    return np.asarray(course + (means - course.mean(axis=1))[:, None])


def told_of(temps: OutsideTemps, weather_name: str) -> str:
    """Which temperatures stand behind the bills, in one clause."""
    if not temps.actual_f:
        return (
            f"the weather in use ({weather_name}), as the temperatures of the days themselves are not read in"
        )
    first, last = min(temps.actual_f), max(temps.actual_f)
    return (
        f"the daily temperatures read in, {day_text(first)} to {day_text(last)}; "
        f"where they are missing, the weather in use ({weather_name})"
    )


@lru_cache(maxsize=16)
def _days_of(path: Path, name: str) -> Mapping[date, float]:
    from retrofit_desk.exchange.daily_temperatures import read_daily_temperatures

    return read_daily_temperatures(path, name)
