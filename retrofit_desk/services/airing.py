"""Which way a window should be hinged to catch the wind of summer evenings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house import NotRecorded, compass_word
from retrofit_desk.services.weather import weather_in_use
from retrofit_desk.values.errors import CannotSay

if TYPE_CHECKING:
    from retrofit_desk.physics.weather import WeatherYear

EVENING = range(18, 24)
"""Hours, ending, in which a house is aired after a warm day (common practice, no source)."""
LEAST_GAIN = 0.02
"""Below it either side is as good."""


@dataclass(frozen=True)
class HingeAdvice:
    """The better side as seen from outside, None where both are alike, and by how much it catches more wind.

    `wind_from_deg`: where the wind of those evenings comes from on the whole, clockwise from north.
    """

    side: Literal["left", "right"] | None
    gain_share: float
    wind_from_deg: float
    weather: str


class AiringService:
    """Answers for the windows of one house from the weather in use."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def hinge(self, opening_id: int) -> HingeAdvice:
        """Raises `NotRecorded`, `CannotSay` without a direction of the wall or a weather."""
        with self._project.session() as session:
            row = session.get(m.Opening, opening_id)
            if row is None:
                raise NotRecorded("this window is not recorded any more", do="open its face again")
            if row.surface.azimuth_deg is None:
                raise CannotSay(f"which way {row.name} should open", "the way its wall faces", where="House")
            return hinge_advice(row.surface.azimuth_deg, weather_in_use(self._project, session))


def hinge_advice(faces_deg: float, weather: WeatherYear) -> HingeAdvice:
    """By the wind that an open leaf at either side catches, hour by hour, weighted by its speed."""
    import numpy as np

    from retrofit_desk.physics.airflow import catch
    from retrofit_desk.physics.description import Opening
    from retrofit_desk.physics.weather import HOURS, MONTH_OF_HOUR

    summer = (6, 7, 8, 9) if weather.latitude_deg >= 0.0 else (12, 1, 2, 3)
    hour_of_day = np.arange(HOURS) % 24 + 1
    chosen = np.isin(MONTH_OF_HOUR + 1, summer) & np.isin(hour_of_day, list(EVENING))
    speed, blows_from = weather.wind_m_s[chosen], np.radians(weather.wind_dir_deg[chosen])
    caught = {}
    for side in ("left", "right"):
        leaf = Opening(name=side, area_m2=1.0, height_m=1.0, faces_deg=faces_deg % 360.0, hinge=side)
        caught[side] = float((speed * catch(leaf, weather.wind_dir_deg)[chosen]).sum())
    better: Literal["left", "right"] = "left" if caught["left"] > caught["right"] else "right"
    worse = min(caught.values())
    gain = max(caught.values()) / worse - 1.0 if worse > 0.0 else 0.0
    mean = np.arctan2((speed * np.sin(blows_from)).sum(), (speed * np.cos(blows_from)).sum())
    return HingeAdvice(
        better if gain >= LEAST_GAIN else None, gain, float(np.degrees(mean)) % 360.0, weather.name
    )


def hinge_words(advice: HingeAdvice) -> str:
    """The answer in one or two sentences."""
    wind = f"The wind of summer evenings comes mostly from the {compass_word(advice.wind_from_deg)}"
    basis = f"({advice.weather}; how much a leaf catches is common practice, no source)."
    if advice.side is None:
        return f"{wind}: hinged at either side it catches about as much {basis}"
    share = f"{advice.gain_share:.0%} more than at the other"
    return f"{wind}: hinged at the {advice.side}, seen from outside, it catches {share} {basis}"
