"""Ductless air-source heat pumps in place of the old heating and cooling."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, RefrigerantCharge
from retrofit_desk.physics.elements import NotNegative, Positive
from retrofit_desk.physics.plant_delivery import CoolingSystem, HeatingSystem, InRoom, ServedZone
from retrofit_desk.physics.plant_machines import HeatPump, OutdoorAir, RatingPoint, Ratings

SYSTEM = "air-source heat pump"
COOLING_RATED_C = 35.0  # AHRI 210/240-2023, A test: 95 degF outdoors


class AirSourceHeatPump(Inputs):
    heads: int = Field(ge=1, le=10, description="indoor units")
    capacity_at_8c_w: Positive = Field(description="all heads together, at 8.3 degC (47 degF) outdoors")
    cop_at_8c: Positive
    capacity_at_minus_8c_w: Positive = Field(description="at -8.3 degC (17 degF) outdoors")
    cop_at_minus_8c: Positive
    cooling_capacity_w: Positive | None = Field(None, description="at 35 degC; None: it does not cool")
    cooling_cop: Positive | None = None
    refrigerant: str = ""
    refrigerant_charge_kg: NotNegative = 0.0

    def machine(self) -> HeatPump:
        heating = Ratings(
            points=(
                _point(-8.33, self.capacity_at_minus_8c_w, self.cop_at_minus_8c),
                _point(8.33, self.capacity_at_8c_w, self.cop_at_8c),
            )
        )
        cooling = None
        if self.cooling_capacity_w is not None and self.cooling_cop is not None:
            cooling = Ratings(points=(_point(COOLING_RATED_C, self.cooling_capacity_w, self.cooling_cop),))
        return HeatPump(
            name=SYSTEM,
            source=OutdoorAir(),
            heating=heating,
            cooling=cooling,
            refrigerant=self.refrigerant,
            charge_kg=self.refrigerant_charge_kg,
        )


def _point(outdoor_c: float, capacity_w: float, cop: float) -> RatingPoint:
    return RatingPoint(source_c=outdoor_c, capacity_w=capacity_w, power_w=capacity_w / cop)


def apply(case: HouseCase, inputs: AirSourceHeatPump) -> HouseCase:
    """The heads serve every room with a thermostat; the old burner goes, old cooling where they cool too."""
    rooms = [zone for zone in case.house.zones if zone.thermostat is not None]
    warm = tuple(ServedZone(zone=one.name) for one in rooms if one.thermostat and one.thermostat.heating_c)
    cool = tuple(ServedZone(zone=one.name) for one in rooms if one.thermostat and one.thermostat.cooling_c)
    machine = inputs.machine()
    heating = (HeatingSystem(name=SYSTEM, machine=SYSTEM, serves=warm, delivery=InRoom()),)
    if machine.cooling is None or not cool:
        kept = {system.machine for system in case.plant.cooling}
        machines = (machine, *(one for one in case.plant.machines if one.name in kept))
        return case.with_plant(machines=machines, heating=heating)
    cooling = (CoolingSystem(name=SYSTEM, machine=SYSTEM, serves=cool, delivery=InRoom()),)
    return case.with_plant(machines=(machine,), heating=heating, cooling=cooling)


def refrigerant(inputs: AirSourceHeatPump) -> RefrigerantCharge | None:
    if not inputs.refrigerant:
        return None
    return RefrigerantCharge(inputs.refrigerant, inputs.refrigerant_charge_kg, "split")


KIND = MeasureKind(
    "air_source_heat_pump",
    "Air-source heat pump",
    AirSourceHeatPump,
    50,
    apply,
    refrigerant=refrigerant,
    excludes=frozenset({"ground_source_heat_pump"}),
)
