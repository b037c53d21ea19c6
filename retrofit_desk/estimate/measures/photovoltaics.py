"""Solar electricity from one or several roof planes."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Fraction, Name, Part, Positive
from retrofit_desk.physics.plant_description import Inverter, SolarArray


class RoofPlane(Part):
    name: Name
    dc_w: Positive = Field(title="Power of the modules", description="nameplate")
    tilt_deg: float = Field(ge=0, le=90)
    azimuth_deg: float = Field(ge=0, le=360)
    module_count: int = Field(ge=1)


class Photovoltaics(Inputs):
    arrays: tuple[RoofPlane, ...] = Field(min_length=1)
    inverter_ac_limit_w: Positive
    inverter_efficiency: float = Field(gt=0, le=1)
    losses_fraction: Fraction
    temp_coefficient_per_k: float = Field(ge=-0.01, le=0)


def apply(case: HouseCase, inputs: Photovoltaics) -> HouseCase:
    inverter = Inverter(
        name="solar inverter", ac_limit_w=inputs.inverter_ac_limit_w, efficiency=inputs.inverter_efficiency
    )
    arrays = tuple(
        SolarArray(
            name=plane.name,
            dc_w=plane.dc_w,
            tilt_deg=plane.tilt_deg,
            azimuth_deg=plane.azimuth_deg,
            temp_coefficient_per_k=inputs.temp_coefficient_per_k,
            losses=inputs.losses_fraction,
            inverter=inverter.name,
        )
        for plane in inputs.arrays
    )
    return case.with_plant(arrays=(*case.plant.arrays, *arrays), inverters=(*case.plant.inverters, inverter))


def materials(case: HouseCase, inputs: Photovoltaics) -> tuple[MaterialUse, ...]:
    peak_kw = sum(plane.dc_w for plane in inputs.arrays) / 1000.0
    return (MaterialUse("solar modules", "pv_module", peak_kw, "kWp"),)


KIND = MeasureKind("photovoltaics", "Solar electricity", Photovoltaics, 80, apply, materials)
