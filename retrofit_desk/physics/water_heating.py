"""Hot water by the hour: draws, mains temperature, tank loss, the room's air."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from retrofit_desk.physics.errors import require_positive
from retrofit_desk.physics.over_arrays import over_arrays
from retrofit_desk.physics.plant_description import (
    HeatPumpTank,
    HouseholdUse,
    IndirectTank,
    InstantHeater,
    StorageHeater,
)

Array = NDArray[np.float64]
HOURS = 8760
SETTLING_H = 720  # run before the year, so that it starts in a state of its own
WATER_J_LK = 4147.0  # per liter and kelvin at 40 degC and 1 atm (CoolProp)
LB_PER_GAL, TEST_RISE_F = 8.34, 67.0  # 10 CFR 430 Subpart B App. E (from memory)
TEST_AMBIENT_F, OLD_TEST_RISE_F, OLD_TEST_GAL = 67.5, 77.0, 64.3
RATED_AIR_C, RATED_TANK_C = (67.5 - 32) / 1.8, (125.0 - 32) / 1.8

# The usual day: medium draws of 10 CFR 430 Subpart B App. E summed by hour, gallons (from memory)
MEDIUM_DRAWS_GAL = (17.0, 9.0, 0, 0, 0, 0, 0, 0, 0, 0, 9.0, 5.0, 3.0, 0, 0, 0, 5.0, 7.0, 0, 0, 0, 0, 0, 0)
TEST_STARTS_AT = 6  # the simulated-use day is taken to begin at six in the morning: common practice


@over_arrays
def mains_temp_f(day: float, mean_f: float, monthly_span_f: float, *, southern: bool = False) -> float:
    """Cold water temperature on a day of the year (Burch & Christensen 2007, second-hand)."""
    ratio = 0.4 + 0.01 * (mean_f - 44.0)
    lag = 35.0 - (mean_f - 44.0)
    angle = 0.986 * (day - 15.0 - lag) + (90.0 if southern else -90.0)
    return mean_f + 6.0 + ratio * monthly_span_f / 2.0 * math.sin(math.radians(angle))


def mains_year_c(monthly_mean_c: Array, latitude_deg: float) -> Array:
    """Cold water, (8760,) degC, from the twelve monthly mean air temperatures."""
    mean_f = float(np.mean(monthly_mean_c)) * 1.8 + 32.0
    span_f = float(np.ptp(monthly_mean_c)) * 1.8
    days = [mains_temp_f(d, mean_f, span_f, southern=latitude_deg < 0) for d in range(1, 366)]
    return np.asarray((np.repeat(np.maximum(days, 33.0), 24) - 32.0) / 1.8)


def mixed_draw_gal_day(bedrooms: float) -> float:
    """Fixtures' mixed water, 30 + 10 per bedroom (Hendron & Engebrecht 2010, second-hand)."""
    return 30.0 + 10.0 * bedrooms


def hot_share(set_point: float, use: float, mains: float) -> float:
    """Share of a mixed draw that comes from the tank."""
    return 1.0 - (set_point - use) / (set_point - mains)


def useful_heat_btu_day(gallons: float, rise_f: float = TEST_RISE_F) -> float:
    """Heat in a day's draw at 8.34 lb/gal."""
    return LB_PER_GAL * gallons * rise_f


@over_arrays
def yearly_input_kwh(gallons_per_day: float, uniform_energy_factor: float) -> float:
    """Energy input of the rated draw over 365 days. UEF compares only within a draw bin."""
    require_positive("uniform_energy_factor", uniform_energy_factor)
    return useful_heat_btu_day(gallons_per_day) * 365.0 / 3412.142 / uniform_energy_factor


def heat_from_room_kwh_day(gallons_per_day: float, uniform_energy_factor: float) -> float:
    """What a heat-pump water heater takes from its air: delivered plus standby less electricity."""
    delivered = useful_heat_btu_day(gallons_per_day) / 3412.142
    return delivered * (1.0 - 1.0 / uniform_energy_factor)


@dataclass(frozen=True)
class TankRating:
    """A tank known by the old energy factor; US units as the test was written."""

    energy_factor: float
    recovery_efficiency: float
    input_btu_h: float

    def loss_btu_h_f(self, draw_btu_day: float) -> float:
        """UA (Lutz et al., LBNL, from memory) from the old test's daily delivered heat."""
        slope = 24.0 / draw_btu_day - 1.0 / (self.recovery_efficiency * self.input_btu_h)
        return (1.0 / self.energy_factor - 1.0 / self.recovery_efficiency) / (TEST_AMBIENT_F * slope)

    def heat_loss_w_k(self, draw_btu_day: float) -> float:
        """Heat leaving the water per kelvin, W/K, for a `StorageHeater`.

        The equation counts its UA as fuel; the water loses the recovery efficiency's share of it.
        """
        return self.loss_btu_h_f(draw_btu_day) * self.recovery_efficiency * 0.29307107 * 1.8

    def input_btu_day(self, draw_btu: float, loss_btu_h_f: float, tank_less_room_f: float) -> float:
        """Daily fuel at another draw and temperature, the same equation turned round."""
        loss = loss_btu_h_f * tank_less_room_f
        return draw_btu / self.recovery_efficiency * (1.0 - loss / self.input_btu_h) + 24.0 * loss


def old_test_draw_btu_day() -> float:
    """64.3 gal/day from 58 to 135 degF; water of the mean temperature, 96.5 degF (CoolProp)."""
    return OLD_TEST_GAL * 8.2938 * 0.9980 * OLD_TEST_RISE_F


@over_arrays
def cylinder_loss_btu_h_f(gallons: float, height_by_diameter: float, r_value: float) -> float:
    """UA of an insulated cylinder, h ft2 degF/Btu; fittings of real tanks add 20-100 %."""
    volume = gallons * 0.133681
    diameter = (4.0 * volume / (math.pi * height_by_diameter)) ** (1.0 / 3.0)
    area = math.pi * diameter * diameter * height_by_diameter + math.pi * diameter**2 / 2.0
    return float(area / r_value)


@over_arrays
def coast_f(start_f: float, room_f: float, gallons: float, loss_btu_h_f: float, hours: float) -> float:
    """Tank temperature after standing without heat, exponential decay."""
    return room_f + (start_f - room_f) * math.exp(-loss_btu_h_f * hours / (LB_PER_GAL * gallons))


def recovery_gal_h(heat_btu_h: float, rise_f: float) -> float:
    """Gallons an hour that a heater warms."""
    return heat_btu_h / (LB_PER_GAL * rise_f)


@dataclass(frozen=True, eq=False)
class HotWaterYear:
    """Hot water by the hour, (8760,). Heats in W (means of the hour)."""

    fuel_w: Array
    electric_w: Array
    element_w: Array
    pilot_w: float
    heat_w: Array
    delivered_w: Array
    short_w: Array
    from_room_w: Array
    loss_w: Array
    to_zone_w: Array
    asked_of_system_w: Array
    tank_c: Array


def draw_w_k(use: HouseholdUse) -> Array:
    """Draw as a heat rate per kelvin of warming, (8760,) W/K; the same every day."""
    shape = np.array(use.draw_shape) if use.draw_shape else np.roll(MEDIUM_DRAWS_GAL, TEST_STARTS_AT)
    day = shape / shape.sum() * use.hot_water_l_per_day * WATER_J_LK / 3600.0
    return np.tile(day, 365)


def run_storage(heater: StorageHeater, use: HouseholdUse, mains_c: Array, air_c: Array) -> HotWaterYear:
    """A tank with its own burner or element; a standing pilot's heat offsets the loss."""
    pilot_heat = heater.pilot_w * heater.recovery_efficiency
    tank = _mixed_tank(heater, use, mains_c, air_c, pilot_heat)
    fuel = tank.heat / heater.recovery_efficiency
    if heater.fuel == "electricity":
        return _water_year(tank, electric_w=fuel, element_w=fuel, to_zone_w=tank.loss * heater.loss_to_zone)
    electric = np.where(tank.heat > 0, heater.electric_w, 0.0)
    return _water_year(
        tank,
        fuel_w=fuel,
        electric_w=electric,
        pilot_w=heater.pilot_w,
        to_zone_w=tank.loss * heater.loss_to_zone,
    )


def run_heat_pump_tank(heater: HeatPumpTank, use: HouseholdUse, mains_c: Array, air_c: Array) -> HotWaterYear:
    """A heat-pump tank: compressor first, element when the tank falls too far or the air is out of limits."""
    hour = np.arange(HOURS) % 24
    boost = np.isin(hour, heater.boost_hours)
    target = np.where(boost, heater.boost_c or heater.set_point_c, heater.set_point_c)
    works = (air_c >= heater.air_lowest_c) & (air_c <= heater.air_highest_c)
    numbers = (
        heater.volume_l * WATER_J_LK / 3600.0,
        heater.loss_w_k,
        heater.compressor_heat_w,
        heater.element_w,
        heater.element_below_c,
        heater.cop_rated,
        heater.cop_per_air_k,
        heater.cop_per_tank_k,
        use.hot_water_at_c,
    )
    hours = (target, works.astype(float), draw_w_k(use), mains_c, np.ascontiguousarray(air_c))
    state = _heat_pump_tank_loop(numbers, hours)
    compressor, power, element, delivered, short, loss, temp = state
    from_room = compressor - power
    tank = _Tank(compressor + element, delivered, short, loss, temp)
    return _water_year(
        tank,
        electric_w=power + element,
        element_w=element,
        from_room_w=from_room,
        to_zone_w=loss - from_room,
    )


def run_instant(heater: InstantHeater, use: HouseholdUse, mains_c: Array) -> HotWaterYear:
    """Heats what is drawn, up to its capacity."""
    asked = draw_w_k(use) * np.maximum(use.hot_water_at_c - mains_c, 0.0)
    given = np.minimum(asked, heater.capacity_w)
    tank = _Tank(given, given, asked - given, np.zeros(HOURS), np.full(HOURS, heater.set_point_c))
    electric = np.full(HOURS, heater.standby_w)
    if heater.fuel == "electricity":
        return _water_year(tank, electric_w=electric + given / heater.efficiency)
    return _water_year(tank, fuel_w=given / heater.efficiency, electric_w=electric)


def run_indirect(heater: IndirectTank, use: HouseholdUse, mains_c: Array, air_c: Array) -> HotWaterYear:
    """A tank on a heating system: what it asks of that system."""
    tank = _mixed_tank(heater, use, mains_c, air_c, 0.0)
    return _water_year(tank, to_zone_w=tank.loss, asked_of_system_w=tank.heat)


@dataclass(frozen=True, eq=False)
class _Tank:
    heat: Array
    delivered: Array
    short: Array
    loss: Array
    temp: Array


def _water_year(
    tank: _Tank,
    *,
    fuel_w: Array | None = None,
    electric_w: Array | None = None,
    element_w: Array | None = None,
    pilot_w: float = 0.0,
    from_room_w: Array | None = None,
    to_zone_w: Array | None = None,
    asked_of_system_w: Array | None = None,
) -> HotWaterYear:
    zero = np.zeros(HOURS)
    return HotWaterYear(
        fuel_w=zero if fuel_w is None else fuel_w,
        electric_w=zero if electric_w is None else electric_w,
        element_w=zero if element_w is None else element_w,
        pilot_w=pilot_w,
        heat_w=tank.heat,
        delivered_w=tank.delivered,
        short_w=tank.short,
        from_room_w=zero if from_room_w is None else from_room_w,
        loss_w=tank.loss,
        to_zone_w=zero if to_zone_w is None else to_zone_w,
        asked_of_system_w=zero if asked_of_system_w is None else asked_of_system_w,
        tank_c=tank.temp,
    )


def _mixed_tank(
    heater: StorageHeater | IndirectTank, use: HouseholdUse, mains_c: Array, air_c: Array, steady_w: float
) -> _Tank:
    numbers = (
        heater.volume_l * WATER_J_LK / 3600.0,
        heater.loss_w_k,
        heater.capacity_w,
        heater.set_point_c,
        use.hot_water_at_c,
        steady_w,
    )
    return _Tank(*_tank_loop(numbers, (draw_w_k(use), mains_c, np.ascontiguousarray(air_c))))


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator, unused-ignore]
def _tank_loop(numbers: Any, hours: Any) -> Any:
    # One mixed node, implicit in the loss; capacity in Wh/K. It loops because the tank remembers.
    capacity, loss_w_k, limit, target, use_c, steady = numbers
    draw, mains, air = hours
    n = draw.shape[0]
    heat, delivered, short, loss, temp = np.empty(n), np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    t = target
    for h in range(-min(SETTLING_H, n), n):
        i = h % n  # the last days are run first, to find the state the year starts in
        asked = draw[i] * max(use_c - mains[i], 0.0)
        # what it can give: heater at full, down to a tank no warmer than the tap wants
        floor = min(t, use_c)
        room = capacity * (t - floor) + limit + steady - loss_w_k * (floor - air[i])
        given = min(asked, max(room, 0.0))
        free = (capacity * t + steady + loss_w_k * air[i] - given) / (capacity + loss_w_k)
        need = (target - free) * (capacity + loss_w_k)
        q = min(max(need, 0.0), limit)
        t = free + q / (capacity + loss_w_k)
        heat[i], delivered[i], short[i], temp[i] = q, given, asked - given, t
        loss[i] = loss_w_k * (t - air[i])
    return heat, delivered, short, loss, temp


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator, unused-ignore]
def _heat_pump_tank_loop(numbers: Any, hours: Any) -> Any:
    # As _tank_loop, with two heaters in order; it loops because the tank remembers.
    capacity, loss_w_k, compressor_w, element_w, element_below, cop_rated, per_air, per_tank, use_c = numbers
    target, works, draw, mains, air = hours
    n = draw.shape[0]
    hp, power, element = np.empty(n), np.empty(n), np.empty(n)
    delivered, short, loss, temp = np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    t = target[0]
    for h in range(-min(SETTLING_H, n), n):
        i = h % n
        limit = compressor_w * works[i]
        asked = draw[i] * max(use_c - mains[i], 0.0)
        floor = min(t, use_c)
        room = capacity * (t - floor) + limit + element_w - loss_w_k * (floor - air[i])
        given = min(asked, max(room, 0.0))
        free = (capacity * t + loss_w_k * air[i] - given) / (capacity + loss_w_k)
        q = min(max((target[i] - free) * (capacity + loss_w_k), 0.0), limit)
        with_hp = free + q / (capacity + loss_w_k)
        aim = element_below if works[i] > 0 else target[i]
        e = min(max((aim - with_hp) * (capacity + loss_w_k), 0.0), element_w)
        before = t
        t = with_hp + e / (capacity + loss_w_k)
        water = 0.5 * (before + t)
        cop = cop_rated * (1.0 + per_air * (air[i] - 19.72)) * (1.0 + per_tank * (water - 51.67))
        cop = max(cop, 1.0)
        hp[i], power[i], element[i] = q, q / cop, e
        delivered[i], short[i], temp[i] = given, asked - given, t
        loss[i] = loss_w_k * (t - air[i])
    return hp, power, element, delivered, short, loss, temp
