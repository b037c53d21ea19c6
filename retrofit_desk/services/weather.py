"""The year of weather that the sums run on."""

from __future__ import annotations

import shutil
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.values.errors import CannotSay

if TYPE_CHECKING:
    from retrofit_desk.physics.weather import WeatherYear

SHIPPED_STATION = "723170"
SHIPPED_IN_THE_NORTH = "703165"


def weather_in_use(project: Project, session: Session) -> WeatherYear:
    """The weather chosen for this house, called as the record calls it. Raises `CannotSay`, `BadWeather`."""
    choice = session.scalars(select(m.WeatherChoice).where(m.WeatherChoice.in_use)).first()
    if choice is None:
        raise CannotSay("the weather", "a weather file read in, or a typical year chosen")
    found = _hours(project, session, choice)
    return replace(found, name=choice.name, source=choice.source or found.source)


def _hours(project: Project, session: Session, choice: m.WeatherChoice) -> WeatherYear:
    if choice.paper_id is not None:
        paper = session.get_one(m.Paper, choice.paper_id)
        return _from_file(project.papers.path(paper.sha256), Path(paper.original_name).suffix)
    if choice.station in (SHIPPED_STATION, SHIPPED_IN_THE_NORTH):
        return _shipped(choice.station)
    raise CannotSay("the weather", f"the weather file of {choice.name}, read in")


@lru_cache(maxsize=2)
def _shipped(station: str) -> WeatherYear:
    from retrofit_desk.exchange.weather import greensboro, sand_point

    return greensboro() if station == SHIPPED_STATION else sand_point()


@lru_cache(maxsize=4)
def _from_file(path: Path, suffix: str) -> WeatherYear:
    from retrofit_desk.exchange.weather import read_weather

    with TemporaryDirectory() as folder:  # its ending tells the reader which form it has
        named = Path(folder) / f"weather{suffix}"
        shutil.copyfile(path, named)
        return read_weather(named)
