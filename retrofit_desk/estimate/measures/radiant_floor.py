"""Floors that heat and cool: loops in the floor take the place of the coils."""

from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase, change_named, changed
from retrofit_desk.estimate.fabric import MaterialFacts, rebuild, wrapped
from retrofit_desk.estimate.measures.base import WATER_SOURCES, Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.description import Emitter, Zone
from retrofit_desk.physics.elements import Name, NotNegative, Part, Positive
from retrofit_desk.physics.plant_delivery import (
    CoolingSystem,
    FloorCircuit,
    HeatingSystem,
    RadiantFloors,
    WaterRadiators,
)

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
    covering_m2k_w: NotNegative
    below_m2k_w: Positive
    insulation_below_m: NotNegative = Field(0.0, description="laid under the loops with them")

    def circuit(self) -> FloorCircuit:
        facts = {
            "zone": self.room,
            "build": self.build,
            "active_area_m2": self.active_area_m2,
            "spacing_m": self.spacing_m,
            "cover_m": self.cover_m,
            "covering_m2k_w": self.covering_m2k_w,
            "below_m2k_w": self.below_m2k_w,
        }
        if self.cover_conductivity_w_mk is not None:
            facts["cover_conductivity_w_mk"] = self.cover_conductivity_w_mk
        return FloorCircuit.model_validate(facts)


class RadiantFloor(Inputs):
    circuits: tuple[FloorLoops, ...] = Field(min_length=1)
    serves_with: str = ""
    spread_k: Positive = 5.0
    pump_w: NotNegative
    dew_point_margin_k: NotNegative = 1.5


def apply(case: HouseCase, inputs: RadiantFloor) -> HouseCase:
    """Rooms with loops are served by them; the floor gives the heat from the plane of its pipes."""
    floors = RadiantFloors(
        circuits=tuple(loops.circuit() for loops in inputs.circuits),
        spread_k=inputs.spread_k,
        pump_w=inputs.pump_w,
        dew_point_margin_k=inputs.dew_point_margin_k,
    )
    case = case.with_plant(
        heating=tuple(part for system in case.plant.heating for part in _split(system, floors)),
        cooling=tuple(part for system in case.plant.cooling for part in _split(system, floors)),
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


def _split(
    system: HeatingSystem | CoolingSystem, floors: RadiantFloors
) -> tuple[HeatingSystem | CoolingSystem, ...]:
    """The system for the zones that keep their coils, and beside it one for the zones with loops."""
    if not isinstance(system.delivery, WaterRadiators):
        return (system,)
    looped = {circuit.zone for circuit in floors.circuits}
    with_loops = tuple(served for served in system.serves if served.zone in looped)
    without = tuple(served for served in system.serves if served.zone not in looped)
    parts: list[HeatingSystem | CoolingSystem] = []
    if without:
        parts.append(changed(system, serves=without))
    if with_loops:
        zones = {served.zone for served in with_loops}
        circuits = tuple(circuit for circuit in floors.circuits if circuit.zone in zones)
        parts.append(
            changed(
                system,
                name=f"{system.name}, floors",
                serves=with_loops,
                delivery=changed(floors, circuits=circuits),
            )
        )
    return tuple(parts)


def _emitting(zone: Zone, loops: FloorLoops | None) -> Zone:
    if loops is None:
        return zone
    emitter = Emitter(kind="floor", surfaces=loops.surfaces, look_ahead_h=6)
    return changed(zone, heating=emitter, cooling=emitter)


def materials(case: HouseCase, inputs: RadiantFloor) -> tuple[MaterialUse, ...]:
    """The pipe, by area and spacing."""
    length_m = sum(loops.active_area_m2 / loops.spacing_m for loops in inputs.circuits)
    mass_kg = length_m * PIPE_KG_M
    return (MaterialUse("floor pipe, polyethylene", "polyethylene_pipe", mass_kg, mass_kg=mass_kg),)


KIND = MeasureKind(
    "radiant_floor", "Floors that heat and cool", RadiantFloor, 60, apply, materials, needs=(WATER_SOURCES,)
)
