"""Comfort before and after: hours that the vote counts, and what warmer walls do to them."""

from __future__ import annotations

import pytest

from retrofit_desk.estimate.comfort import (
    AIR_SPEED_M_S,
    LIGHT_CLO,
    MET,
    MOST_VOTE,
    WARM_CLO,
    comfort_of,
    votes,
)
from retrofit_desk.estimate.savings import Comfort, RoomChange, RoomYear
from retrofit_desk.physics.comfort import predicted_vote
from retrofit_desk.physics.engine import run_year
from tests.estimate.builders import a_case
from tests.estimate.line_ups import a_line_up, a_simulator

WAKING = 365 * 16


def test_the_same_house_feels_the_same_before_and_after() -> None:
    found = comfort_of(a_case(), a_case(), a_simulator().weather)
    assert found is not None
    assert found.waking_hours == WAKING
    for room in found.rooms:
        assert room.before == room.after
        assert 0 <= room.before.too_cold_hours + room.before.too_warm_hours <= WAKING
        assert room.before.lowest_c < room.before.highest_c


def test_insulation_makes_the_coldest_hour_and_the_coldest_face_warmer() -> None:
    line_up = a_line_up("insulation_cavity")
    after = line_up.case(line_up.whole)
    assert after is not None
    found = comfort_of(line_up.base, after, a_simulator().weather)
    assert found is not None
    cold = found.coldest
    assert cold.after.lowest_c > cold.before.lowest_c
    assert cold.before.coldest_face_c is not None
    assert cold.after.coldest_face_c is not None
    assert cold.after.coldest_face_c > cold.before.coldest_face_c


def test_the_room_that_gains_most_need_not_be_the_coldest() -> None:
    def room(name: str, cold_hours: int) -> RoomYear:
        return RoomYear(name, cold_hours, 0, 16.0, 24.0, "", None)

    bath = RoomChange(room("bath", 2871), room("bath", 1833))
    bedroom = RoomChange(room("bedroom", 5332), room("bedroom", 5080))
    found = Comfort((bedroom, bath), WAKING, "")
    assert found.most_changed is bath
    assert found.coldest is found.coldest_after is bedroom


def test_floors_of_a_room_are_told_and_the_farthest_room_is_named() -> None:
    line_up = a_line_up("ground_source_heat_pump", "radiant_floor")
    after = line_up.case(line_up.whole)
    assert after is not None
    found = comfort_of(line_up.base, after, a_simulator().weather)
    assert found is not None
    warmest = found.warmest_floor
    assert warmest is not None
    old, new = warmest.before.floor_high_c, warmest.after.floor_high_c
    assert old is not None
    assert new is not None
    # EN 1264-2: 29 degC where people stay, 35 degC at the edge of a room (from memory)
    assert 18.0 < new <= 35.0
    lows = [room.after.floor_low_c for room in found.rooms if room.after.floor_low_c is not None]
    assert found.coolest_floor is not None
    assert found.coolest_floor.after.floor_low_c == min(lows)


def test_a_room_without_a_floor_of_its_own_tells_none() -> None:
    room = RoomYear("attic room", 0, 0, 16.0, 24.0, "", None)
    found = Comfort((RoomChange(room, room),), WAKING, "")
    assert found.coolest_floor is None
    assert found.warmest_floor is None


@pytest.mark.parametrize(("felt_c", "clo", "humidity"), [(20.0, WARM_CLO, 0.4), (26.0, LIGHT_CLO, 0.6)])
def test_the_edges_lie_where_the_standard_puts_them(felt_c: float, clo: float, humidity: float) -> None:
    # ISO 7730:2005, table A.5, category B, dwelling at 1.2 met: 22 +- 2 degC in winter, 24.5 +- 1.5 in summer
    # (from memory); the vote at the edge is half a point, within the table's rounding to half a degree
    vote = float(predicted_vote(felt_c, felt_c, AIR_SPEED_M_S, humidity, met=MET, clo=clo))
    assert abs(vote) == pytest.approx(MOST_VOTE, abs=0.15)


def test_the_hours_are_those_of_the_predicted_vote() -> None:
    # COM: ISO 7730:2005, clause 4 through `predicted_vote`; warm clothing always feels warmer than light
    case, weather = a_case(), a_simulator().weather
    zone = run_year(case.house, weather).zones[0]
    warm, light = (votes(zone, float(weather.pressure_pa.mean()), clo) for clo in (WARM_CLO, LIGHT_CLO))
    assert (warm > light).all()
    found = comfort_of(case, case, weather)
    assert found is not None
    awake = [hour for hour in range(8760) if 6 <= hour % 24 < 22]
    room = next(one.before for one in found.rooms if one.before.room == zone.name)
    assert room.too_cold_hours == sum(warm[hour] < -0.5 for hour in awake)
    assert room.too_warm_hours == sum(light[hour] > 0.5 for hour in awake)
    assert room.lowest_c == pytest.approx(min(zone.operative_c[hour] for hour in awake))
