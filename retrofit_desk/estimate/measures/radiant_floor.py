"""Floors that heat and cool: loops in the floor take the place of the coils."""

from typing import Literal, TypeVar

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, change_named, changed
from retrofit_desk.estimate.fabric import MaterialFacts, rebuild, wrapped
from retrofit_desk.estimate.measures.base import WATER_SOURCES, Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.description import Emitter, Zone
from retrofit_desk.physics.elements import Fraction, Name, NotNegative, Part, Positive, Schedule
from retrofit_desk.physics.plant_delivery import (
    CoolingSystem,
    FloorCircuit,
    HeatingSystem,
    RadiantFloors,
    WaterRadiators,
)
from retrofit_desk.physics.radiant_floor import floor_heating_output_w_m2

LOOK_AHEAD_H = 6
OVER_ROOM_K = {"living area": 9.0, "bathroom": 9.0, "edge of the room": 15.0}
"""Warmest floor over the room: EN 1264-2 (from memory), 29 degC where people stay, 33 degC in a bathroom of
24 degC, 35 degC within a meter of the outer wall."""
WOOD_OVER_ROOM_K = 7.0
"""27 degC under wood and other finishes that hold heat back (common practice, no source)."""
HOLDS_BACK_M2K_W = 0.075
PIPE_KG_M = 0.1  # 16 x 2 mm cross-linked polyethylene (common practice, no source)
INSULATION_W_MK = 0.04
INSULATION = {"density_kg_m3": 40.0, "specific_heat_j_kgk": 1400.0}
"""Batts or boards under the loops (common practice, no source)."""


class FloorLoops(Part):
    """Where the pipes of one room lie, and the floor above and below them."""

    room: Name
    surfaces: tuple[Name, ...] = Field(min_length=1)
    build: Literal["in screed", "on whole surface", "plates in grooves", "stapled under"]
    active_area_m2: Positive
    spacing_m: Positive
    cover_m: NotNegative
    cover_conductivity_w_mk: Positive | None = Field(None, description="None: as common for the build")
    covering_m2k_w: NotNegative = Field(title="Floor finish")
    below_m2k_w: Positive = Field(title="Insulation under the pipes", description="with the lower film")
    insulation_below_m: NotNegative = Field(0.0, description="laid under the loops with them")
    place: Literal["living area", "bathroom", "edge of the room"] = Field(
        "living area", description="how warm the floor may be there (EN 1264)"
    )
    wood_finish: bool = Field(False, description="wood stays at or under 81 °F (27 °C)")

    def most_w_m2(self) -> float:
        """The most heat the surface may give: EN 1264-2, q = 8.92 dT^1.1."""
        held_back = self.wood_finish or self.covering_m2k_w > HOLDS_BACK_M2K_W
        return floor_heating_output_w_m2(WOOD_OVER_ROOM_K if held_back else OVER_ROOM_K[self.place])

    def circuit(self) -> FloorCircuit:
        facts = {
            "zone": self.room,
            "build": self.build,
            "active_area_m2": self.active_area_m2,
            "spacing_m": self.spacing_m,
            "cover_m": self.cover_m,
            "covering_m2k_w": self.covering_m2k_w,
            "below_m2k_w": self.below_m2k_w,
            "bathroom": self.place == "bathroom",
            "edge_zone": self.place == "edge of the room",
            "wood_finish": self.wood_finish,
        }
        if self.cover_conductivity_w_mk is not None:
            facts["cover_conductivity_w_mk"] = self.cover_conductivity_w_mk
        return FloorCircuit.model_validate(facts)


class RadiantFloor(Inputs):
    circuits: tuple[FloorLoops, ...] = Field(min_length=1)
    spread_k: Positive = 5.0
    pump_w: NotNegative
    dew_point_margin_k: NotNegative = 1.5
    cooling_share: Fraction = Field(
        0.3, description="of the cooling that the floors carry; the coils carry the rest and the moisture"
    )


def apply(case: HouseCase, inputs: RadiantFloor) -> HouseCase:
    """Rooms with loops are heated by them, without setback; in summer floors and coils share the work.

    A floor takes no moisture out of the air, so that it is never the only cooling of a humid summer.
    """
    floors = RadiantFloors(
        circuits=tuple(loops.circuit() for loops in inputs.circuits),
        spread_k=inputs.spread_k,
        pump_w=inputs.pump_w,
        dew_point_margin_k=inputs.dew_point_margin_k,
    )
    case = case.with_plant(
        heating=tuple(part for system in case.plant.heating for part in _split(system, floors, 1.0)),
        cooling=tuple(
            part for system in case.plant.cooling for part in _split(system, floors, inputs.cooling_share)
        ),
    )
    for loops in inputs.circuits:
        case = _laid(case, loops)
    by_room = {loops.room: loops for loops in inputs.circuits}
    return case.with_house(zones=tuple(_emitting(zone, by_room.get(zone.name)) for zone in case.house.zones))


def _laid(case: HouseCase, loops: FloorLoops) -> HouseCase:
    """Insulation against the underside of the floor, and the pipe plane just above it."""
    if loops.insulation_below_m:
        insulation = MaterialFacts(
            material_key="floor_insulation", conductivity_w_mk=INSULATION_W_MK, **INSULATION
        )
        case = rebuild(
            case, loops.surfaces, lambda one: wrapped(one, None, insulation, loops.insulation_below_m)
        )
    surfaces = change_named(
        case.house.surfaces, loops.surfaces, lambda one: changed(one, pipe_plane_after_layer=0), "floor"
    )
    return case.with_house(surfaces=surfaces)


S = TypeVar("S", HeatingSystem, CoolingSystem)


def _split(system: S, floors: RadiantFloors, share: float) -> tuple[S, ...]:
    """The system for what its coils keep, and beside it one for what the floors carry."""
    if not isinstance(system.delivery, WaterRadiators) or share == 0:
        return (system,)
    looped = {circuit.zone for circuit in floors.circuits}
    kept = [
        changed(one, share=one.share * (1 - share)) if one.zone in looped else one
        for one in system.serves
        if one.zone not in looped or share < 1
    ]
    carried = tuple(changed(one, share=one.share * share) for one in system.serves if one.zone in looped)
    parts: list[S] = [_sharing(changed(system, serves=tuple(kept)), 1 - share)] if kept else []
    if carried:
        zones = {one.zone for one in carried}
        circuits = tuple(circuit for circuit in floors.circuits if circuit.zone in zones)
        delivery = changed(floors, circuits=circuits)
        whole = changed(system, name=f"{system.name}, floors", serves=carried, delivery=delivery)
        parts.append(_sharing(whole, share))
    return tuple(parts)


def _sharing(system: S, share: float) -> S:
    """One exchanger and one loop pump serve coils and floors: each carries its share of them."""
    free = system.free_cooling if isinstance(system, CoolingSystem) else None
    if free is None:
        return system
    part = changed(free, capacity_w=free.capacity_w * share, pump_w=free.pump_w * share)
    return changed(system, free_cooling=part)


def _emitting(zone: Zone, loops: FloorLoops | None) -> Zone:
    """Heat from the floor, up to what a floor may give; held at the day's set-point through the night."""
    if loops is None:
        return zone
    emitter = Emitter(
        kind="floor",
        surfaces=loops.surfaces,
        look_ahead_h=LOOK_AHEAD_H,
        capacity_w=loops.most_w_m2() * loops.active_area_m2,
    )
    thermostat = zone.thermostat
    if thermostat is not None and isinstance(thermostat.heating_c, Schedule):
        steady = max(value for value in thermostat.heating_c.hours if value is not None)
        thermostat = changed(thermostat, heating_c=steady)
    return changed(zone, heating=emitter, thermostat=thermostat)


def materials(case: HouseCase, inputs: RadiantFloor) -> tuple[MaterialUse, ...]:
    """The pipe, by area and spacing."""
    length_m = sum(loops.active_area_m2 / loops.spacing_m for loops in inputs.circuits)
    mass_kg = length_m * PIPE_KG_M
    return (MaterialUse("floor pipe, polyethylene", "polyethylene_pipe", mass_kg, mass_kg=mass_kg),)


KIND = MeasureKind(
    "radiant_floor", "Floors that heat and cool", RadiantFloor, 60, apply, materials, needs=(WATER_SOURCES,)
)
