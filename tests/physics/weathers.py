"""Plain weather years for the engine's tests."""

from __future__ import annotations

import numpy as np

from retrofit_desk.physics.weather import HOURS, WeatherYear

FLAT = np.zeros(HOURS)
SIGMA = 5.670374419e-8


def plain_year(name: str = "plain", **changes: object) -> WeatherYear:
    """A still, sunless year at 0 °C under a sky as warm as the air."""
    temp = np.asarray(changes.get("temp_c", FLAT), dtype=float)
    base = {
        "name": name, "source": "made for a test", "latitude_deg": 36.1, "longitude_deg": -75.0,
        "elevation_m": 0.0, "utc_offset_h": -5.0, "temp_c": temp, "dew_point_c": FLAT - 5.0,
        "rh_percent": FLAT + 60.0, "pressure_pa": FLAT + 101325.0, "wind_m_s": FLAT, "wind_dir_deg": FLAT,
        "ghi_w_m2": FLAT, "dni_w_m2": FLAT, "dhi_w_m2": FLAT,
        "ir_sky_w_m2": SIGMA * (temp + 273.15) ** 4, "cloud_tenths": FLAT,
    }  # fmt: skip
    return WeatherYear(**{**base, **changes})  # type: ignore[arg-type]
