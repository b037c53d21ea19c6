"""The sign of strips: seen where an engine's year has them, not seen where it has none."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.degree_days import StraightMachine, bin_year
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.meter_readings import HourTable
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_delivery import HeatingSystem
from retrofit_desk.physics.plant_machines import Resistance
from retrofit_desk.physics.plant_results import PlantYear, loads_of
from retrofit_desk.physics.strip_heat import (
    StripAnswer,
    StripSign,
    nearest_element_kw,
    strip_sign,
)
from retrofit_desk.values.errors import CannotSay
from tests.estimate.line_ups import a_line_up

FIRST = date(2026, 1, 1)


def table(used: np.ndarray) -> HourTable:
    days = tuple(FIRST + timedelta(days=at) for at in range(len(used)))
    return HourTable(days, used, used)


def all_day(temps_f: np.ndarray) -> np.ndarray:
    """Days of one temperature throughout, (days, 24)."""
    return np.repeat(np.asarray(temps_f, float)[:, None], 24, axis=1)


def made_load(temps_f: np.ndarray, *, strips: bool) -> np.ndarray:
    """600 Btu/h F and a straight machine; below its balance point strips, or simply a colder house."""
    machine = StraightMachine(17.0, 47.0, 17_000.0, 27_000.0, 2300.0, 2200.0)
    days = []
    for temp in temps_f:
        year = bin_year(((float(temp), 24.0),), 600.0, 60.0, machine)
        days.append(10.0 + year.machine_kwh + (year.backup_kwh if strips else 0.0))
    return np.repeat(np.array(days)[:, None] / 24.0, 24, axis=1)


def test_the_knee_is_the_balance_point_and_the_slope_below_it_that_of_resistance_heat() -> None:
    # DD: bin method of degree-days (ASHRAE Fundamentals form). Balance where 600 (60 - T) = 17,000 +
    # (T - 17) 10,000/30: T = (36,000 - 17,000 + 17 * 333.33)/(933.33) = 26.43 F, worked by hand.
    # Below it one degree adds (600 + 333.33)/3412.142 kW of strips, in the five hours of a night
    temps = np.linspace(8.0, 61.0, 120)
    found = strip_sign(table(made_load(temps, strips=True)), all_day(temps))
    assert found.is_knee_sure
    assert found.knee_f == pytest.approx(26.43, abs=2.0)
    strips = 5.0 * (600.0 + 10_000.0 / 30.0) / 3412.142
    assert found.cold_slope == pytest.approx(strips, rel=0.08)
    assert found.is_steep
    bare = strip_sign(table(made_load(temps, strips=False)), all_day(temps))
    assert not bare.is_steep
    assert bare.beyond_kwh < 0.05 * found.beyond_kwh


@pytest.mark.parametrize(("cop_20", "cop_50"), [(2.3, 3.6), (2.0, 3.6), (2.5, 3.5), (1.8, 3.4), (2.8, 3.3)])
@pytest.mark.parametrize("coldest", [5.0, 20.0])
def test_a_pump_alone_is_not_taken_for_strips(cop_20: float, cop_50: float, coldest: float) -> None:
    # P = UA (62 - T) / COP, the COP falling evenly: nothing but a pump, good or poor
    temps = np.linspace(coldest, 61.0, 120)
    cop = np.maximum(cop_50 + (cop_50 - cop_20) / 30.0 * (temps - 50.0), 1.3)
    daily = 10.0 + 6.0 * np.maximum(62.0 - temps, 0.0) / cop
    found = strip_sign(table(np.repeat(daily[:, None] / 24.0, 24, axis=1)), all_day(temps))
    assert not found.is_steep
    assert found.answer is StripAnswer.NO_SIGN


# the engine's own house


@cache
def house() -> HouseCase:
    """The small house with an air-source heat pump that is rather small, its rooms set back at night."""
    line_up = a_line_up("air_source_heat_pump")
    case = line_up.case(line_up.whole)
    assert case is not None
    return case


def with_strips(case: HouseCase, pump_share: float) -> HouseCase:
    """Strips of 10 kW behind a heat pump of a share of its size."""
    machines = []
    for one in case.plant.machines:
        ratings = getattr(one, "heating", None)
        if ratings is None:
            machines.append(one)
            continue
        points = tuple(
            changed(point, capacity_w=point.capacity_w * pump_share, power_w=point.power_w * pump_share)
            for point in ratings.points
        )
        machines.append(changed(one, heating=changed(ratings, points=points, low_speed_points=())))
    strips = Resistance(name="strips", capacity_w=10_000.0)
    heating: list[HeatingSystem] = [changed(one, backup="strips") for one in case.plant.heating]
    return case.with_plant(machines=(*machines, strips), heating=tuple(heating))


@cache
def year_of(pump_share: float) -> PlantYear:
    case, weather = with_strips(house(), pump_share), greensboro()
    return run_plant(case.plant, case.use, loads_of(run_year(case.house, weather), weather), weather)


def sign_of(pump_share: float) -> tuple[StripSign, float]:
    """What the meter says, and the strips' true use, kWh."""
    year, weather = year_of(pump_share), greensboro()
    used = year.hourly_w("electricity").reshape(365, 24) / 1000.0
    outdoor_f = weather.temp_c.reshape(365, 24) * 1.8 + 32.0
    return strip_sign(table(used), outdoor_f), float(year.monthly_kwh("electricity", "backup heating").sum())


def test_a_heat_pump_that_suffices_shows_no_sign() -> None:
    found, strips = sign_of(1.0)
    assert strips == pytest.approx(0.0, abs=1.0)
    assert found.answer is StripAnswer.NO_SIGN
    assert found.beyond_kwh < 50.0


def test_a_heat_pump_that_is_too_small_shows_its_strips() -> None:
    found, strips = sign_of(0.2)
    assert strips > 200.0
    assert found.answer is not StripAnswer.NO_SIGN
    assert found.is_steep
    # what stands out in the nights is a part of what the strips used
    assert 0.1 * strips < found.beyond_kwh < strips


# steps


def winter() -> np.ndarray:
    return np.concatenate(
        [np.linspace(20.0, 39.0, 30), np.linspace(48.0, 61.0, 40), np.linspace(40.0, 47.0, 20)]
    )


def flat_load(temps_f: np.ndarray) -> np.ndarray:
    """Grows evenly with the cold."""
    return np.repeat((20.0 + 0.5 * (62.0 - temps_f))[:, None] / 24.0, 24, axis=1)


def test_steps_of_an_element_on_cold_mornings_are_seen_and_sized() -> None:
    temps = winter()
    used = flat_load(temps)
    used[temps < 40.0, 6] += 9.0
    found = strip_sign(table(used), all_day(temps))
    assert found.has_steps
    assert (found.cold_step_days, found.mild_step_days) == (30, 0)
    assert found.step_kw == pytest.approx(9.0)
    assert nearest_element_kw(9.0) == 10.0
    assert found.answer in (StripAnswer.POSSIBLE, StripAnswer.LIKELY)


def test_steps_of_every_morning_are_a_water_heaters_or_a_cars() -> None:
    temps = winter()
    used = flat_load(temps)
    used[:, 6] += 4.5
    found = strip_sign(table(used), all_day(temps))
    assert found.cold_step_days == 30
    assert not found.has_steps
    assert found.answer is StripAnswer.NO_SIGN


@pytest.mark.parametrize(
    "temps",
    [
        np.linspace(45.0, 60.0, 90),
        np.linspace(20.0, 60.0, 30),
        np.full(90, np.nan),
        np.linspace(65.0, 90.0, 90),
    ],
)
def test_too_few_cold_days_cannot_say(temps: np.ndarray) -> None:
    with pytest.raises(CannotSay, match="nights of heating"):
        strip_sign(table(np.ones((len(temps), 24))), all_day(temps))


def test_a_load_that_the_cold_does_not_move_cannot_say() -> None:
    temps = winter()
    with pytest.raises(CannotSay, match="grows with the cold"):
        strip_sign(table(all_day(temps)), all_day(temps))
