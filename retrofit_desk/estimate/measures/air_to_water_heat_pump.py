"""An air-source heat pump that makes water for radiators, fan coils or floors."""

from typing import Literal

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import (
    ONE_HEAT_PUMP,
    Inputs,
    MeasureKind,
    RefrigerantCharge,
    unweighed,
)
from retrofit_desk.estimate.water_plant import Coil, on_water
from retrofit_desk.physics.elements import Fraction, Name, NotNegative, Temperature
from retrofit_desk.physics.plant_machines import HeatPump, OutdoorAir, RatingPoint, Ratings

SYSTEM = "air-to-water heat pump"


class AirToWaterHeatPump(Inputs):
    replaces: tuple[Name, ...] = ()
    heating_points: tuple[RatingPoint, ...] = Field(
        min_length=1,
        description="by outdoor air and leaving water (EN 14511)",
    )
    cooling_points: tuple[RatingPoint, ...] = Field((), description="none: it does not cool")
    basis: Literal["tested table", "published ratings", "guess"] = "published ratings"
    frost_dip: bool = Field(True, description="off where the points were tested with frost and defrost")
    cycling_coefficient: Fraction = Field(0.25, description="C_D; 0.25 where not tested (App. M1)")
    off_below_c: Temperature | None = Field(None, description="compressor stops below; None: never")
    on_again_above_c: Temperature | None = None
    crankcase_w: NotNegative = 0.0
    backup_w: NotNegative = Field(0.0, description="electric heater that helps it; 0: none")
    distribution_pump_w: NotNegative
    coils: tuple[Coil, ...] = Field((), description="for every room; none: the radiators that are there")
    refrigerant: str = Field("", description="ASHRAE 34 designation; empty: unknown")
    refrigerant_charge_kg: NotNegative = 0.0

    def machine(self) -> HeatPump:
        air = OutdoorAir(
            frost_dip=self.frost_dip,
            off_below_c=self.off_below_c,
            on_again_above_c=self.on_again_above_c,
            crankcase_w=self.crankcase_w,
        )
        kept = {"basis": self.basis, "cycling_coefficient": self.cycling_coefficient}
        cooling = (
            Ratings.model_validate(kept | {"points": self.cooling_points}) if self.cooling_points else None
        )
        return HeatPump(
            name=SYSTEM,
            source=air,
            heating=Ratings.model_validate(kept | {"points": self.heating_points}),
            cooling=cooling,
            refrigerant=self.refrigerant,
            charge_kg=self.refrigerant_charge_kg,
        )


def apply(case: HouseCase, inputs: AirToWaterHeatPump) -> HouseCase:
    return on_water(
        case, inputs.machine(), inputs.coils, inputs.distribution_pump_w, backup_w=inputs.backup_w
    )


def refrigerant(inputs: AirToWaterHeatPump) -> RefrigerantCharge | None:
    if not inputs.refrigerant:
        return None
    return RefrigerantCharge(inputs.refrigerant, inputs.refrigerant_charge_kg, "packaged")


KIND = MeasureKind(
    "air_to_water_heat_pump",
    "Air-to-water heat pump",
    AirToWaterHeatPump,
    50,
    apply,
    unweighed("heat pump"),
    refrigerant,
    excludes=ONE_HEAT_PUMP,
)
