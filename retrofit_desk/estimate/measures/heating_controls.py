"""Controls: a thermostat schedule by room, a night setback, and heating water by the outdoor temperature."""

from pydantic import Field

from retrofit_desk.estimate.case import DoesNotFit, HouseCase, change_named, changed
from retrofit_desk.estimate.measures.base import Inputs, MeasureKind, unweighed
from retrofit_desk.estimate.water_plant import with_reset
from retrofit_desk.physics.description import Zone
from retrofit_desk.physics.elements import Name, Schedule, Temperature
from retrofit_desk.physics.plant_delivery import ResetLine

SLOW = "floor"


class HeatingControls(Inputs):
    rooms: tuple[Name, ...] = Field(min_length=1, description="rooms that follow it")
    heating_c: Temperature | None = Field(None, description="kept by day; None: as before")
    setback_c: Temperature | None = Field(None, description="kept in the setback hours; None: no setback")
    setback_hours: tuple[int, ...] = Field((), description="hours of the day, 0 is midnight to one")
    cooling_c: Temperature | None = Field(None, description="kept in summer; None: as before")
    outdoor_reset: ResetLine | None = Field(
        None, description="heating water by outdoor temperature; none: as before"
    )


def apply(case: HouseCase, inputs: HeatingControls) -> HouseCase:
    """Heated floors are slow and keep their day's temperature through the night."""
    if (inputs.setback_c is None) != (not inputs.setback_hours):
        raise DoesNotFit("a setback needs its temperature and its hours", do="state both, or neither")

    def led(zone: Zone) -> Zone:
        thermostat = zone.thermostat
        if thermostat is None:
            raise DoesNotFit(f"{zone.name} has no thermostat", do="name heated rooms")
        changes: dict[str, object] = {}
        if thermostat.heating_c is not None and (inputs.heating_c is not None or inputs.setback_hours):
            changes["heating_c"] = _course(zone, inputs)
        if thermostat.cooling_c is not None and inputs.cooling_c is not None:
            changes["cooling_c"] = inputs.cooling_c
        return changed(zone, thermostat=changed(thermostat, **changes))

    case = case.with_house(zones=change_named(case.house.zones, inputs.rooms, led, "room"))
    return case if inputs.outdoor_reset is None else with_reset(case, inputs.outdoor_reset)


def beside(case: HouseCase, inputs: HeatingControls) -> tuple[str, ...]:
    """Rooms in which a setback would do nothing."""
    if inputs.setback_c is None:
        return ()
    slow = [zone.name for zone in case.house.zones if zone.name in inputs.rooms and zone.heating.kind == SLOW]
    return (f"No setback where the floor heats, it is too slow: {', '.join(slow)}.",) if slow else ()


def _course(zone: Zone, inputs: HeatingControls) -> float | Schedule:
    assert zone.thermostat is not None
    day = inputs.heating_c if inputs.heating_c is not None else _by_day(zone)
    if inputs.setback_c is None or zone.heating.kind == SLOW:
        return day
    night = inputs.setback_c
    return Schedule(hours=tuple(night if hour in inputs.setback_hours else day for hour in range(24)))


def _by_day(zone: Zone) -> float:
    """The warmest that the room is kept now."""
    assert zone.thermostat is not None
    now = zone.thermostat.heating_c
    if isinstance(now, Schedule):
        rows = now.by_month or (now.hours,)
        return max(value for row in rows for value in row if value is not None)
    assert now is not None
    return now


KIND = MeasureKind(
    "heating_controls", "Controls", HeatingControls, 65, apply, unweighed("controls"), beside=beside
)
