"""Which side a casement should be hinged at, by the wind of the weather in use."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from retrofit_desk.estimate.from_records import house_of
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.elements import Schedule
from retrofit_desk.physics.weather import WeatherYear
from retrofit_desk.records.project import Project
from retrofit_desk.services.airing import AiringHabit, AiringService, hinge_advice, hinge_words
from retrofit_desk.services.house import NotRecorded
from retrofit_desk.services.house_facts import CannotBe


@pytest.fixture(scope="module")
def weather() -> WeatherYear:
    return greensboro()


def _wind_from(weather: WeatherYear, deg: float) -> WeatherYear:
    return replace(weather, wind_dir_deg=np.full(8760, deg), wind_m_s=np.full(8760, 3.0))


@pytest.mark.parametrize(
    ("faces", "wind_from", "side"),
    # common practice, no source: the open leaf stands downwind and scoops what comes along the wall
    [(180.0, 270.0, "right"), (180.0, 90.0, "left"), (0.0, 270.0, "left"), (270.0, 0.0, "right")],
)
def test_the_leaf_stands_downwind(weather: WeatherYear, faces: float, wind_from: float, side: str) -> None:
    found = hinge_advice(faces, _wind_from(weather, wind_from))
    assert found.side == side
    assert found.wind_from_deg == pytest.approx(wind_from % 360.0, abs=1e-6)
    # a mirror house in mirrored wind wants the other side by the same gain
    mirrored = hinge_advice((360.0 - faces) % 360.0, _wind_from(weather, (360.0 - wind_from) % 360.0))
    assert {found.side, mirrored.side} == {"left", "right"}
    assert mirrored.gain_share == pytest.approx(found.gain_share)


def test_wind_straight_at_the_wall_favors_neither_side(weather: WeatherYear) -> None:
    found = hinge_advice(180.0, _wind_from(weather, 180.0))
    assert found.side is None
    assert "either side" in hinge_words(found)


def test_a_recorded_window_gets_its_answer_and_a_missing_one_a_clear_line(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as project:
        service = AiringService(project)
        assert "Greensboro" in hinge_words(service.hinge(2))
        with pytest.raises(NotRecorded, match="not recorded any more"):
            service.hinge(99_999)


def test_the_habit_is_recorded_read_back_and_reaches_the_engine(sample_project: Project) -> None:
    service = AiringService(sample_project)
    assert service.habit() == AiringHabit(None, None)
    night = AiringHabit(24.0, 20.0, 22, 6)
    service.change_habit(night)
    assert service.habit() == night
    with sample_project.session() as session:
        parts = [part for zone in house_of(session).zones for part in zone.openings]
    assert parts
    assert all(isinstance(part.allowed, Schedule) and part.allowed.hours.count(1.0) == 8 for part in parts)
    service.change_habit(AiringHabit(None, None))
    with sample_project.session() as session:
        assert not any(zone.openings for zone in house_of(session).zones)


@pytest.mark.parametrize(
    "habit", [AiringHabit(22.0, 23.0), AiringHabit(22.0, None), AiringHabit(24.0, 20.0, 3, 30)]
)
def test_what_cannot_be_is_refused(sample_project: Project, habit: AiringHabit) -> None:
    with pytest.raises(CannotBe):
        AiringService(sample_project).change_habit(habit)
    assert AiringService(sample_project).habit() == AiringHabit(None, None)
