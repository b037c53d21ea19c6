"""Shadows of overhangs and fins on a rectangle, exact for the beam, by view factor for the sky."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numba import njit
from numpy.typing import NDArray

from retrofit_desk.physics.elements import Overhang, ShadePlate

Array = NDArray[np.float64]
GRAZING = 1e-9
SKY_BANDS, SKY_SECTORS = 30, 72


@dataclass(frozen=True)
class Rectangle:
    """On the wall seen from outside: left edge, lower edge, width, height in m."""

    x_m: float
    sill_m: float
    width_m: float
    height_m: float


@dataclass(frozen=True, eq=False)
class DiffuseLeft:
    """Share of the even sky, of the bright band at the horizon and of the ground that still reaches it."""

    sky: float
    horizon: float
    ground: float


def plane_axes(tilt_deg: float, azimuth_deg: float) -> Array:
    """Rows: to the right (seen from outside), up along the plane, outward; in east, north, up."""
    tilt, facing = np.radians(tilt_deg), np.radians(azimuth_deg)
    right = (-np.cos(facing), np.sin(facing), 0.0)
    upward = (-np.sin(facing) * np.cos(tilt), -np.cos(facing) * np.cos(tilt), np.sin(tilt))
    outward = (np.sin(facing) * np.sin(tilt), np.cos(facing) * np.sin(tilt), np.cos(tilt))
    return np.array([right, upward, outward])


def shaded_fraction(rectangle: Rectangle, plates: tuple[ShadePlate, ...], toward: Array) -> Array:
    """Shaded share of the rectangle for each direction (n, 3) given as right, up, outward; 1 behind the wall.

    Each plate casts a parallelogram along its two edges; their union is measured by strips between all
    corners and crossings, so it is exact. Plane geometry as in Duffie and Beckman, section 1.9.
    """
    corners = np.array([_edge(p) for p in plates], dtype=float).reshape(-1, 5)
    box = np.array([rectangle.x_m, rectangle.sill_m, rectangle.width_m, rectangle.height_m])
    found = _shaded(box, corners, np.ascontiguousarray(toward, dtype=float))
    return np.asarray(found)


@lru_cache(maxsize=1024)
def diffuse_left(
    rectangle: Rectangle, plates: tuple[ShadePlate, ...], tilt_deg: float, azimuth_deg: float
) -> DiffuseLeft:
    """Shares left of sky, horizon and ground, by summing the shadows of all directions of the dome."""
    if not plates:
        return DiffuseLeft(1.0, 1.0, 1.0)
    sky = _left(rectangle, plates, tilt_deg, azimuth_deg, np.linspace(0.0, 90.0, SKY_BANDS + 1))
    horizon = _left(rectangle, plates, tilt_deg, azimuth_deg, np.array([0.0, 3.0]))
    ground = _left(rectangle, plates, tilt_deg, azimuth_deg, np.linspace(-90.0, 0.0, SKY_BANDS + 1))
    return DiffuseLeft(sky, horizon, ground)


def _left(
    rectangle: Rectangle,
    plates: tuple[ShadePlate, ...],
    tilt_deg: float,
    azimuth_deg: float,
    edges_deg: Array,
) -> float:
    sines = np.sin(np.radians(edges_deg))
    sine = (sines[1:] + sines[:-1]) / 2.0
    around = np.radians((np.arange(SKY_SECTORS) + 0.5) * 360.0 / SKY_SECTORS)
    altitude, azimuth = np.meshgrid(np.arcsin(sine), around, indexing="ij")
    weight = np.broadcast_to(np.diff(sines)[:, None], altitude.shape).ravel()
    toward = np.stack(
        [np.cos(altitude) * np.sin(azimuth), np.cos(altitude) * np.cos(azimuth), np.sin(altitude)], axis=-1
    ).reshape(-1, 3)
    local = toward @ plane_axes(tilt_deg, azimuth_deg).T
    weight = weight * np.maximum(local[:, 2], 0.0)
    if weight.sum() <= GRAZING:
        return 1.0
    shaded = shaded_fraction(rectangle, plates, local)
    return float(1.0 - (weight @ shaded) / weight.sum())


def _edge(plate: ShadePlate) -> tuple[float, float, float, float, float]:
    """Foot of a plate on the wall (x0, z0, x1, z1) and its depth."""
    if isinstance(plate, Overhang):
        return (plate.from_x_m, plate.height_m, plate.to_x_m, plate.height_m, plate.depth_m)
    return (plate.x_m, plate.from_height_m, plate.x_m, plate.to_height_m, plate.depth_m)


@njit(cache=True, nogil=True)
def _span(x: float, ax: float, az: float, bx: float, bz: float, dx: float, dz: float) -> tuple[float, float]:
    """Lowest and highest z of the parallelogram (foot a-b, drift d) on the upright line at x; empty: (1, 0)."""
    px = (ax, bx, bx + dx, ax + dx)
    pz = (az, bz, bz + dz, az + dz)
    low, high = np.inf, -np.inf
    for i in range(4):
        j = (i + 1) % 4
        x0, x1 = px[i], px[j]
        if (x0 - x) * (x1 - x) <= 0.0 and x0 != x1:
            z = pz[i] + (pz[j] - pz[i]) * (x - x0) / (x1 - x0)
            low, high = min(low, z), max(high, z)
    if high < low:
        return 1.0, 0.0
    return low, high


@njit(cache=True, nogil=True)
def _shaded(box, plates, toward):  # type: ignore[no-untyped-def]
    count, directions = plates.shape[0], toward.shape[0]
    x_left, z_low = box[0], box[1]
    x_right, z_high = box[0] + box[2], box[1] + box[3]
    result = np.ones(directions)
    cuts = np.empty(2 + count * 4 + (count * 4 + 2) * (count * 4 + 2))
    ex0 = np.empty(count * 4 + 2)
    ez0 = np.empty(count * 4 + 2)
    ex1 = np.empty(count * 4 + 2)
    ez1 = np.empty(count * 4 + 2)
    lows = np.empty(count)
    highs = np.empty(count)
    for d in range(directions):
        right, up, out = toward[d, 0], toward[d, 1], toward[d, 2]
        if out <= 1e-9:
            continue
        n = 0
        cuts[n] = x_left
        cuts[n + 1] = x_right
        n += 2
        e = 0
        for p in range(count):
            dx, dz = -plates[p, 4] * right / out, -plates[p, 4] * up / out
            px = (plates[p, 0], plates[p, 2], plates[p, 2] + dx, plates[p, 0] + dx)
            pz = (plates[p, 1], plates[p, 3], plates[p, 3] + dz, plates[p, 1] + dz)
            for i in range(4):
                j = (i + 1) % 4
                ex0[e], ez0[e], ex1[e], ez1[e] = px[i], pz[i], px[j], pz[j]
                e += 1
                if x_left < px[i] < x_right:
                    cuts[n] = px[i]
                    n += 1
        for level in (z_low, z_high):
            ex0[e], ez0[e], ex1[e], ez1[e] = x_left, level, x_right, level
            e += 1
        for i in range(e):
            for j in range(i + 1, e):
                ax, az = ex1[i] - ex0[i], ez1[i] - ez0[i]
                bx, bz = ex1[j] - ex0[j], ez1[j] - ez0[j]
                cross = ax * bz - az * bx
                if abs(cross) < 1e-14:
                    continue
                u = ((ex0[j] - ex0[i]) * bz - (ez0[j] - ez0[i]) * bx) / cross
                x = ex0[i] + u * ax
                if 0.0 <= u <= 1.0 and x_left < x < x_right:
                    cuts[n] = x
                    n += 1
        ordered = np.sort(cuts[:n])
        area = 0.0
        for s in range(n - 1):
            width = ordered[s + 1] - ordered[s]
            if width <= 1e-12:
                continue
            x = 0.5 * (ordered[s] + ordered[s + 1])
            m = 0
            for p in range(count):
                dx, dz = -plates[p, 4] * right / out, -plates[p, 4] * up / out
                low, high = _span(x, plates[p, 0], plates[p, 1], plates[p, 2], plates[p, 3], dx, dz)
                low, high = max(low, z_low), min(high, z_high)
                if high > low:
                    k = m
                    while k > 0 and lows[k - 1] > low:
                        lows[k], highs[k] = lows[k - 1], highs[k - 1]
                        k -= 1
                    lows[k], highs[k] = low, high
                    m += 1
            reach = z_low
            for k in range(m):
                if highs[k] > reach:
                    area += width * (highs[k] - max(lows[k], reach))
                    reach = highs[k]
        result[d] = area / (box[2] * box[3])
    return result
