"""Hills, houses and trees around: what they leave of the beam and of the sky."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.description import Site, Trees
from retrofit_desk.physics.sun import path_of
from retrofit_desk.physics.weather import MONTH_OF_HOUR, WeatherYear

Array = NDArray[np.float64]
BANDS, SECTORS = 90, 72
HORIZON_BAND_DEG = 3.0


@dataclass(frozen=True, eq=False)
class Skyline:
    """Shares left by the hour: of the beam, of the even sky, of the bright band at the horizon."""

    beam: Array | float
    sky: Array | float
    horizon: Array | float


_OPEN = Skyline(1.0, 1.0, 1.0)


@lru_cache(maxsize=64)
def skyline(site: Site, tilt_deg: float, azimuth_deg: float, weather: WeatherYear) -> Skyline:
    """What surroundings leave on a plane; they are dark, and trees let through a share by the month."""
    if not site.horizon and not site.trees:
        return _OPEN
    path = path_of(weather)
    beam = share_left(site, path.azimuth_deg, 90.0 - path.zenith_deg, MONTH_OF_HOUR)
    edges = np.sin(np.radians(np.linspace(0.0, 90.0, BANDS + 1)))
    altitude = np.degrees(np.arcsin((edges[1:] + edges[:-1]) / 2.0))
    azimuth = (np.arange(SECTORS) + 0.5) * 360.0 / SECTORS
    up, around = (grid.ravel() for grid in np.meshgrid(altitude, azimuth, indexing="ij"))
    weight = np.repeat(np.diff(edges), SECTORS) * _cosine(up, around, tilt_deg, azimuth_deg)
    low = np.where(up <= HORIZON_BAND_DEG, weight, 0.0)
    clear = np.array([share_left(site, around, up, np.full(up.shape, m)) for m in range(12)])
    sky = clear @ weight / weight.sum() if weight.sum() > 0 else np.ones(12)
    horizon = clear @ low / low.sum() if low.sum() > 0 else np.ones(12)
    return Skyline(beam, sky[MONTH_OF_HOUR], horizon[MONTH_OF_HOUR])


def _cosine(altitude_deg: Array, azimuth_deg: Array, tilt_deg: float, facing_deg: float) -> Array:
    a, tilt = np.radians(altitude_deg), np.radians(tilt_deg)
    across = np.cos(np.radians(azimuth_deg - facing_deg))
    return np.asarray(np.maximum(np.sin(a) * np.cos(tilt) + np.cos(a) * np.sin(tilt) * across, 0.0))


def share_left(site: Site, azimuth_deg: Array, altitude_deg: Array, month: NDArray[np.int64]) -> Array:
    """Share of the sun that the surroundings leave at each place of the sky; month 0 is January."""
    left = np.ones(azimuth_deg.shape)
    if site.horizon:
        points = sorted((p.azimuth_deg, p.altitude_deg) for p in site.horizon)
        line = np.interp(azimuth_deg, [p[0] for p in points], [p[1] for p in points], period=360.0)
        left[altitude_deg < line] = 0.0
    for trees in site.trees:
        behind = _between(trees, azimuth_deg) & (altitude_deg < trees.altitude_deg)
        left[behind] *= np.array(trees.monthly_transmittance)[month][behind]
    return left


def _between(trees: Trees, azimuth_deg: Array) -> NDArray[np.bool_]:
    turned = trees.to_azimuth_deg - trees.from_azimuth_deg
    width = turned % 360.0 if turned != 360.0 else 360.0  # 0 to 360: all around
    return np.asarray((azimuth_deg - trees.from_azimuth_deg) % 360.0 <= width)
