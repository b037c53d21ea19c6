"""Floors that heat and cool: loops in the floor take the place of the coils."""

from pydantic import Field

from retrofit_desk.estimate.case import DoesNotFit, HouseCase, changed
from retrofit_desk.estimate.measures.base import WATER_SOURCES, Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.description import Emitter, Surface, Zone
from retrofit_desk.physics.elements import Name, NotNegative, Part
from retrofit_desk.physics.plant_delivery import (
    CoolingSystem,
    FloorCircuit,
    HeatingSystem,
    RadiantFloors,
    WaterRadiators,
)


class FloorWithLoops(Part):
    """Where the pipes of one zone lie."""

    circuit: FloorCircuit
    surface: Name
    pipe_plane_after_layer: int = Field(
        ge=0, description="pipes on the inner side of this layer, 0 outermost"
    )


class RadiantFloor(Inputs):
    floors: tuple[FloorWithLoops, ...] = Field(min_length=1)
    pump_w: NotNegative
    dew_point_margin_k: NotNegative = 1.5
    pipe_mass_kg: NotNegative = Field(0.0, description="floor pipe; 0: not stated")
    pipe_carbon_key: str = ""


def apply(case: HouseCase, inputs: RadiantFloor) -> HouseCase:
    """Zones with loops are served by them; the floor takes the set-point's place as emitter."""
    by_zone = {floor.circuit.zone: floor for floor in inputs.floors}
    floors = RadiantFloors(
        circuits=tuple(floor.circuit for floor in inputs.floors),
        pump_w=inputs.pump_w,
        dew_point_margin_k=inputs.dew_point_margin_k,
    )
    heating = tuple(part for system in case.plant.heating for part in _split(system, floors))
    cooling = tuple(part for system in case.plant.cooling for part in _split(system, floors))
    case = case.with_plant(heating=heating, cooling=cooling)
    surfaces = tuple(_piped(surface, inputs) for surface in case.house.surfaces)
    missing = {floor.surface for floor in inputs.floors} - {surface.name for surface in surfaces}
    if missing:
        raise DoesNotFit(f"the house has no floor called '{min(missing)}'", do="correct the measure")
    zones = tuple(_emitting(zone, by_zone.get(zone.name)) for zone in case.house.zones)
    return case.with_house(surfaces=surfaces, zones=zones)


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


def _piped(surface: Surface, inputs: RadiantFloor) -> Surface:
    for floor in inputs.floors:
        if floor.surface == surface.name:
            return changed(surface, pipe_plane_after_layer=floor.pipe_plane_after_layer)
    return surface


def _emitting(zone: Zone, floor: FloorWithLoops | None) -> Zone:
    if floor is None:
        return zone
    emitter = Emitter(kind="floor", surfaces=(floor.surface,), look_ahead_h=6)
    return changed(zone, heating=emitter, cooling=emitter)


def materials(case: HouseCase, inputs: RadiantFloor) -> tuple[MaterialUse, ...]:
    if not inputs.pipe_mass_kg:
        return ()
    return (MaterialUse("floor pipe", inputs.pipe_carbon_key, inputs.pipe_mass_kg),)


KIND = MeasureKind(
    "radiant_floor", "Floors that heat and cool", RadiantFloor, 60, apply, materials, needs=(WATER_SOURCES,)
)
