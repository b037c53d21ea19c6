"""What a simulated year gives back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.weather import DAYS_IN_MONTH, MONTH_OF_HOUR

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Peak:
    """Largest hourly mean; `hour` counts from 0 = the hour ending at 01:00 on 1 January."""

    power_w: float
    hour: int

    @property
    def stamp(self) -> str:
        """Month, day and hour-ending clock time, as MM-DD HH:00."""
        day, clock = divmod(self.hour, 24)
        month = 0
        while day >= DAYS_IN_MONTH[month]:
            day -= DAYS_IN_MONTH[month]
            month += 1
        return f"{month + 1:02d}-{day + 1:02d} {clock + 1:02d}:00"


@dataclass(frozen=True, eq=False)
class ZoneYear:
    """One zone, 8,760 hourly means; heat and cold are not negative."""

    name: str
    air_c: Array
    mean_radiant_c: Array
    heating_w: Array
    cooling_w: Array
    outdoor_air_w: Array  # heat brought by leakage, fans and opened windows
    outdoor_air_m3_s: Array
    gains_w: Array
    transmitted_sun_w: Array
    humidity_ratio_kg_kg: Array
    latent_cooling_w: Array

    @property
    def operative_c(self) -> Array:
        """Mean of air and mean radiant temperature (still air)."""
        return (self.air_c + self.mean_radiant_c) / 2.0


@dataclass(frozen=True, eq=False)
class SurfaceYear:
    """One surface: sun on its opaque part, shade taken off, and unshaded."""

    name: str
    incident_sun_w_m2: Array
    unshaded_sun_w_m2: Array
    inner_face_c: Array
    pipe_plane_c: Array | None  # where floor loops lie


@dataclass(frozen=True, eq=False)
class WindowYear:
    """One window: sun on it, let through, and absorbed in its panes."""

    name: str
    surface: str
    incident_sun_w_m2: Array
    transmitted_sun_w: Array
    absorbed_sun_w: Array


@dataclass(frozen=True)
class Balance:
    """The year's heat account of the whole network, Wh. `residual_share` is the gap against the traffic."""

    sun_and_sky_wh: float
    boundaries_wh: float
    outdoor_air_wh: float
    gains_wh: float
    heating_wh: float
    cooling_wh: float
    stored_wh: float
    residual_share: float


@dataclass(frozen=True, eq=False)
class YearResult:
    """A simulated year of one house in one weather."""

    house: str
    weather: str
    zones: tuple[ZoneYear, ...]
    surfaces: tuple[SurfaceYear, ...]
    windows: tuple[WindowYear, ...]
    balance: Balance
    start_repeats: int
    start_settled: bool
    unsettled_hours: int

    @property
    def heating_w(self) -> Array:
        """All zones together, hourly."""
        return np.asarray(sum((z.heating_w for z in self.zones), np.zeros(8760)))

    @property
    def cooling_w(self) -> Array:
        """All zones together, hourly, sensible."""
        return np.asarray(sum((z.cooling_w for z in self.zones), np.zeros(8760)))

    @property
    def heating_kwh(self) -> float:
        return float(self.heating_w.sum() / 1000.0)

    @property
    def cooling_kwh(self) -> float:
        return float(self.cooling_w.sum() / 1000.0)

    @property
    def peak_heating(self) -> Peak:
        return peak(self.heating_w)

    @property
    def peak_cooling(self) -> Peak:
        return peak(self.cooling_w)

    def zone(self, name: str) -> ZoneYear:
        """The zone of that name; `KeyError` if there is none."""
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise KeyError(name)


def monthly_kwh(power_w: Array) -> tuple[float, ...]:
    """Twelve sums of an hourly power."""
    return tuple(float(v) for v in np.bincount(MONTH_OF_HOUR, power_w, 12) / 1000.0)


def peak(power_w: Array) -> Peak:
    """The largest hour of an hourly power."""
    hour = int(np.argmax(power_w))
    return Peak(float(power_w[hour]), hour)
