"""A made-up but plausible year, and loads that go with it, for the tests of the plant."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pandas as pd
import pvlib

from retrofit_desk.physics.plant_results import LoadYear
from retrofit_desk.physics.weather import HOURS, WeatherYear

LATITUDE, LONGITUDE, OFFSET = 36.1, -79.9, -5.0


@lru_cache(maxsize=1)
def sunny_year() -> WeatherYear:
    """Clear sky of three quarters strength, temperature from two sines; invented."""
    hour = np.arange(HOURS)
    temp = (
        15.0
        - 11.0 * np.cos(2 * np.pi * (hour / 24 - 20) / 365)
        - 5.0 * np.cos(2 * np.pi * (hour % 24 - 3) / 24)
    )
    temp += 3.0 * np.sin(2 * np.pi * hour / (24 * 9.3))
    times = pd.date_range("2001-01-01 00:30", periods=HOURS, freq="h", tz="Etc/GMT+5")
    place = pvlib.location.Location(LATITUDE, LONGITUDE, altitude=270.0)
    clear = place.get_clearsky(times, model="haurwitz") * 0.75
    ghi = clear["ghi"].to_numpy()
    zenith = place.get_solarposition(times)["apparent_zenith"].to_numpy()
    cosine = np.maximum(np.cos(np.radians(zenith)), 0.0)
    dhi = 0.3 * ghi
    dni = np.where(cosine > 0.05, (ghi - dhi) / np.maximum(cosine, 0.05), 0.0)
    dhi = ghi - dni * cosine
    flat = np.ones(HOURS)
    return WeatherYear(
        name="invented",
        source="made for tests",
        latitude_deg=LATITUDE,
        longitude_deg=LONGITUDE,
        elevation_m=270.0,
        utc_offset_h=OFFSET,
        temp_c=temp,
        dew_point_c=temp - 5.0,
        rh_percent=70.0 * flat,
        pressure_pa=98000.0 * flat,
        wind_m_s=2.5 * flat,
        wind_dir_deg=200.0 * flat,
        ghi_w_m2=ghi,
        dni_w_m2=dni,
        dhi_w_m2=dhi,
        ir_sky_w_m2=330.0 * flat,
        cloud_tenths=3.0 * flat,
    )


@lru_cache(maxsize=4)
def plain_loads(size: float = 1.0, summer_dew_point_c: float = 12.0) -> LoadYear:
    """Loads straight from outdoor temperature: two served zones, a utility room and an attic; invented."""
    weather = sunny_year()
    shape = (HOURS, 4)
    heating, cooling, latent = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    for j, loss in ((0, 150.0), (1, 110.0)):
        heating[:, j] = size * np.maximum(loss * (16.0 - weather.temp_c), 0.0)
        cooling[:, j] = size * np.maximum(loss * (weather.temp_c - 23.0), 0.0)
        latent[:, j] = 0.2 * cooling[:, j]
    air = np.full(shape, 21.0)
    air[weather.temp_c > 20.0] = 25.5
    air[:, 2] = 18.0
    air[:, 3] = weather.temp_c + 3.0
    dew = np.full(shape, 5.0)
    dew[weather.temp_c > 20.0] = summer_dew_point_c
    return LoadYear(("living", "bedrooms", "utility", "attic"), heating, cooling, latent, air, dew)
