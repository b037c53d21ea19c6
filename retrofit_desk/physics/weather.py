"""A year of weather as the engine takes it: 8,760 hour-ending rows in local standard time."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, fields
from datetime import timedelta, timezone
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.over_arrays import over_arrays

if TYPE_CHECKING:
    import pandas as pd

HOURS = 8760
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
YEAR = 2001  # any year without a leap day; a typical year belongs to none
Array = NDArray[np.float64]

MONTH_OF_HOUR: NDArray[np.int64] = np.repeat(np.arange(12), np.array(DAYS_IN_MONTH) * 24)
HOUR_OF_DAY: NDArray[np.int64] = np.arange(HOURS) % 24


@dataclass(frozen=True, eq=False)
class WeatherYear:
    """Hour-ending values. Temperatures and wind stand for the hour; radiation is the mean over the hour."""

    name: str
    source: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    utc_offset_h: float
    temp_c: Array
    dew_point_c: Array
    rh_percent: Array
    pressure_pa: Array
    wind_m_s: Array
    wind_dir_deg: Array
    ghi_w_m2: Array
    dni_w_m2: Array
    dhi_w_m2: Array
    ir_sky_w_m2: Array
    cloud_tenths: Array

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, np.ndarray):
                if value.shape != (HOURS,):
                    raise ValueError(f"{field.name} has {value.shape} values, not {HOURS}")
                value.setflags(write=False)

    @cached_property
    def fingerprint(self) -> str:
        """Content hash: two equal years are one year to every cache.

        What is worked out (the sky's infrared, a year from monthly means) differs from processor to processor
        in its last bits; to a thousandth of a degree, a pascal or a watt it is the same.
        """
        digest = hashlib.sha256()
        for field in fields(self):
            value = getattr(self, field.name)
            is_array = isinstance(value, np.ndarray)
            digest.update((value.round(3) + 0.0).tobytes() if is_array else repr(value).encode())
        return digest.hexdigest()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, WeatherYear) and self.fingerprint == other.fingerprint

    def __hash__(self) -> int:
        return hash(self.fingerprint)

    @property
    def index(self) -> pd.DatetimeIndex:
        """Hour-ending stamps, aware, at the file's fixed offset from UTC, put on one year."""
        import pandas as pd

        zone = timezone(timedelta(hours=self.utc_offset_h))
        return pd.date_range(f"{YEAR}-01-01 01:00", periods=HOURS, freq="h", tz=zone)

    def monthly_mean_temp_c(self) -> Array:
        """Mean dry bulb of the twelve months."""
        return np.bincount(MONTH_OF_HOUR, self.temp_c) / (np.array(DAYS_IN_MONTH) * 24.0)


def sky_infrared_w_m2(temp_c: Array, dew_point_c: Array, cloud_tenths: Array) -> Array:
    """Horizontal infrared from dew point and clouds.

    Clark and Allen (1978) clear-sky emissivity with Walton's (1983) cloud factor; both from memory.
    """
    clear = 0.787 + 0.764 * np.log((dew_point_c + 273.15) / 273.0)
    n = cloud_tenths
    cloud = 1.0 + 0.0224 * n - 0.0035 * n**2 + 0.00028 * n**3
    return np.asarray(clear * cloud * 5.670374419e-8 * (temp_c + 273.15) ** 4)


@over_arrays
def density_factor(elevation_m: float) -> float:
    """Air density against sea level, standard atmosphere pressure ratio (ISO 2533, from memory)."""
    return float((1.0 - 2.25577e-5 * elevation_m) ** 5.2559)
