"""Solar electricity from one or several roof planes."""

from pydantic import Field

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures.base import Inputs, MaterialUse, MeasureKind
from retrofit_desk.physics.elements import Fraction, Name, NotNegative, Part, Positive
from retrofit_desk.physics.plant_description import Inverter, SolarArray

COMMON = "solar inverter"


class RoofPlane(Part):
    name: Name
    dc_w: Positive = Field(title="Power of the modules", description="nameplate")
    tilt_deg: float = Field(ge=0, le=90)
    azimuth_deg: float = Field(ge=0, le=360)
    module_count: int = Field(ge=1)
    monthly_shading: tuple[Fraction, ...] = Field(
        (),
        max_length=12,
        title="Shading by month",
        description="share lost, twelve numbers; none: the recorded hills and trees shade it",
    )
    age_years: NotNegative = Field(0.0, title="Age", description="years; 0: new")
    own_inverter_w: Positive | None = Field(
        None, description="limit of its own inverter; none: the common one"
    )


class Photovoltaics(Inputs):
    arrays: tuple[RoofPlane, ...] = Field(min_length=1)
    inverter_ac_limit_w: Positive
    inverter_efficiency: float = Field(gt=0, le=1)
    losses_fraction: Fraction
    temp_coefficient_per_k: float = Field(ge=-0.01, le=0)


def apply(case: HouseCase, inputs: Photovoltaics) -> HouseCase:
    limits = {COMMON: inputs.inverter_ac_limit_w} | {
        _inverter_of(plane): plane.own_inverter_w for plane in inputs.arrays if plane.own_inverter_w
    }
    used = {_inverter_of(plane) for plane in inputs.arrays}
    inverters = tuple(
        Inverter(name=name, ac_limit_w=limit, efficiency=inputs.inverter_efficiency)
        for name, limit in limits.items()
        if name in used
    )
    arrays = tuple(
        SolarArray(
            name=plane.name,
            dc_w=plane.dc_w,
            tilt_deg=plane.tilt_deg,
            azimuth_deg=plane.azimuth_deg,
            temp_coefficient_per_k=inputs.temp_coefficient_per_k,
            losses=inputs.losses_fraction,
            monthly_shading=plane.monthly_shading,
            age_years=plane.age_years,
            inverter=_inverter_of(plane),
        )
        for plane in inputs.arrays
    )
    return case.with_plant(
        arrays=(*case.plant.arrays, *arrays), inverters=(*case.plant.inverters, *inverters)
    )


def _inverter_of(plane: RoofPlane) -> str:
    return f"inverter, {plane.name}"[:80] if plane.own_inverter_w else COMMON


def materials(case: HouseCase, inputs: Photovoltaics) -> tuple[MaterialUse, ...]:
    peak_kw = sum(plane.dc_w for plane in inputs.arrays) / 1000.0
    return (MaterialUse("solar modules", "pv_module", peak_kw, "kWp"),)


KIND = MeasureKind("photovoltaics", "Solar electricity", Photovoltaics, 80, apply, materials)
