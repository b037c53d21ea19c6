"""Fans that bring outdoor air and recover heat, with their power."""

from pydantic import Field

from retrofit_desk.estimate.case import DoesNotFit, HouseCase, change_named, changed
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.physics.description import Fan, Zone
from retrofit_desk.physics.elements import Fraction, Name, NotNegative, Positive, Schedule, Temperature

FAN = "ventilation with recovery"
SUPPLY_FAN_SHARE = 0.5
"""The exhaust fan's heat leaves with its air (common practice, no source)."""


class MechanicalVentilation(Inputs):
    rooms: tuple[Name, ...] = Field(min_length=1, description="rooms that get the fresh air, by their volume")
    flow_m3_s: Positive = Field(description="outdoor air of the whole machine, balanced")
    sensible_recovery: Fraction = Field(description="share of the heat kept, by its rating at this flow")
    latent_recovery: Fraction = Field(0.0, description="share of the moisture kept; 0: it only recovers heat")
    fan_w: NotNegative = Field(description="both fans at this flow")
    hours: tuple[int, ...] = Field((), description="hours in which it runs; none named: always")
    bypass_above_c: Temperature | None = Field(None, description="recovery is bypassed above; None: never")


def apply(case: HouseCase, inputs: MechanicalVentilation) -> HouseCase:
    rooms = [zone for zone in case.house.zones if zone.name in inputs.rooms]
    volume = sum(zone.volume_m3 for zone in rooms)
    if any(fan.name == FAN for zone in rooms for fan in zone.fans):
        raise DoesNotFit("a room has this ventilation already", do="count it once")

    def ventilated(zone: Zone) -> Zone:
        share = zone.volume_m3 / volume
        fan = Fan(
            name=FAN,
            flow_m3_s=_while_running(inputs.flow_m3_s * share, inputs.hours),
            sensible_recovery=inputs.sensible_recovery,
            latent_recovery=inputs.latent_recovery,
            fan_power_w=inputs.fan_w * share,
            fan_heat_share=SUPPLY_FAN_SHARE,
            recovery_off_above_outdoor_c=inputs.bypass_above_c,
        )
        return changed(zone, fans=(*zone.fans, fan))

    case = case.with_house(zones=change_named(case.house.zones, inputs.rooms, ventilated, "room"))
    before = case.plant.ventilation_fan_w
    if isinstance(before, Schedule):
        raise DoesNotFit("the fans before run by the clock", do="describe them by their mean power")
    return case.with_plant(ventilation_fan_w=_while_running(inputs.fan_w, inputs.hours, before))


def _while_running(value: float, hours: tuple[int, ...], beside: float = 0.0) -> float | Schedule:
    """The value in the hours named, and what runs beside it all day."""
    if not hours:
        return value + beside
    return Schedule(hours=tuple(beside + (value if hour in hours else 0.0) for hour in range(24)))


KIND = MeasureKind(
    "mechanical_ventilation",
    "Ventilation with recovery",
    MechanicalVentilation,
    40,
    apply,
    unweighed("ventilation unit"),
)
