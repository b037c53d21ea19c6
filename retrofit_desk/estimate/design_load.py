"""The design heating load of the recorded house, room by room, with its unheated spaces in balance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from retrofit_desk.estimate.from_records import SHELTER_CLASS
from retrofit_desk.estimate.surface_heat import (
    ground_u_w_m2k,
    opaque_area_m2,
    opening_u_w_m2k,
    surface_u_w_m2k,
)
from retrofit_desk.physics.leakage import (
    infiltration_m3_s,
    power_law_from_one_point,
    stack_coefficient,
    wind_coefficient,
)
from retrofit_desk.physics.loads import (
    AIR_HEAT_WH_M3K,
    Beyond,
    HeatPath,
    HouseLoad,
    RoomAtDesign,
    house_load,
)
from retrofit_desk.physics.weather import density_factor
from retrofit_desk.records import models as m
from retrofit_desk.values.errors import CannotSay

DESIGN_WIND_M_S = 6.7  # 15 mph, the usual winter wind of US load forms (common practice, no source)
SUBJECT = "the design heat loss"


@dataclass(frozen=True)
class DesignAnswer:
    """The load of the house as described, before any measure.

    `room_ids` go with `load.rooms`; `unheated` gives (room id, temperature on the design day).
    """

    load: HouseLoad
    room_ids: tuple[int, ...]
    unheated: tuple[tuple[int, float], ...]
    outside_c: float
    air_m3_h: float
    wind_m_s: float = DESIGN_WIND_M_S


@dataclass(frozen=True)
class _Link:
    """Heat that passes from a room to what lies beyond one of its faces, W/K."""

    name: str
    room: m.Room
    beyond: Beyond
    area_m2: float
    u_value_w_m2k: float
    other: m.Room | None = None
    bridge_u_w_m2k: float = 0.0

    @property
    def w_k(self) -> float:
        return self.area_m2 * (self.u_value_w_m2k + self.bridge_u_w_m2k)


def design_load(
    rooms: Sequence[m.Room], site: m.Site, test: m.LeakageTest | None, mean_outside_c: float
) -> DesignAnswer:
    """Design load of the recorded rooms; `mean_outside_c` over the year is what the ground sees.

    Raises `CannotSay`, naming the first thing that is missing. Source: EN 12831-1:2017 for the balance, the
    basic model of ASHRAE Fundamentals ch. 16 for the air that leaks in.
    """
    outside_c = site.design_heating_c
    if outside_c is None:
        raise CannotSay(SUBJECT, "the design temperature of the place")
    links = [link for room in rooms for link in _links(room)]
    heated = [room for room in rooms if room.is_heated]
    if not heated:
        raise CannotSay(SUBJECT, "a heated room")
    ratio = density_factor(site.elevation_m or 0.0)
    flows = _air_flows_m3_h(rooms, site, test, outside_c)
    spaces = _unheated_c(rooms, links, flows, outside_c, mean_outside_c, ratio)
    at_design = [_at_design(room, links, spaces, flows[room.id], mean_outside_c) for room in heated]
    return DesignAnswer(
        load=house_load(at_design, outside_c, ratio),
        room_ids=tuple(room.id for room in heated),
        unheated=tuple(spaces.items()),
        outside_c=outside_c,
        air_m3_h=sum(flows[room.id] for room in heated),
    )


def _links(room: m.Room) -> list[_Link]:
    """Every face of the room that heat passes, its openings and thermal bridges apart."""
    found = []
    for surface in room.surfaces:
        beyond = _beyond(surface)
        if beyond is None:
            continue
        u_value = ground_u_w_m2k(surface) if beyond is Beyond.GROUND else surface_u_w_m2k(surface)
        found.append(_Link(surface.name, room, beyond, opaque_area_m2(surface), u_value, surface.other_room))
        for opening in surface.openings:
            area = opening.width_m * opening.height_m * opening.count
            u_value = opening_u_w_m2k(opening)
            found.append(_Link(opening.name, room, beyond, area, u_value, surface.other_room))
        for bridge in surface.bridges:  # psi by length, as an addition to U by area; it may be below 0
            found.append(
                _Link(bridge.name, room, Beyond.OUTSIDE, bridge.length_m, 0.0, bridge_u_w_m2k=bridge.psi_w_mk)
            )
    return found


def _beyond(surface: m.Surface) -> Beyond | None:
    if surface.boundary is m.Boundary.SAME:
        return None
    if surface.boundary is m.Boundary.OUTDOORS:
        return Beyond.OUTSIDE
    if surface.boundary is m.Boundary.GROUND:
        return Beyond.GROUND
    if surface.other_room is None:
        raise CannotSay(SUBJECT, "the room behind it", where=f"{surface.room.name}, {surface.name}")
    return Beyond.NEIGHBOR if surface.other_room.is_heated else Beyond.UNHEATED


def _air_flows_m3_h(
    rooms: Sequence[m.Room], site: m.Site, test: m.LeakageTest | None, outside_c: float
) -> dict[int, float]:
    """Outdoor air of each room: its own air changes where stated, else a share of the house's leaks."""
    sharing = [room for room in rooms if room.air_changes_per_hour is None]
    volume = sum(room.floor_area_m2 * room.height_m for room in sharing)
    whole = _leakage_m3_h(sharing, test, outside_c) if sharing else 0.0
    flows = {}
    for room in rooms:
        own = room.floor_area_m2 * room.height_m
        changes = room.air_changes_per_hour
        flows[room.id] = whole * own / volume if changes is None else own * changes
    return flows


def _leakage_m3_h(rooms: Sequence[m.Room], test: m.LeakageTest | None, outside_c: float) -> float:
    if test is None:
        raise CannotSay(SUBJECT, "a leakage test, or an assumed one")
    law = power_law_from_one_point(test.flow_50pa_m3_s, exponent=test.flow_exponent)
    warm = [_set_point_c(room) for room in rooms if room.is_heated]
    storeys = float(min(max(len({room.storey_id for room in rooms if room.is_heated}), 1), 3))
    flow = infiltration_m3_s(
        law.leakage_area_m2(),
        stack_coefficient(storeys),
        wind_coefficient(storeys, SHELTER_CLASS),
        sum(warm) / len(warm) - outside_c,
        DESIGN_WIND_M_S,
    )
    return float(flow) * 3600.0


def _unheated_c(
    rooms: Sequence[m.Room],
    links: Sequence[_Link],
    flows: dict[int, float],
    outside_c: float,
    ground_c: float,
    ratio: float,
) -> dict[int, float]:
    """Temperature of every unheated space from one heat balance over all of them."""
    spaces = [room for room in rooms if not room.is_heated]
    place = {room.id: number for number, room in enumerate(spaces)}
    matrix, given = np.zeros((len(spaces), len(spaces))), np.zeros(len(spaces))

    def add(room: m.Room, w_k: float, other: m.Room | None, fixed_c: float) -> None:
        if room.id not in place:
            return
        row = place[room.id]
        matrix[row, row] += w_k
        if other is not None and other.id in place:
            matrix[row, place[other.id]] -= w_k
        else:
            given[row] += w_k * (_set_point_c(other) if other is not None else fixed_c)

    for link in links:
        fixed = ground_c if link.beyond is Beyond.GROUND else outside_c
        add(link.room, link.w_k, link.other, fixed)
        if link.other is not None:
            add(link.other, link.w_k, link.room, fixed)
    for room in spaces:
        add(room, AIR_HEAT_WH_M3K * ratio * flows[room.id], None, outside_c)
    if not spaces:
        return {}
    for room in spaces:
        if matrix[place[room.id], place[room.id]] <= 0.0:
            raise CannotSay(SUBJECT, "a face or an air change", where=room.name)
    found = np.linalg.solve(matrix, given)
    return {room.id: float(found[place[room.id]]) for room in spaces}


def _at_design(
    room: m.Room, links: Sequence[_Link], spaces: dict[int, float], air_m3_h: float, ground_c: float
) -> RoomAtDesign:
    paths = []
    for link in links:
        if link.room.id == room.id:
            paths.append(_path(link, link.other, spaces, ground_c))
        elif link.other is not None and link.other.id == room.id:
            paths.append(_path(link, link.room, spaces, ground_c))
    return RoomAtDesign(room.name, _set_point_c(room), room.floor_area_m2, tuple(paths), air_m3_h)


def _path(link: _Link, other: m.Room | None, spaces: dict[int, float], ground_c: float) -> HeatPath:
    if other is None:
        side = ground_c if link.beyond is Beyond.GROUND else None
        return HeatPath(
            link.name, link.beyond, link.area_m2, link.u_value_w_m2k, link.bridge_u_w_m2k, other_side_c=side
        )
    if other.id in spaces:
        return HeatPath(
            link.name, Beyond.UNHEATED, link.area_m2, link.u_value_w_m2k, other_side_c=spaces[other.id]
        )
    side = _set_point_c(other)
    return HeatPath(link.name, Beyond.NEIGHBOR, link.area_m2, link.u_value_w_m2k, other_side_c=side)


def _set_point_c(room: m.Room) -> float:
    if room.heating_set_point_c is None:
        raise CannotSay(SUBJECT, "its heating set-point", where=room.name)
    return room.heating_set_point_c
