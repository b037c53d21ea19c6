"""Shadows of overhangs and fins on a rectangle, exact for the beam, by view factor for the sky."""

# mypy: disable-error-code="no-untyped-def"
from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numba import njit
from numpy.typing import NDArray

from retrofit_desk.physics.elements import Overhang, ShadePlate

Array = NDArray[np.float64]
GRAZING = 1e-9
NARROWEST_M = 1e-12
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
def _corners(plate, right, up, out, px, pz):
    """Corners of the shadow a plate casts on the wall: its foot, then the foot moved by the drift."""
    dx, dz = -plate[4] * right / out, -plate[4] * up / out
    px[0], px[1], px[2], px[3] = plate[0], plate[2], plate[2] + dx, plate[0] + dx
    pz[0], pz[1], pz[2], pz[3] = plate[1], plate[3], plate[3] + dz, plate[1] + dz


@njit(cache=True, nogil=True)
def _span(x, px, pz):
    """Lowest and highest z of a parallelogram on the upright line at x; (1, 0) where it misses."""
    low, high = np.inf, -np.inf
    for i in range(4):
        j = (i + 1) % 4
        if (px[i] - x) * (px[j] - x) <= 0.0 and px[i] != px[j]:
            z = pz[i] + (pz[j] - pz[i]) * (x - px[i]) / (px[j] - px[i])
            low, high = min(low, z), max(high, z)
    return (1.0, 0.0) if high < low else (low, high)


@njit(cache=True, nogil=True)
def _cuts(box, px, pz, cuts):
    """Sorted x of all corners and crossings within the box, its sides included; returns how many."""
    count = px.shape[0]
    left, low, right, high = box[0], box[1], box[0] + box[2], box[1] + box[3]
    edges = np.empty((count * 4 + 2, 4))
    cuts[0], cuts[1] = left, right
    n = 2
    for p in range(count):
        for i in range(4):
            j = (i + 1) % 4
            e = edges[p * 4 + i]
            e[0], e[1], e[2], e[3] = px[p, i], pz[p, i], px[p, j], pz[p, j]
            if left < px[p, i] < right:
                cuts[n] = px[p, i]
                n += 1
    for i, level in enumerate((low, high)):
        e = edges[count * 4 + i]
        e[0], e[1], e[2], e[3] = left, level, right, level
    for i in range(edges.shape[0]):
        for j in range(i + 1, edges.shape[0]):
            x = _crossing(edges[i], edges[j])
            if left < x < right:
                cuts[n] = x
                n += 1
    cuts[:n].sort()
    return n


@njit(cache=True, nogil=True)
def _crossing(a, b):
    """x where the edge a meets the line of b; -inf where it does not."""
    ax, az, bx, bz = a[2] - a[0], a[3] - a[1], b[2] - b[0], b[3] - b[1]
    cross = ax * bz - az * bx
    if abs(cross) < 1e-14:
        return -np.inf
    u = ((b[0] - a[0]) * bz - (b[1] - a[1]) * bx) / cross
    return a[0] + u * ax if 0.0 <= u <= 1.0 else -np.inf


@njit(cache=True, nogil=True)
def _covered(x, box, px, pz, lows, highs):
    """Length of the upright line at x that lies in any shadow and in the box."""
    bottom, top = box[1], box[1] + box[3]
    m = 0
    for p in range(px.shape[0]):
        low, high = _span(x, px[p], pz[p])
        low, high = max(low, bottom), min(high, top)
        if high > low:
            k = m
            while k > 0 and lows[k - 1] > low:
                lows[k], highs[k] = lows[k - 1], highs[k - 1]
                k -= 1
            lows[k], highs[k] = low, high
            m += 1
    length, reach = 0.0, bottom
    for k in range(m):
        if highs[k] > reach:
            length += highs[k] - max(lows[k], reach)
            reach = highs[k]
    return length


@njit(cache=True, nogil=True)
def _shaded(box, plates, toward):
    count = plates.shape[0]
    result = np.ones(toward.shape[0])
    px, pz = np.empty((count, 4)), np.empty((count, 4))
    lows, highs = np.empty(count), np.empty(count)
    cuts = np.empty(2 + count * 4 + (count * 4 + 2) ** 2)
    for d in range(toward.shape[0]):
        right, up, out = toward[d]
        if out <= GRAZING:
            continue
        for p in range(count):
            _corners(plates[p], right, up, out, px[p], pz[p])
        n = _cuts(box, px, pz, cuts)
        area = 0.0
        for s in range(n - 1):
            width = cuts[s + 1] - cuts[s]
            if width > NARROWEST_M:
                area += width * _covered(0.5 * (cuts[s] + cuts[s + 1]), box, px, pz, lows, highs)
        result[d] = area / (box[2] * box[3])
    return result
