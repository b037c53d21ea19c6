"""How heat and cold reach the rooms, and the tank that holds them for later."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from retrofit_desk.physics.elements import Fraction, Name, NotNegative, Part, Positive, Temperature


class InRoom(Part):
    """Heat or cold given off in the room itself: ductless heads, stoves, electric baseboard."""

    kind: Literal["in_room"] = "in_room"
    fan_w: NotNegative = Field(0.0, description="where the machine's own rating leaves it out")


class DuctRun(Part):
    """One side of the ducts."""

    area_m2: NotNegative = Field(description="outside surface in the unconditioned place")
    resistance_m2k_w: Positive = Field(description="of the duct wall with its insulation")
    leakage: Annotated[float, Field(ge=0, lt=1)] = Field(description="share of the fan flow")


class Ducts(Part):
    """Forced air; loss by the ASHRAE 152 form, hour by hour."""

    kind: Literal["ducts"] = "ducts"
    passes: Name | None = Field(
        None, description="zone the ducts pass through, such as the attic; None: outdoors"
    )
    supply: DuctRun = Field(description="the supply side")
    back: DuctRun = Field(description="the return side")
    flow_m3_s: Positive = Field(description="fan flow while running")
    fan_w: NotNegative = Field(description="while running, where the rating leaves it out")


class ResetLine(Part):
    """Supply water temperature by outdoor temperature, straight between two points."""

    cold_outdoor_c: Temperature = Field(description="outdoor temperature of the first point")
    supply_when_cold_c: Temperature = Field(description="supply water there")
    warm_outdoor_c: Temperature = Field(description="outdoor temperature of the second point")
    supply_when_warm_c: Temperature = Field(description="supply water there")

    @model_validator(mode="after")
    def _spans(self) -> ResetLine:
        if self.warm_outdoor_c <= self.cold_outdoor_c:
            raise ValueError("warm_outdoor_c: must be above cold_outdoor_c")
        return self


class WaterEmitter(Part):
    """Radiator, baseboard or fan-coil of one zone, by its rated output."""

    zone: Name = Field(description="name of the zone")
    rated_w: Positive = Field(description="at the rated difference")
    rated_difference_k: Positive = Field(
        50.0, description="mean water above (below) room; EN 442 rates at 50"
    )
    exponent: Annotated[float, Field(ge=1, le=1.6)] = Field(
        1.3, description="1.3 radiator (EN 442), 1.4 baseboard, 1.0 fan-coil at a fixed fan"
    )


class FloorCircuit(Part):
    """Loops in one zone's floor (EN 1264)."""

    zone: Name = Field(description="name of the zone")
    build: Literal["in screed", "on whole surface", "plates in grooves", "stapled under"] = Field(
        "in screed", description="how the pipes lie"
    )
    active_area_m2: Positive = Field(description="floor with loops, without fixed furniture")
    spacing_m: Annotated[float, Field(ge=0.05, le=0.6)] = Field(0.15, description="between pipes")
    pipe_outside_m: Annotated[float, Field(ge=0.008, le=0.03)] = Field(0.016, description="outside diameter")
    cover_m: NotNegative = Field(0.045, description="screed above the pipe, or board above the plates")
    cover_conductivity_w_mk: Positive = Field(1.2, description="of what lies above the pipe")
    covering_m2k_w: Annotated[float, Field(ge=0, le=0.4)] = Field(description="floor finish, R lambda B")
    stated_k_w_m2k: Positive | None = Field(
        None, description="measured output per kelvin of the panel; outranks the computed one"
    )
    below_m2k_w: Positive = Field(description="resistance from the pipes downward, surface film included")
    below: Name | None = Field(None, description="zone below; None: the temperature below_c")
    below_c: Temperature = Field(10.0, description="temperature below where no zone lies there")
    edge_zone: bool = Field(False, description="allows the warmer surface of an edge zone")
    bathroom: bool = Field(False, description="allows the warmer surface of a bathroom")
    wood_finish: bool = Field(False, description="limits the surface to 27 degC (common practice)")


class WaterRadiators(Part):
    """Water through radiators, baseboards or fan-coils; or steam through radiators."""

    kind: Literal["water_emitters"] = "water_emitters"
    emitters: tuple[WaterEmitter, ...] = Field(
        min_length=1, description="one for each zone served; in a series loop in the order of the water"
    )
    layout: Literal["two-pipe", "series loop", "steam"] = Field(
        "two-pipe",
        description="two-pipe: the same water to each; series loop: one after the other, the water cools on "
        "its way; steam: always as hot as steam, with no reset",
    )
    spread_k: Positive = Field(10.0, description="supply less return at the design load")
    pump_w: NotNegative = Field(description="while running")
    pipe_loss: Fraction = Field(0.0, description="share of the heat lost outside the rooms on its way")
    reset: ResetLine | None = Field(None, description="None: the lowest water that meets the load")
    removes_moisture: bool = Field(False, description="fan-coils with a drain; only for cooling")

    @model_validator(mode="after")
    def _hangs_together(self) -> WaterRadiators:
        if self.layout == "steam" and self.reset is not None:
            raise ValueError("reset: steam has no reset line")
        return self


class RadiantFloors(Part):
    """Water through floor loops, room by room."""

    kind: Literal["radiant_floors"] = "radiant_floors"
    circuits: tuple[FloorCircuit, ...] = Field(min_length=1, description="one for each zone served")
    spread_k: Positive = Field(5.0, description="supply less return at the design load")
    pump_w: NotNegative = Field(description="while running")
    pipe_loss: Fraction = Field(0.0, description="share of the heat lost outside the rooms on its way")
    reset: ResetLine | None = Field(None, description="null: the lowest water that meets the load")
    dew_point_margin_k: NotNegative = Field(1.5, description="water in summer stays this far above dew point")


Distribution = Annotated[InRoom | Ducts | WaterRadiators | RadiantFloors, Field(discriminator="kind")]


class ServedZone(Part):
    """A zone and the share of its load that this system carries.

    What a stove or heater in the room cannot give goes to the other systems that serve the room.
    """

    zone: Name = Field(description="name of the zone")
    share: Fraction = Field(
        1.0, description="of its load; 0: only what a stove or heater in the room cannot give"
    )


class FreeCooling(Part):
    """Cold straight from the ground loop through a heat exchanger, without the compressor."""

    approach_k: NotNegative = Field(2.0, description="floor water above loop water in the exchanger")
    capacity_w: Positive = Field(description="of the exchanger")
    pump_w: NotNegative = Field(description="of the extra pump")


class HeatingSystem(Part):
    """A machine, how its heat is delivered, and what helps when it is too small."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    machine: Name = Field(description="name of one of `machines`")
    serves: tuple[ServedZone, ...] = Field(min_length=1, description="zones and shares")
    delivery: Distribution = Field(description="how the heat reaches them")
    backup: Name | None = Field(None, description="machine that carries what the first cannot")
    store: Name | None = Field(None, description="thermal store that this system charges and draws from")


class CoolingSystem(Part):
    """A machine with cooling ratings and how its cold is delivered."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    machine: Name = Field(description="name of one of `machines`")
    serves: tuple[ServedZone, ...] = Field(min_length=1, description="zones and shares")
    delivery: Distribution = Field(description="how the cold reaches them")
    store: Name | None = Field(None, description="thermal store that this system charges and draws from")
    free_cooling: FreeCooling | None = Field(None, description="none when missing")


class SolarCharge(Part):
    """Charge in hours in which the roof makes more than the house uses."""

    kind: Literal["solar"] = "solar"
    surplus_above_w: NotNegative = Field(0.0, description="charges while the surplus is larger")


class ClockCharge(Part):
    """Charge in stated hours of the day, such as the cheap ones."""

    kind: Literal["clock"] = "clock"
    hours: tuple[Annotated[int, Field(ge=0, le=23)], ...] = Field(
        min_length=1, description="0 is 00:00-01:00"
    )


ChargeRule = Annotated[SolarCharge | ClockCharge, Field(discriminator="kind")]
Month = Annotated[int, Field(ge=1, le=12)]


class ThermalStore(Part):
    """A water tank or bag that moves heat (or cold) to later hours."""

    name: Name = Field(description="what it is called; other keys refer to it by this name")
    volume_m3: Positive = Field(description="of water")
    loss_w_k: NotNegative = Field(description="UA of the whole vessel, fittings included")
    stands_in: Name | None = Field(None, description="zone that takes the loss; None: outdoors")
    layers: Annotated[int, Field(ge=1, le=12)] = Field(4, description="1: mixed; more: stratified")
    hot_charge_c: Temperature | None = Field(None, description="water sent in when charging with heat")
    cold_charge_c: Temperature | None = Field(None, description="water sent in when charging with cold")
    cold_months: tuple[Month, ...] = Field((), description="months in which it holds cold")
    highest_c: Temperature = Field(85.0, description="limit of vessel and liner")
    charge: ChargeRule = Field(description="when it is charged")

    @model_validator(mode="after")
    def _agrees(self) -> ThermalStore:
        if self.hot_charge_c is None and self.cold_charge_c is None:
            raise ValueError(f"{self.name}: needs hot_charge_c or cold_charge_c")
        if self.cold_months and self.cold_charge_c is None:
            raise ValueError(f"{self.name}: cold_months need cold_charge_c")
        if self.hot_charge_c is not None and self.hot_charge_c > self.highest_c:
            raise ValueError(f"{self.name}: hot_charge_c is above highest_c")
        if self.cold_charge_c is not None and self.cold_charge_c < 1.0:
            raise ValueError(f"{self.name}: cold_charge_c would freeze the water")
        return self
