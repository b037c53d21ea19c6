"""The loads that machines are sized for, from the hourly model of a house as it would stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.case import HouseCase, changed
from retrofit_desk.estimate.design_load import DESIGN_WIND_M_S
from retrofit_desk.estimate.scenario import Terms
from retrofit_desk.physics.description import Emitter, House, Thermostat, Zone
from retrofit_desk.physics.elements import Schedule, Timed
from retrofit_desk.physics.plant_results import LoadYear, PlantYear
from retrofit_desk.physics.results import YearResult
from retrofit_desk.physics.surface_films import SIGMA_W_M2K4
from retrofit_desk.physics.weather import DAYS_IN_MONTH, HOURS, MONTH_OF_HOUR, WeatherYear

Array = NDArray[np.float64]
SPELL_DAYS = 14
"""Long enough for a brick house to settle; short beside the year that the ground remembers."""
COOLING_EXCEEDED_SHARE = 0.004
"""35 hours of a year may be hotter: the yearly percentile of ASHRAE's design conditions."""


@dataclass(frozen=True)
class RoomNeed:
    """What one room asks for, W: heat on the design day, sensible cold in the house's design hour."""

    room: str
    heat_w: float
    cold_w: float


@dataclass(frozen=True, eq=False)
class HouseNeed:
    """Loads of one house: `latent_w` in the same hour as the cold."""

    rooms: tuple[RoomNeed, ...]
    latent_w: float

    @property
    def heat_w(self) -> float:
        return sum(room.heat_w for room in self.rooms)

    @property
    def cold_w(self) -> float:
        """Sensible and latent together."""
        return sum(room.cold_w for room in self.rooms) + self.latent_w

    def room(self, name: str) -> RoomNeed:
        return next(room for room in self.rooms if room.room == name)


@dataclass(frozen=True, eq=False)
class Basis:
    """What a measure is sized on. `ahead`: the house with the measures before it, `after`: with it too.

    `whole` is the house with every measure of the line-up. `panel_a` is the main breaker and the bus of its
    panel, None where not recorded. `heated_area_m2` and `bedrooms` are those of the record.
    """

    found: HouseCase
    ahead: HouseCase
    after: HouseCase
    whole: HouseCase
    weather: WeatherYear
    loads: Callable[[HouseCase], LoadYear]
    plant_year: Callable[[HouseCase], PlantYear]
    terms: Terms
    heating_c: float
    heated_area_m2: float
    bedrooms: int
    panel_a: tuple[float, float] | None

    @cached_property
    def need_found(self) -> HouseNeed:
        return self._need(self.found)

    @cached_property
    def need_ahead(self) -> HouseNeed:
        return self._need(self.ahead)

    @cached_property
    def need_whole(self) -> HouseNeed:
        return self._need(self.whole)

    @cached_property
    def year_after(self) -> PlantYear:
        return self.plant_year(self.after)

    @cached_property
    def hours_ahead(self) -> YearResult:
        """Every hour of the house that the measure comes to."""
        from retrofit_desk.physics.engine import run_year

        return run_year(self.ahead.house, self.weather)

    @cached_property
    def gains_ahead_w(self) -> float:
        """Mean of people, appliances and sun in the rooms that are heated, over the six coldest months."""
        heated = {zone.name for zone in self.ahead.house.zones if zone.thermostat is not None}
        rooms = [zone for zone in self.hours_ahead.zones if zone.name in heated]
        gains_w = sum(zone.gains_w + zone.transmitted_sun_w for zone in rooms)
        coldest = np.argsort(self.weather.monthly_mean_temp_c())[:6]
        return float(np.mean(np.broadcast_to(gains_w, (HOURS,))[np.isin(MONTH_OF_HOUR, coldest)]))

    def _need(self, case: HouseCase) -> HouseNeed:
        return house_need(case.house, self.weather, self.heating_c, self.loads(case))


def house_need(house: House, weather: WeatherYear, heating_c: float, loads: LoadYear) -> HouseNeed:
    """Heat on the design day and cold in the hour that a few of the year exceed."""
    heat_w = design_heat_w(house, weather, heating_c)
    both_w = loads.cooling_w.sum(axis=1) + loads.latent_w.sum(axis=1)
    hour = int(np.argsort(both_w)[-1 - round(COOLING_EXCEEDED_SHARE * len(both_w))])
    rooms = tuple(
        RoomNeed(name, float(heat), float(cold))
        for name, heat, cold in zip(loads.zone_names, heat_w, loads.cooling_w[hour], strict=True)
    )
    return HouseNeed(rooms, float(loads.latent_w[hour].sum()))


def design_heat_w(house: House, weather: WeatherYear, outside_c: float) -> Array:
    """Heat that each zone needs at the end of a sunless spell at the design temperature, (zones,) W.

    No gains are credited and the day's set-point is held, as in EN 12831-1:2017 and ASHRAE Fundamentals
    ch. 18; the fabric is that of the hourly model, so that the ground keeps its own temperature.
    """
    from retrofit_desk.physics.engine import run_loads

    bare = changed(house, zones=tuple(_without_help(zone) for zone in house.zones))
    spell, hours = cold_spell(weather, outside_c)
    heating_w = run_loads(bare, spell).heating_w
    return np.asarray(heating_w[hours][-24:].mean(axis=0))


def _without_help(zone: Zone) -> Zone:
    """No gains, no setback, no limit, no cooling."""
    held = set_point_c(zone)
    thermostat = None if held is None else Thermostat(heating_c=held)
    return changed(zone, gains=(), thermostat=thermostat, heating=Emitter(), cooling=Emitter(), openings=())


def set_point_c(zone: Zone) -> float | None:
    """The warmest that the zone is heated to; None: it is not heated."""
    value: Timed | None = None if zone.thermostat is None else zone.thermostat.heating_c
    if not isinstance(value, Schedule):
        return value
    hours = (*value.hours, *(hour for month in value.by_month for hour in month))
    return max((hour for hour in hours if hour is not None), default=None)


def cold_spell(weather: WeatherYear, outside_c: float) -> tuple[WeatherYear, slice]:
    """The year with a sunless, windy, overcast spell in the middle of its coldest month, and its hours."""
    month = int(np.argmin(weather.monthly_mean_temp_c()))
    middle = sum(DAYS_IN_MONTH[:month]) + DAYS_IN_MONTH[month] // 2
    hours = slice((middle - SPELL_DAYS // 2) * 24, (middle + SPELL_DAYS // 2) * 24)

    def held(values: Array, value: float) -> Array:
        new = values.copy()
        new[hours] = value
        return new

    spell = replace(
        weather,
        name=f"{weather.name}, with a cold spell",
        temp_c=held(weather.temp_c, outside_c),
        dew_point_c=held(weather.dew_point_c, outside_c),
        rh_percent=held(weather.rh_percent, 100.0),
        wind_m_s=held(weather.wind_m_s, DESIGN_WIND_M_S),
        ir_sky_w_m2=held(weather.ir_sky_w_m2, SIGMA_W_M2K4 * (outside_c + 273.15) ** 4),
        cloud_tenths=held(weather.cloud_tenths, 10.0),
        ghi_w_m2=held(weather.ghi_w_m2, 0.0),
        dni_w_m2=held(weather.dni_w_m2, 0.0),
        dhi_w_m2=held(weather.dhi_w_m2, 0.0),
    )
    return spell, hours
