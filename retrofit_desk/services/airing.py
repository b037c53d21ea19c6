"""When the family opens the windows, and which way one should be hinged to catch the evening wind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.airing_from_records import AIRING_HOURS, CLOSES_BELOW, OPENS_ABOVE, airing_control
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house import NotRecorded, compass_word
from retrofit_desk.services.house_facts import CannotBe
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


@dataclass(frozen=True)
class AiringHabit:
    """At which warmth of a room its windows are opened and shut again; `opens_above_c` None: never.

    `from_hour` up to `to_hour` (0 to 24): when they may be open; alike: all day.
    """

    opens_above_c: float | None
    closes_below_c: float | None
    from_hour: int = 0
    to_hour: int = 0


class AiringService:
    """Answers for the windows of one house from the weather in use."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def habit(self) -> AiringHabit:
        """What is recorded."""
        with self._project.session() as session:
            row = airing_control(session)
            if row is None:
                return AiringHabit(None, None)
            hours = row.details.get(AIRING_HOURS)
            begins, ends = (hours[0], (hours[-1] + 1) % 24) if hours else (0, 0)
            return AiringHabit(row.details[OPENS_ABOVE], row.details.get(CLOSES_BELOW), begins, ends)

    def change_habit(self, habit: AiringHabit) -> None:
        """Record it with the thermostat, or by itself where there is none. Raises `CannotBe`."""
        opens, closes = habit.opens_above_c, habit.closes_below_c
        if opens is not None and (closes is None or closes >= opens):
            raise CannotBe(
                "windows are shut again at a lower warmth than they are opened at", where="Shut again below"
            )
        if not (0 <= habit.from_hour <= 24 and 0 <= habit.to_hour <= 24):
            raise CannotBe("an hour of the day lies between 0 and 24", where="Hours")
        with self._project.action("Change when windows are opened") as work:
            row = airing_control(work.session) or _first_control(work.session)
            told = (OPENS_ABOVE, CLOSES_BELOW, AIRING_HOURS)
            kept = {name: value for name, value in row.details.items() if name not in told}
            row.details = kept if opens is None else kept | _told(habit)

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


def _told(habit: AiringHabit) -> dict[str, object]:
    told: dict[str, object] = {OPENS_ABOVE: habit.opens_above_c, CLOSES_BELOW: habit.closes_below_c}
    begins, ends = habit.from_hour % 24, habit.to_hour % 24
    if begins != ends:
        told[AIRING_HOURS] = [(begins + after) % 24 for after in range((ends - begins) % 24)]
    return told


def _first_control(session: Session) -> m.Equipment:
    controls = select(m.Equipment).where(
        m.Equipment.kind == m.EquipmentKind.CONTROL, m.Equipment.measure_id.is_(None)
    )
    row = session.scalars(controls.order_by(m.Equipment.id)).first()
    if row is None:
        row = m.Equipment(
            key="airing", kind=m.EquipmentKind.CONTROL, name="Windows opened by hand", details={}, serves=[]
        )
        session.add(row)
    return row
