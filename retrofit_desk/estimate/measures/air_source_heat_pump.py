"""Air-source heat pumps that warm and cool the rooms' air, ductless or through the ducts that are there."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from retrofit_desk.estimate.case import DoesNotFit, HouseCase
from retrofit_desk.estimate.measures.base import (
    ONE_HEAT_PUMP,
    Inputs,
    MeasureKind,
    RefrigerantCharge,
    unweighed,
)
from retrofit_desk.estimate.measures.reason import wrong_fact
from retrofit_desk.estimate.seasonal_ratings import cooling_point, heating_points, worked_back
from retrofit_desk.physics.elements import NotNegative, Positive, Temperature
from retrofit_desk.physics.plant_delivery import (
    CoolingSystem,
    Distribution,
    Ducts,
    HeatingSystem,
    InRoom,
    ServedZone,
)
from retrofit_desk.physics.plant_machines import HeatPump, OutdoorAir, RatingPoint, Ratings, Resistance

SYSTEM = "air-source heat pump"
COLD_C, WARM_C = -8.33, 8.33  # AHRI 210/240-2023, H3 and H1 tests: 17 and 47 degF outdoors
COOLING_RATED_C = 35.0  # AHRI 210/240-2023, A test: 95 degF outdoors
Basis = Literal["tested table", "published ratings", "guess"]


class AirSourceHeatPump(Inputs):
    heads: int = Field(1, title="Indoor units", ge=1, le=10)
    delivery: Literal["ductless", "existing ducts"] = "ductless"
    capacity_at_8c_w: Positive = Field(
        title="Heating capacity at 47 °F (8.3 °C)", description="all heads together"
    )
    cop_at_8c: Positive | None = Field(None, title="COP at 47 °F (8.3 °C)", description="none: by HSPF2")
    capacity_at_minus_8c_w: Positive = Field(
        title="Heating capacity at 17 °F (−8.3 °C)", description="all heads together"
    )
    cop_at_minus_8c: Positive | None = Field(
        None, title="COP at 17 °F (−8.3 °C)", description="none: by HSPF2"
    )
    hspf2: Positive | None = Field(None, title="HSPF2", description="region IV; used where no COP is stated")
    cooling_capacity_w: Positive | None = Field(
        None, title="Cooling capacity at 95 °F (35 °C)", description="none: it does not cool"
    )
    cooling_cop: Positive | None = Field(
        None, title="Cooling COP at 95 °F (35 °C)", description="EER2 over 3.412; none: by SEER2"
    )
    seer2: Positive | None = Field(None, title="SEER2", description="used where no cooling COP is stated")
    basis: Basis = Field("published ratings", description="where the COPs come from")
    off_below_c: Temperature | None = Field(
        None, title="Stops below", description="compressor stops below; none: never"
    )
    on_again_above_c: Temperature | None = Field(
        None, title="Starts again above", description="and starts again above this"
    )
    crankcase_w: NotNegative = Field(0.0, description="heater power while the compressor stands still")
    backup_w: NotNegative = Field(0.0, description="electric strip heat that helps it; 0: none")
    refrigerant: str = Field("", description="ASHRAE 34 designation; empty: unknown")
    refrigerant_charge_kg: NotNegative = 0.0

    @model_validator(mode="after")
    def _rated(self) -> AirSourceHeatPump:
        if (self.cop_at_8c is None) != (self.cop_at_minus_8c is None):
            raise ValueError("needs both heating COPs, or HSPF2 alone")
        if self.cop_at_8c is None and self.hspf2 is None:
            raise ValueError("needs the heating COPs, or HSPF2")
        if (self.cooling_cop or self.seer2) is not None and self.cooling_capacity_w is None:
            raise wrong_fact(("cooling_capacity_w",), "needs a value beside a COP or SEER2 of cooling")
        return self

    def machine(self) -> HeatPump:
        air = OutdoorAir(
            off_below_c=self.off_below_c,
            on_again_above_c=self.on_again_above_c,
            crankcase_w=self.crankcase_w,
        )
        return HeatPump(
            name=SYSTEM,
            source=air,
            heating=self._heating(),
            cooling=self._cooling(),
            refrigerant=self.refrigerant,
            charge_kg=self.refrigerant_charge_kg,
        )

    def _heating(self) -> Ratings:
        if self.cop_at_8c is not None and self.cop_at_minus_8c is not None:
            cold = _point(COLD_C, self.capacity_at_minus_8c_w, self.cop_at_minus_8c)
            warm = _point(WARM_C, self.capacity_at_8c_w, self.cop_at_8c)
            return Ratings(points=(cold, warm), basis=self.basis)
        assert self.hspf2 is not None  # checked with the facts
        line = self.cooling_capacity_w or self.capacity_at_8c_w  # App. M1: the load line goes with cooling
        points = heating_points(self.hspf2, self.capacity_at_8c_w, self.capacity_at_minus_8c_w, line)
        return Ratings(points=points, basis="seasonal ratings")

    def _cooling(self) -> Ratings | None:
        if self.cooling_capacity_w is None:
            return None
        if self.cooling_cop is not None:
            point = _point(COOLING_RATED_C, self.cooling_capacity_w, self.cooling_cop)
            return Ratings(points=(point,), basis=self.basis)
        if self.seer2 is None:
            return None
        return Ratings(points=(cooling_point(self.seer2, self.cooling_capacity_w),), basis="seasonal ratings")


def _point(outdoor_c: float, capacity_w: float, cop: float) -> RatingPoint:
    return RatingPoint(source_c=outdoor_c, capacity_w=capacity_w, power_w=capacity_w / cop)


def apply(case: HouseCase, inputs: AirSourceHeatPump) -> HouseCase:
    """It serves every room with a thermostat; the old burner goes, and old cooling where it cools too."""
    rooms = [zone for zone in case.house.zones if zone.thermostat is not None]
    warm = tuple(ServedZone(zone=one.name) for one in rooms if one.thermostat and one.thermostat.heating_c)
    cool = tuple(ServedZone(zone=one.name) for one in rooms if one.thermostat and one.thermostat.cooling_c)
    machine, way = inputs.machine(), _delivery(case, inputs)
    backup = (Resistance(name=f"{SYSTEM}, backup", capacity_w=inputs.backup_w),) if inputs.backup_w else ()
    helper = backup[0].name if backup else None
    heating = (HeatingSystem(name=SYSTEM, machine=SYSTEM, serves=warm, delivery=way, backup=helper),)
    if machine.cooling is None or not cool:
        kept = {system.machine for system in case.plant.cooling}
        old = (one for one in case.plant.machines if one.name in kept)
        return case.with_plant(machines=(machine, *backup, *old), heating=heating)
    cooling = (CoolingSystem(name=SYSTEM, machine=SYSTEM, serves=cool, delivery=way),)
    return case.with_plant(machines=(machine, *backup), heating=heating, cooling=cooling)


def _delivery(case: HouseCase, inputs: AirSourceHeatPump) -> Distribution:
    if inputs.delivery == "ductless":
        return InRoom()
    ducts = next((one.delivery for one in case.plant.systems if isinstance(one.delivery, Ducts)), None)
    if ducts is None:
        raise DoesNotFit("the house has no ducts", do="choose ductless heads")
    return ducts


def refrigerant(inputs: AirSourceHeatPump) -> RefrigerantCharge | None:
    if not inputs.refrigerant:
        return None
    return RefrigerantCharge(inputs.refrigerant, inputs.refrigerant_charge_kg, "split")


def beside(case: HouseCase, inputs: AirSourceHeatPump) -> tuple[str, ...]:
    heats, cools = inputs.cop_at_8c is None, inputs.cooling_cop is None and inputs.seer2 is not None
    known = [name for name, is_so in (("HSPF2", heats), ("SEER2", cools)) if is_so]
    if not known:
        return ()
    return (worked_back(known),)


KIND = MeasureKind(
    "air_source_heat_pump",
    "Air-source heat pump",
    AirSourceHeatPump,
    50,
    apply,
    unweighed("heat pump"),
    refrigerant,
    excludes=ONE_HEAT_PUMP,
    beside=beside,
)
