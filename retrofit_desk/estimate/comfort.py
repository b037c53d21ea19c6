"""What measures do to the rooms: waking hours too cold or too warm and the coldest face, before and after."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.savings import Comfort, RoomChange, RoomYear
from retrofit_desk.physics.comfort import predicted_vote
from retrofit_desk.physics.description import House
from retrofit_desk.physics.psychrometrics import relative_humidity_from_ratio
from retrofit_desk.physics.results import YearResult, ZoneYear
from retrofit_desk.physics.weather import HOUR_OF_DAY, WeatherYear
from retrofit_desk.values.known import Known

MET, WARM_CLO, LIGHT_CLO, AIR_SPEED_M_S = 1.2, 1.0, 0.5, 0.1
"""Sedentary at home, winter and summer clothing (ISO 7730:2005, annexes B and C, from memory)."""
MOST_VOTE = 0.5
"""Category B of ISO 7730:2005, annex A, and the zone of ASHRAE 55: about 10 % dissatisfied (from memory)."""
WAKES_AT_H, SLEEPS_AT_H = 6, 22
FACES_DOWN_DEG = 135.0
"""A face tilted so far or more looks down at what lies outside it: a floor of the room."""
ASSUMPTIONS = (
    "Waking hours are 6 to 22. A person sits (1.2 met) in still air and dresses between 0.5 "
    "and 1.0 clo. An hour is too cold when the predicted vote (ISO 7730, as ASHRAE 55) is below −0.5 in the "
    "warmest clothing, too warm when it is above +0.5 in the lightest. Each room gets the heat and cold its "
    "thermostat asks for: what a weak system or a bad duct leaves undone is not in it."
)


_comforts: Known[tuple[House, House, WeatherYear], Comfort | None] = Known(16)


def comfort_of(before: HouseCase, after: HouseCase, weather: WeatherYear) -> Comfort | None:
    """Every heated room that stands in both houses, run once; None where no room is the same."""
    houses = before.house, after.house
    return _comforts.get((*houses, weather), lambda: _compare(before, after, weather))


def _compare(before: HouseCase, after: HouseCase, weather: WeatherYear) -> Comfort | None:
    from retrofit_desk.physics.engine import run_year

    old, new = run_year(before.house, weather), run_year(after.house, weather)
    heated = [zone.name for zone in before.house.zones if zone.thermostat is not None]
    names = [name for name in heated if any(zone.name == name for zone in after.house.zones)]
    rooms = tuple(
        RoomChange(_room(before, old, name, weather), _room(after, new, name, weather)) for name in names
    )
    return Comfort(rooms, int(_awake().sum()), ASSUMPTIONS) if rooms else None


def votes(zone: ZoneYear, pressure_pa: float, clo: float) -> NDArray[np.float64]:
    """Predicted mean vote of each hour, (8760,)."""
    humidity = np.clip(
        relative_humidity_from_ratio(zone.air_c, zone.humidity_ratio_kg_kg, pressure_pa), 0.0, 1.0
    )
    return predicted_vote(zone.air_c, zone.mean_radiant_c, AIR_SPEED_M_S, humidity, met=MET, clo=clo)


def _room(case: HouseCase, year: YearResult, name: str, weather: WeatherYear) -> RoomYear:
    zone, awake = year.zone(name), _awake()
    pressure_pa = float(np.mean(weather.pressure_pa))
    felt = zone.operative_c[awake]
    faces = {one.name: float(one.inner_face_c.min()) for one in year.surfaces}
    own = [one.name for one in case.house.surfaces if one.zone == name and one.name in faces]
    coldest = min(own, key=faces.__getitem__, default="")
    floor_low_c, floor_high_c = _floors(case.house, year, name)
    return RoomYear(
        room=name,
        too_cold_hours=int((votes(zone, pressure_pa, WARM_CLO)[awake] < -MOST_VOTE).sum()),
        too_warm_hours=int((votes(zone, pressure_pa, LIGHT_CLO)[awake] > MOST_VOTE).sum()),
        lowest_c=float(felt.min()),
        highest_c=float(felt.max()),
        coldest_face=coldest,
        coldest_face_c=faces.get(coldest),
        floor_low_c=floor_low_c,
        floor_high_c=floor_high_c,
    )


def _floors(house: House, year: YearResult, room: str) -> tuple[float | None, float | None]:
    """Coolest and warmest waking hour of the floors that are described on the room's own side."""
    floors = {one.name for one in house.surfaces if one.zone == room and one.tilt_deg >= FACES_DOWN_DEG}
    faces = [one.inner_face_c[_awake()] for one in year.surfaces if one.name in floors]
    if not faces:
        return None, None
    return min(float(face.min()) for face in faces), max(float(face.max()) for face in faces)


def _awake() -> NDArray[np.bool_]:
    """Hours are hour-ending: the first waking hour ends at 7."""
    return np.asarray((HOUR_OF_DAY >= WAKES_AT_H) & (HOUR_OF_DAY < SLEEPS_AT_H))
