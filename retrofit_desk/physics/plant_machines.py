"""What makes heat and cold: burners, resistance heaters, heat pumps and the ground they draw from."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from retrofit_desk.physics.elements import Fraction, Name, NotNegative, Part, Positive, Temperature

Fuel = Literal["gas", "oil", "propane", "wood", "electricity"]
BurnedFuel = Literal["gas", "oil", "propane", "wood"]
FUELS: tuple[Fuel, ...] = ("gas", "oil", "propane", "wood", "electricity")


class ReturnPoint(Part):
    """Efficiency of a boiler at one return water temperature."""

    return_c: Temperature = Field(description="water returning to the boiler")
    efficiency: Fraction = Field(description="at that water")


class Burner(Part):
    """A furnace, boiler or stove. Efficiencies are on the higher heating value."""

    kind: Literal["burner"] = "burner"
    name: Name = Field(description="what it is called; other keys refer to it by this name")
    fuel: BurnedFuel = Field(description="what it burns")
    capacity_w: Positive = Field(description="heat output")
    efficiency: Annotated[float, Field(gt=0, le=1)] = Field(description="seasonal, heat out by fuel in")
    efficiency_by_return: tuple[ReturnPoint, ...] = Field(
        (), description="boilers: replaces `efficiency` where given, interpolated"
    )
    pilot_w: NotNegative = Field(0.0, description="standing pilot, burns all year")
    standby_loss_w: NotNegative = Field(
        0.0, description="heat lost by the jacket and the flue while hot and idle, in the heating season"
    )
    stands_in: Name | None = Field(
        None, description="zone that the jacket and pilot warm; None: outside them"
    )
    electric_w: NotNegative = Field(0.0, description="burner motor, inducer and controls while firing")


class Resistance(Part):
    """Electric resistance heat: one kilowatt-hour in, one out."""

    kind: Literal["resistance"] = "resistance"
    name: Name = Field(description="what it is called; other keys refer to it by this name")
    capacity_w: Positive = Field(description="heat output")


class RatingPoint(Part):
    """Tested output and input at one pair of temperatures."""

    source_c: Temperature = Field(description="outdoor air, or water entering from the ground")
    load_c: Temperature | None = Field(
        None, description="water leaving to the house (EN 14511 W value); None where the load is room air"
    )
    capacity_w: Positive = Field(description="heat (or total cold) delivered")
    power_w: Positive = Field(description="electric input, without loop pumps added by the installer")


class Ratings(Part):
    """Performance points of one mode. Capacity and power are interpolated apart, never the COP."""

    points: tuple[RatingPoint, ...] = Field(
        min_length=1,
        description="at full speed; a full grid of source and load temperatures, or one point to be scaled",
    )
    low_speed_points: tuple[RatingPoint, ...] = Field(
        (), description="at lowest speed, on the same grid; empty for a single-speed machine"
    )
    cycling_coefficient: Fraction = Field(
        0.25, description="C_D of 10 CFR 430 App. M1: 0.25 heating, 0.20 single-stage cooling"
    )
    basis: Literal["tested table", "published ratings", "seasonal ratings", "guess"] = Field(
        "published ratings",
        description="where the points come from (seasonal ratings: worked back from HSPF2 or SEER2); "
        "shown with every result",
    )

    @model_validator(mode="after")
    def _is_grid(self) -> Ratings:
        for name in ("points", "low_speed_points"):
            points: tuple[RatingPoint, ...] = getattr(self, name)
            places = {(p.source_c, p.load_c) for p in points}
            full = len({p.source_c for p in points}) * len({p.load_c for p in points})
            if len(places) != len(points) or len(points) != full:
                raise ValueError(f"{name}: give one point for every pair of source and load temperature")
            if len({p.load_c is None for p in points}) > 1:
                raise ValueError(f"{name}: load_c is given for some points only")
        if self.low_speed_points and {(p.source_c, p.load_c) for p in self.points} != {
            (p.source_c, p.load_c) for p in self.low_speed_points
        }:
            raise ValueError("low_speed_points: must stand at the same temperatures as points")
        return self


class OutdoorAir(Part):
    """Outdoor air as the source."""

    kind: Literal["outdoor_air"] = "outdoor_air"
    frost_dip: bool = Field(
        True, description="apply the App. M1 frost default between 17 and 45 degF; off if tested there"
    )
    off_below_c: Temperature | None = Field(None, description="compressor stops below; None: never")
    on_again_above_c: Temperature | None = Field(None, description="and starts again above this")
    crankcase_w: NotNegative = Field(0.0, description="heater power while the compressor stands still")


class Ground(Part):
    """A bore field of this plant as the source."""

    kind: Literal["ground"] = "ground"
    bore_field: Name = Field(description="name of one of `bore_fields`")


class WellWater(Part):
    """Ground or surface water of steady temperature as the source."""

    kind: Literal["well_water"] = "well_water"
    entering_c: Temperature = Field(description="water entering the machine")
    pump_w: NotNegative = Field(0.0, description="well pump while the machine runs")


Source = Annotated[OutdoorAir | Ground | WellWater, Field(discriminator="kind")]


class HeatPump(Part):
    """A compressor machine; an air conditioner is one with cooling ratings only."""

    kind: Literal["heat_pump"] = "heat_pump"
    name: Name = Field(description="what it is called; other keys refer to it by this name")
    source: Source = Field(description="where it takes heat from")
    heating: Ratings | None = Field(None, description="ratings; null: it does not heat")
    cooling: Ratings | None = Field(None, description="ratings; null: it does not cool")
    refrigerant: str = Field("", max_length=20, description="ASHRAE 34 designation, e.g. R-32")
    charge_kg: NotNegative | None = Field(None, description="refrigerant in it; null: not known")

    @model_validator(mode="after")
    def _does_something(self) -> HeatPump:
        if self.heating is None and self.cooling is None:
            raise ValueError(f"{self.name}: needs heating or cooling ratings")
        return self


Machine = Annotated[Burner | Resistance | HeatPump, Field(discriminator="kind")]


class Antifreeze(Part):
    """The fluid in the ground loop."""

    kind: Literal["water", "propylene glycol", "ethylene glycol", "ethanol", "methanol"] = "water"
    mass_percent: Annotated[float, Field(ge=0, le=60)] = Field(0.0, description="of antifreeze in the water")


class BoreField(Part):
    """Vertical bores on a rectangular grid, single U-tube, grouted."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    rows: Annotated[int, Field(ge=1, le=20)] = Field(1, description="bores one way")
    columns: Annotated[int, Field(ge=1, le=20)] = Field(1, description="bores the other way")
    spacing_m: Positive = Field(6.0, description="between bores")
    depth_m: Positive = Field(description="active length of one bore")
    buried_m: Positive = Field(1.5, description="from the surface to the top of the active length")
    bore_radius_m: Positive = Field(0.075, description="of the drilled hole")
    pipe_outer_radius_m: Positive = Field(0.0167, description="of one pipe")
    pipe_inner_radius_m: Positive = Field(0.0137, description="of one pipe")
    half_shank_m: Positive = Field(0.030, description="pipe center to bore center")
    pipe_conductivity_w_mk: Positive = Field(0.4, description="of the pipe wall")
    grout_conductivity_w_mk: Positive = Field(1.4, description="of the filling")
    ground_conductivity_w_mk: Positive = Field(description="of the ground around the bores")
    ground_diffusivity_m2_s: Positive = Field(description="of the ground around the bores")
    ground_temp_c: Temperature = Field(description="undisturbed, mean over the depth")
    fluid: Antifreeze = Field(Antifreeze(), description="water when missing")
    flow_kg_s: Positive = Field(description="whole field, while running; bores in parallel")
    pump_w: NotNegative = Field(description="loop pump while the machine runs")
    years_before: Annotated[int, Field(ge=0, le=50)] = Field(
        9, description="years of the same use before the year shown"
    )

    @property
    def bores(self) -> int:
        return self.rows * self.columns

    @property
    def total_length_m(self) -> float:
        return self.bores * self.depth_m

    @model_validator(mode="after")
    def _fits(self) -> BoreField:
        if self.pipe_inner_radius_m >= self.pipe_outer_radius_m:
            raise ValueError("pipe_inner_radius_m: the pipe has no wall")
        if self.half_shank_m + self.pipe_outer_radius_m > self.bore_radius_m:
            raise ValueError("half_shank_m: the pipes stand outside the bore")
        if self.half_shank_m < self.pipe_outer_radius_m:
            raise ValueError("half_shank_m: the two pipes overlap")
        return self
