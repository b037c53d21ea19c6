"""What goes into the plant from the house, and what a year of the plant gives back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.battery import PowerFlows
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.physics.results import YearResult
from retrofit_desk.physics.thermal_storage import StoreYear
from retrofit_desk.physics.water_heating import HotWaterYear
from retrofit_desk.physics.weather import HOURS, MONTH_OF_HOUR, WeatherYear

Array = NDArray[np.float64]
EndUse = Literal[
    "heating",
    "backup heating",
    "cooling",
    "fans and pumps",
    "hot water",
    "cooking",
    "drying",
    "lights and plugs",
    "ventilation",
    "dehumidifying",
    "car",
    "other",
    "the owner's own figures",
]
OWN_FIGURES: EndUse = "the owner's own figures"
"""Not worked out: laid over the model's year."""


@dataclass(frozen=True, eq=False)
class LoadYear:
    """Hourly loads and room states of the house, each (8760, zones); latent is what a coil would take out.

    `dew_point_c` None: the outdoor dew point stands in for the rooms'.
    """

    zone_names: tuple[str, ...]
    heating_w: Array
    cooling_w: Array
    latent_w: Array
    air_temp_c: Array
    dew_point_c: Array | None = None

    def __post_init__(self) -> None:
        shape = (HOURS, len(self.zone_names))
        for name in ("heating_w", "cooling_w", "latent_w", "air_temp_c"):
            if getattr(self, name).shape != shape:
                raise ValueError(f"{name} has the shape {getattr(self, name).shape}, not {shape}")


def loads_of(year: YearResult, weather: WeatherYear) -> LoadYear:
    """The engine's year as the plant takes it; zones without moisture take the outdoor dew point."""

    def columns(name: str) -> Array:
        return np.column_stack([getattr(zone, name) for zone in year.zones])

    return load_year(
        tuple(zone.name for zone in year.zones),
        columns("heating_w") - columns("cooling_w"),
        columns("latent_cooling_w"),
        columns("air_c"),
        columns("humidity_ratio_kg_kg"),
        weather,
    )


def load_year(
    zone_names: tuple[str, ...],
    power_w: Array,
    latent_w: Array,
    air_c: Array,
    humidity_ratio: Array,
    weather: WeatherYear,
) -> LoadYear:
    """Loads from hourly arrays (8760, zones): power, cold negative; moisture may be not a number."""
    ratio = np.maximum(humidity_ratio, 1e-6)
    vapor = ratio * weather.pressure_pa[:, None] / (0.621945 + ratio)
    log = np.log(vapor / 611.2)  # Magnus over water, WMO-No. 8
    return LoadYear(
        zone_names,
        np.maximum(power_w, 0.0),
        np.maximum(-power_w, 0.0),
        np.nan_to_num(latent_w),
        air_c,
        np.where(np.isnan(ratio), weather.dew_point_c[:, None], 243.12 * log / (17.62 - log)),
    )


@dataclass(frozen=True, eq=False)
class FuelUse:
    """One end use on one fuel, hourly means in W of the fuel's higher heating value."""

    end_use: EndUse
    fuel: Fuel
    power_w: Array


@dataclass(frozen=True, eq=False)
class SystemYear:
    """One heating or cooling system, (8760,) each. `asked_w` is at the machine, losses included.

    `water_w` is heat for the tank of hot water; `power_w` (fuel of a burner) is without its.
    """

    name: str
    cooling: bool
    asked_w: Array
    delivered_w: Array
    from_store_w: Array
    free_w: Array
    backup_w: Array
    unmet_w: Array
    charge_w: Array
    power_w: Array
    charge_power_w: Array
    backup_power_w: Array
    water_w: Array
    water_power_w: Array
    source_c: Array
    supply_c: Array
    return_c: Array
    running_share: Array
    arrives_share: Array

    @property
    def cop(self) -> Array:
        """Heat (or cold) by the machine's own power, charging included; not a number while it stands."""
        out = np.full(HOURS, np.nan)
        np.divide(self.delivered_w + self.charge_w, self.power_w, out=out, where=self.power_w > 0)
        return out

    @property
    def seasonal_cop(self) -> float | None:
        """The year's mean, weighted by power; None if it never ran."""
        power = float(self.power_w.sum())
        return float((self.delivered_w + self.charge_w).sum()) / power if power else None


@dataclass(frozen=True, eq=False)
class FieldYear:
    """A bore field: heat put into the ground (< 0: taken), water entering the machine, bore wall."""

    name: str
    into_ground_w: Array
    entering_c: Array
    wall_c: Array
    settled: bool


@dataclass(frozen=True, eq=False)
class NamedStoreYear:
    """A store's year and the electricity spent to charge it in the chosen hours."""

    name: str
    year: StoreYear
    charge_electric_w: Array

    @property
    def shifted_kwh(self) -> float:
        """Electricity moved into the charging hours."""
        return float(self.charge_electric_w.sum()) / 1000.0


@dataclass(frozen=True, eq=False)
class PlantYear:
    """A year of the plant. `flows` is the whole house's electricity between roof, battery and network.

    `left_in_rooms_w`: (8760, zones of the loads) heat that tanks, jackets, pilots and the dehumidifier leave
    where they stand (< 0: take).
    """

    uses: tuple[FuelUse, ...]
    flows: PowerFlows
    systems: tuple[SystemYear, ...]
    stores: tuple[NamedStoreYear, ...]
    fields: tuple[FieldYear, ...]
    hot_water: HotWaterYear | None
    left_in_rooms_w: Array
    unserved_heating_w: Array
    unserved_cooling_w: Array
    unserved_latent_w: Array
    notes: tuple[str, ...]

    def hourly_w(self, fuel: Fuel | None = None, end_use: EndUse | None = None) -> Array:
        """Sum of the uses that match, (8760,) W."""
        total = np.zeros(HOURS)
        for use in self.uses:
            if fuel in (None, use.fuel) and end_use in (None, use.end_use):
                total = total + use.power_w
        return total

    def kwh(self, fuel: Fuel | None = None, end_use: EndUse | None = None) -> float:
        """Yearly use; electricity before the roof's share is taken off."""
        return float(self.hourly_w(fuel, end_use).sum()) / 1000.0

    def monthly_kwh(self, fuel: Fuel | None = None, end_use: EndUse | None = None) -> Array:
        """The twelve months."""
        return np.bincount(MONTH_OF_HOUR, self.hourly_w(fuel, end_use), 12) / 1000.0

    @property
    def import_kwh(self) -> float:
        return float(self.flows.import_w.sum()) / 1000.0

    @property
    def export_kwh(self) -> float:
        return float(self.flows.export_w.sum()) / 1000.0

    @property
    def solar_kwh(self) -> float:
        return float(self.flows.solar_w.sum()) / 1000.0

    @property
    def unmet_kwh(self) -> float:
        """Heat and cold the plant could not give, at the rooms."""
        return float((self.unserved_heating_w + self.unserved_cooling_w).sum()) / 1000.0
