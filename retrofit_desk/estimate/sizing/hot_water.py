"""The heat-pump water heater: its room, its recovery, its circuit."""

from __future__ import annotations

from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.size import Size, about, at_least, to_know
from retrofit_desk.physics.panel_load import branch_amperes
from retrofit_desk.physics.plant_description import HeatPumpTank
from retrofit_desk.physics.water_heating import recovery_gal_h
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.units import BTU_H_W, GALLON_M3, KELVIN_PER_F

ROOM_AIR_M3 = 19.8
"""700 ft³: what makers commonly ask for where the door is shut and nothing is ducted (common practice)."""
COLD_C = 10.0
LITER_M3 = 1e-3


def hot_water_sizes(basis: Basis) -> tuple[Size, ...]:
    """Raises nothing: a tank that is not there gives no lines."""
    tank = basis.after.plant.water_heater
    if not isinstance(tank, HeatPumpTank):
        return ()
    rise_f = (tank.set_point_c - COLD_C) / KELVIN_PER_F
    gallons = recovery_gal_h(tank.compressor_heat_w / BTU_H_W, rise_f)
    a_day_l = basis.after.use.hot_water_l_per_day
    found = [
        at_least(
            "Tank against the hot water of a day",
            Dimension.LIQUID,
            a_day_l * LITER_M3 / 2.0,
            tank.volume_l * LITER_M3,
            "half of a day's draw at once: common practice, no source",
        ),
        to_know(
            "Water warmed in an hour by the compressor alone",
            Dimension.LIQUID,
            gallons * GALLON_M3,
            "heat by 8.34 lb/gal; from 50 °F (10 °C) to the set point",
        ),
    ]
    room = next((zone for zone in basis.after.house.zones if zone.name == tank.stands_in), None)
    if room is not None:
        says = "A smaller room needs louvers or ducts; it grows colder while the heater runs."
        subject = "Air of the room it stands in"
        rule = "700 ft³ where nothing is ducted: common practice, no source; the maker's number rules"
        line = at_least(subject, Dimension.VOLUME, ROOM_AIR_M3, room.volume_m3, rule, says)
        found += about(room.name, [line])
    if tank.element_w:
        found.append(circuit("The heater's element", tank.element_w))
    return tuple(found)


def circuit(what: str, power_w: float) -> Size:
    """Amperes that a circuit for a lasting load must carry."""
    return to_know(
        f"{what}: its circuit carries at least",
        Dimension.CURRENT,
        branch_amperes(power_w, continuous=True),
        "power by 240 V and 125% for lasting loads: NEC (from memory); nameplate and local code rule",
        "A licensed electrician chooses wire and breaker.",
    )
