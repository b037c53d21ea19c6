"""Rooms as they lie on the plan: rectangles, what they cover of each other, where they touch.

Meters; x to the east, y to the north. An outline is a ring of corners without the first one again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

Corner = tuple[float, float]
Outline = tuple[Corner, ...]
NEAR_M = 0.15
"""Outlines that lie so near run along each other: less than a wall is thick (common practice, no source)."""


class Side(StrEnum):
    """A side of a rectangle, as its outer edge is called."""

    SOUTH = "south"
    EAST = "east"
    NORTH = "north"
    WEST = "west"


AZIMUTH_DEG = {Side.SOUTH: 180.0, Side.EAST: 90.0, Side.NORTH: 0.0, Side.WEST: 270.0}


@dataclass(frozen=True)
class Rectangle:
    """A room with four corners; `length_m` runs west to east, `depth_m` south to north."""

    west_m: float
    south_m: float
    length_m: float
    depth_m: float

    @property
    def east_m(self) -> float:
        return self.west_m + self.length_m

    @property
    def north_m(self) -> float:
        return self.south_m + self.depth_m

    @property
    def area_m2(self) -> float:
        return self.length_m * self.depth_m

    @property
    def outline(self) -> Outline:
        """From the southwest corner on, against the clock; edge 0 is the south one."""
        return (
            (self.west_m, self.south_m),
            (self.east_m, self.south_m),
            (self.east_m, self.north_m),
            (self.west_m, self.north_m),
        )

    def edge_m(self, side: Side) -> float:
        return self.length_m if side in (Side.SOUTH, Side.NORTH) else self.depth_m

    def cut(self, side: Side, wide_m: float) -> tuple[Rectangle, Rectangle]:
        """A strip of that width along a side, and what is left."""
        if side in (Side.SOUTH, Side.NORTH):
            strip_at = self.south_m if side is Side.SOUTH else self.north_m - wide_m
            rest_at = self.south_m + wide_m if side is Side.SOUTH else self.south_m
            return (
                Rectangle(self.west_m, strip_at, self.length_m, wide_m),
                Rectangle(self.west_m, rest_at, self.length_m, self.depth_m - wide_m),
            )
        strip_at = self.west_m if side is Side.WEST else self.east_m - wide_m
        rest_at = self.west_m + wide_m if side is Side.WEST else self.west_m
        return (
            Rectangle(strip_at, self.south_m, wide_m, self.depth_m),
            Rectangle(rest_at, self.south_m, self.length_m - wide_m, self.depth_m),
        )


def rectangle_of(outline: Outline) -> Rectangle | None:
    """The rectangle that an outline is; None for any other shape."""
    if len(outline) != 4:
        return None
    xs, ys = sorted({x for x, _ in outline}), sorted({y for _, y in outline})
    if len(xs) != 2 or len(ys) != 2 or len(set(outline)) != 4:
        return None
    return Rectangle(xs[0], ys[0], xs[1] - xs[0], ys[1] - ys[0])


def covered_m2(rectangle: Rectangle, outline: Outline) -> float:
    """How much of an outline's area lies within a rectangle."""
    ring = outline
    for inside, cross in _half_planes(rectangle):
        ring = _clipped(ring, inside, cross)
        if not ring:
            return 0.0
    return _area_m2(ring)


def touching_m(rectangle: Rectangle, side: Side, outline: Outline) -> float:
    """Over what length a side of the rectangle runs along an outline."""
    upright = side in (Side.EAST, Side.WEST)
    at = {
        Side.SOUTH: rectangle.south_m,
        Side.NORTH: rectangle.north_m,
        Side.WEST: rectangle.west_m,
        Side.EAST: rectangle.east_m,
    }[side]
    low, high = (rectangle.south_m, rectangle.north_m) if upright else (rectangle.west_m, rectangle.east_m)
    total = 0.0
    for first, second in pairwise((*outline, outline[0]) if outline else ()):
        across, along = (0, 1) if upright else (1, 0)
        if max(abs(first[across] - at), abs(second[across] - at)) > NEAR_M:
            continue
        start, end = sorted((first[along], second[along]))
        total += max(0.0, min(end, high) - max(start, low))
    return total


def _half_planes(
    rectangle: Rectangle,
) -> list[tuple[Callable[[Corner], bool], Callable[[Corner, Corner], Corner]]]:
    """For each side: whether a corner lies within, and where an edge crosses it."""

    def upright(x: float) -> Callable[[Corner, Corner], Corner]:
        return lambda a, b: (x, a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]))

    def level(y: float) -> Callable[[Corner, Corner], Corner]:
        return lambda a, b: (a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]), y)

    return [
        (lambda corner: corner[0] >= rectangle.west_m, upright(rectangle.west_m)),
        (lambda corner: corner[0] <= rectangle.east_m, upright(rectangle.east_m)),
        (lambda corner: corner[1] >= rectangle.south_m, level(rectangle.south_m)),
        (lambda corner: corner[1] <= rectangle.north_m, level(rectangle.north_m)),
    ]


def _clipped(
    ring: Outline, inside: Callable[[Corner], bool], cross: Callable[[Corner, Corner], Corner]
) -> Outline:
    """The part of a ring on the inner side of a line: clipping by one half plane after another."""
    kept: list[Corner] = []
    for before, corner in zip((ring[-1], *ring[:-1]), ring, strict=True):
        if inside(corner) is not inside(before):
            kept.append(cross(before, corner))
        if inside(corner):
            kept.append(corner)
    return tuple(kept)


def _area_m2(ring: Outline) -> float:
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise((*ring, ring[0])))
    return abs(twice) / 2.0
