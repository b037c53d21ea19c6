"""Turns the recorded house as it stood before any measure into what the engine and the plant take.

Zones, surfaces, windows and constructions are called by their record keys, layers by their names.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from retrofit_desk.estimate.airing_from_records import airing_of
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.constructions import construction_of
from retrofit_desk.estimate.plant_from_records import plant_of
from retrofit_desk.estimate.sun_from_records import blind_of, glazing_of, plates_of, site_of
from retrofit_desk.physics import description as d
from retrofit_desk.physics import elements as e
from retrofit_desk.physics.layer_parts import Construction
from retrofit_desk.physics.plant_description import HouseholdUse
from retrofit_desk.physics.ventilation import level_opening_m3_s, tall_opening_m3_s
from retrofit_desk.records import models as m
from retrofit_desk.values.errors import CannotSay

FURNITURE_J_M2K = 10_000.0
"""Heat capacity of air and furniture by floor area: ISO 52016-1:2017, table B.17 (from memory)."""
MOISTURE_KG_PERSON_DAY = 2.0
"""Breathing, cooking, washing of one person: common practice, no source."""
DRIED_ABOVE_RH_PERCENT = 60.0
"""Cooled rooms are kept below it: upper limit of usual comfort advice (common practice, no source)."""
DOORWAY_M, APART_K, ROOM_K = 2.0, 2.0, 293.0
"""A doorway's height, and how far apart in warmth rooms are that stand open to each other (common practice,
no source): through a doorway so much air goes that the year hardly feels which value is taken."""
LEVEL_M = 2.7
"""Height of one storey in the sense of the leakage model."""
SHELTER_CLASS = 4
"""Of the five classes of ASHRAE: houses on three sides, as in a street (common practice, no source)."""
ASSUMED = (
    (f"wind: houses on three sides, shelter class {SHELTER_CLASS} of 5", "common practice, no source"),
    ("moisture: 4.4 lb (2 kg) of each person a day", "common practice, no source"),
    (f"cooled rooms: kept below {DRIED_ABOVE_RH_PERCENT:.0f}% humidity", "common practice, no source"),
    ("air and furniture: 0.49 Btu/ft²·°F (10 kJ/m²K) of floor", "ISO 52016-1:2017, table B.17 (from memory)"),
)
"""What the record does not tell and every house is given, with where it comes from."""


def case_of(session: Session) -> HouseCase:
    """House, plant and use together. Raises `CannotSay` for a missing value that matters."""
    return HouseCase(house_of(session), plant_of(session), use_of(session))


def house_of(session: Session) -> d.House:
    """The house as it stood before the first measure. Raises `CannotSay` for a missing value that matters."""
    rooms = _rooms(session)
    surfaces = [surface for room in rooms for surface in room.surfaces]
    site = session.scalar(select(m.Site))
    used = {s.construction.key: s.construction for s in surfaces if s.construction is not None}
    openings = [opening for surface in surfaces for opening in surface.openings]
    glazings = {glazing.name: glazing for glazing in map(_glazing, openings)}
    return d.House(
        name=site.name if site is not None and site.name else "house",
        site=site_of(session),
        constructions=tuple(_construction(one) for one in used.values()),
        glazings=tuple(glazings.values()),
        zones=tuple(_zone(session, room, rooms) for room in rooms),
        surfaces=tuple(_surface(surface) for surface in surfaces),
        air_paths=tuple(_air_path(surface) for surface in surfaces if surface.passage_area_m2),
        blower_door=_blower_door(session, rooms),
    )


def use_of(session: Session) -> HouseholdUse:
    """What the family asks for. Raises `CannotSay` where a use is not known."""
    row = session.scalar(select(m.HouseholdUse))
    if row is None:
        raise CannotSay("what the family uses", "hot water, plugs, lights, cooking and drying", where="House")
    return HouseholdUse(
        occupants=_occupants(session),
        hot_water_l_per_day=_known(row, "hot_water_l_per_day", "the hot water", "the use by day"),
        hot_water_at_c=row.hot_water_at_c,
        plug_kwh_per_year=_known(row, "plug_kwh_per_year", "the electricity", "the use of the plugs"),
        light_kwh_per_year=_known(row, "light_kwh_per_year", "the electricity", "the use of the lights"),
        cooking_useful_kwh_per_year=_known(
            row, "cooking_useful_kwh_per_year", "the cooking", "its use by year"
        ),
        dryer_loads_per_year=_known(row, "dryer_loads_per_year", "the drying", "the loads by year"),
        car_km_per_year=_known(row, "car_km_per_year", "the car charging", "the distance by year"),
    )


def _rooms(session: Session) -> list[m.Room]:
    rooms = recorded_rooms(session)
    if not rooms:
        raise CannotSay("anything about the house", "its rooms", where="House")
    return rooms


def recorded_rooms(session: Session) -> list[m.Room]:
    """All rooms with everything that hangs on them, in the order of their ids."""
    query = select(m.Room).options(
        selectinload(m.Room.surfaces).selectinload(m.Surface.openings),
        selectinload(m.Room.surfaces).selectinload(m.Surface.bridges),
        selectinload(m.Room.surfaces)
        .selectinload(m.Surface.construction)
        .selectinload(m.Construction.layers),
        selectinload(m.Room.surfaces).selectinload(m.Surface.other_room),
        selectinload(m.Room.storey),
    )
    return list(session.scalars(query.order_by(m.Room.id)))


def _known(row: m.Base, column: str, subject: str, needs: str, where: str = "House") -> float:
    value = row.stated(column)
    if value.value is None:
        raise CannotSay(subject, f"{needs}, which is {value.stated}", where=where)
    return float(value.value)


def _occupants(session: Session) -> float:
    site = session.scalar(select(m.Site))
    if site is None:
        raise CannotSay("what the family uses", "the number of people", where="House")
    return _known(site, "occupants", "what the family uses", "the number of people")


# rooms


def _zone(session: Session, room: m.Room, rooms: list[m.Room]) -> d.Zone:
    own_air = room.stated("air_changes_per_hour").value
    leakage = None if own_air is None else d.ConstantAirChanges(air_changes_per_h=own_air)
    return d.Zone(
        name=room.key,
        volume_m3=room.floor_area_m2 * room.height_m,
        floor_area_m2=room.floor_area_m2,
        added_heat_capacity_j_k=FURNITURE_J_M2K * room.floor_area_m2 if room.is_heated else 0.0,
        leakage=leakage,
        fans=_fans(session, room, rooms),
        openings=airing_of(session, room),
        gains=_gains(session, room, rooms),
        thermostat=_thermostat(session, room),
    )


def _fans(session: Session, room: m.Room, rooms: list[m.Room]) -> tuple[d.Fan, ...]:
    """The room's part, by its volume, of every ventilation machine that was there before any measure."""
    query = select(m.Equipment).where(
        m.Equipment.kind == m.EquipmentKind.VENTILATION, m.Equipment.measure_id.is_(None)
    )
    found = []
    for row in session.scalars(query.order_by(m.Equipment.id)):
        served = [one for one in rooms if one.key in row.serves or (not row.serves and one.is_heated)]
        if room in served:
            share = room.floor_area_m2 * room.height_m / sum(r.floor_area_m2 * r.height_m for r in served)
            found.append(_fan(row, share))
    return tuple(found)


def _fan(row: m.Equipment, share: float) -> d.Fan:
    for fact in ("flow_m3_s", "fan_w"):
        if fact not in row.details:
            raise CannotSay(f"what the {row.name} does", fact.replace("_", " "), where="House")
    return d.Fan(
        name=row.key,
        flow_m3_s=row.details["flow_m3_s"] * share,
        sensible_recovery=row.details.get("sensible_recovery", 0.0),
        latent_recovery=row.details.get("latent_recovery", 0.0),
        fan_power_w=row.details["fan_w"] * share,
        fan_heat_share=row.details.get("fan_heat_share", 0.0),
    )


def _gains(session: Session, room: m.Room, rooms: list[m.Room]) -> tuple[d.Gain, ...]:
    power_w = _known(room, "internal_gain_w", f"the warmth of {room.name}", "the heat of people and machines")
    moisture = 0.0
    if room.is_heated:
        lived_in = sum(one.floor_area_m2 for one in rooms if one.is_heated)
        moisture = MOISTURE_KG_PERSON_DAY / 24.0 * _occupants(session) * room.floor_area_m2 / lived_in
    if power_w == 0 and moisture == 0:
        return ()
    return (d.Gain(power_w=power_w, moisture_kg_h=moisture),)


def _thermostat(session: Session, room: m.Room) -> d.Thermostat | None:
    heating = _heating_schedule(session, room) if room.is_heated else None
    cooling = room.cooling_set_point_c if room.is_cooled else None
    if heating is None and cooling is None:
        return None
    dries = DRIED_ABOVE_RH_PERCENT if cooling is not None else None
    return d.Thermostat(heating_c=heating, cooling_c=cooling, dehumidify_above_rh_percent=dries)


def _heating_schedule(session: Session, room: m.Room) -> e.Timed:
    day, night = room.heating_set_point_c, room.heating_setback_c
    if day is None:
        raise CannotSay(f"the heat of {room.name}", "the temperature it is kept at", where="House")
    if night is None or night == day:
        return day
    begins, ends = _setback_hours(session)
    at_night = [
        hour >= begins or hour < ends if begins > ends else begins <= hour < ends for hour in range(24)
    ]
    return e.Schedule(hours=tuple(night if is_night else day for is_night in at_night))


def _setback_hours(session: Session) -> tuple[int, int]:
    controls = select(m.Equipment).where(m.Equipment.kind == m.EquipmentKind.CONTROL)
    for control in session.scalars(controls.order_by(m.Equipment.id)):
        if {"setback_from_hour", "setback_to_hour"} <= set(control.details):
            return int(control.details["setback_from_hour"]), int(control.details["setback_to_hour"])
    raise CannotSay("the heat at night", "the hours of the setback, at the thermostat", where="House")


def _blower_door(session: Session, rooms: list[m.Room]) -> d.BlowerDoorLeakage:
    query = select(m.LeakageTest).where(m.LeakageTest.after_measure_id.is_(None))
    test = session.scalars(query.order_by(m.LeakageTest.tested_on)).first()
    if test is None:
        raise CannotSay("the air leakage", "a blower-door test of the house as found", where="House")
    inside = [room for room in rooms if room.stated("air_changes_per_hour").value is None]
    heated = [room for room in rooms if room.is_heated] or inside
    top = max(room.storey.level_m + room.height_m for room in heated)
    height = top - min(room.storey.level_m for room in heated)
    return d.BlowerDoorLeakage(
        flow_at_50_pa_m3_s=test.flow_50pa_m3_s,
        exponent=test.flow_exponent,
        storeys=min(3, max(1, round(height / LEVEL_M))),
        shelter_class=SHELTER_CLASS,
        zones=tuple(room.key for room in inside),
    )


# faces


def _surface(row: m.Surface) -> d.Surface:
    if row.construction is None:
        raise CannotSay(
            f"the loss through {row.name} of {row.room.name}", "what it is made of", where="House"
        )
    outdoors = row.boundary is m.Boundary.OUTDOORS
    stated: dict[str, Any] = {}
    if row.solar_absorptance is not None:
        stated["outside_absorptance"] = row.solar_absorptance
    if row.emittance is not None:
        stated["outside_emittance"] = row.emittance
    if row.azimuth_deg is not None:
        stated["azimuth_deg"] = row.azimuth_deg % 360.0
    return d.Surface(
        name=row.key,
        zone=row.room.key,
        construction=row.construction.key,
        area_m2=row.area_m2 - (row.passage_area_m2 or 0.0),
        tilt_deg=row.tilt_deg,
        boundary=_boundary(row),
        windows=tuple(_window(opening) for opening in row.openings) if outdoors else (),
        plates=tuple(plate for opening in row.openings for plate in plates_of(opening)) if outdoors else (),
        bridges=tuple(
            d.ThermalBridge(name=one.name, length_m=one.length_m, psi_w_mk=one.psi_w_mk)
            for one in row.bridges
        ),
        **stated,
    )


def _air_path(row: m.Surface) -> d.AirPath:
    """Through the open part of a face: both ways, as between rooms a little apart in warmth."""
    if row.other_room is None or row.passage_area_m2 is None:
        raise CannotSay(f"the air through {row.name}", "the room behind it", where="House")
    if 45.0 < row.tilt_deg < 135.0:
        flow = tall_opening_m3_s(row.passage_area_m2, DOORWAY_M, APART_K, ROOM_K)
    else:
        flow = level_opening_m3_s(row.passage_area_m2, APART_K, ROOM_K)
    return d.AirPath(name=row.key, zone_a=row.room.key, zone_b=row.other_room.key, flow_m3_s=float(flow))


def _boundary(row: m.Surface) -> e.Boundary:
    if row.boundary is m.Boundary.OUTDOORS:
        return e.Outdoors()
    if row.boundary is m.Boundary.SAME:
        return e.Adiabatic()
    if row.boundary is m.Boundary.GROUND:
        return _ground(row)
    if row.other_room is None:
        raise CannotSay(
            f"the loss through {row.name} of {row.room.name}", "the room behind it", where="House"
        )
    return e.OtherZone(zone=row.other_room.key)


def _ground(row: m.Surface) -> e.Boundary:
    if row.exposed_perimeter_m is None:
        raise CannotSay(
            f"the loss of {row.name} of {row.room.name} to the ground", "its outer perimeter", where="House"
        )
    area_m2 = row.room.floor_area_m2
    if row.depth_below_ground_m:
        return e.BasementGround(
            part="floor" if row.kind is m.SurfaceKind.FLOOR else "wall",
            depth_m=row.depth_below_ground_m,
            exposed_perimeter_m=row.exposed_perimeter_m,
            floor_area_m2=area_m2,
        )
    return e.SlabOnGround(exposed_perimeter_m=row.exposed_perimeter_m, floor_area_m2=area_m2)


def _construction(row: m.Construction) -> Construction:
    """Two constructions may carry the same name, but never the same key."""
    return construction_of(row).model_copy(update={"name": row.key})


# openings


def _glazing(row: m.Opening) -> e.GlazingByLabel:
    where = f"the loss through {row.name}"
    u_value = _known(row, "u_value_w_m2k", where, "its U-value")
    shgc = _known(row, "shgc", f"the sun through {row.name}", "its SHGC")
    return glazing_of(row, u_value, shgc)


def _window(row: m.Opening) -> d.Window:
    """The label's U and SHGC are those of the whole unit, so the frame takes nothing away again."""
    return d.Window(
        name=row.key,
        glazing=_glazing(row).name,
        width_m=row.width_m * row.count,
        height_m=row.height_m,
        x_m=row.left_offset_m,
        sill_m=row.sill_m,
        blind=blind_of(row),
    )
