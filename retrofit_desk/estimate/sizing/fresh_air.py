"""Air that the family needs once the house is tight."""

from __future__ import annotations

import math

from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.size import Size, at_least, to_know
from retrofit_desk.physics.description import Zone
from retrofit_desk.physics.elements import Schedule, Timed
from retrofit_desk.physics.ventilation import whole_house_air_cfm, whole_house_air_irc_cfm
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.units import FOOT_M

CFM_M3_S = FOOT_M**3 / 60.0
RULE_62_2 = "ASHRAE 62.2-2016/2019, 4.1 (from memory); no leakage counted as ventilation"
TIGHT_BELOW = 5.0
TIGHT_RULE = "below 5 at 50 Pa codes ask for fans: IRC 2012 on, R303.4 (from memory)"
RULE_CODE = "IRC 2015-2021, M1505.4 (from memory); your code may ask for another number"


def fresh_air_sizes(basis: Basis) -> tuple[Size, ...]:
    """Outdoor air by fans after the measure against what a dwelling of this size needs."""
    area_ft2 = basis.heated_area_m2 / FOOT_M**2
    needed_m3_s = whole_house_air_cfm(area_ft2, basis.bedrooms) * CFM_M3_S
    code_m3_s = whole_house_air_irc_cfm(area_ft2, basis.bedrooms) * CFM_M3_S
    has_m3_s = math.fsum(_mean(fan.flow_m3_s) for zone in basis.after.house.zones for fan in zone.fans)
    says = "For one bedroom." if basis.bedrooms == 1 else f"For {basis.bedrooms} bedrooms."
    changes = _changes_at_50_pa(basis)
    if changes is None or changes < TIGHT_BELOW or has_m3_s > 0.0:
        whole = at_least("Outdoor air by fans", Dimension.AIR_FLOW, needed_m3_s, has_m3_s, RULE_62_2, says)
    else:
        subject = "Outdoor air by fans that the house will need once it is tight"
        whole = to_know(subject, Dimension.AIR_FLOW, needed_m3_s, RULE_62_2, says)
    code = to_know("The same by the residential code", Dimension.AIR_FLOW, code_m3_s, RULE_CODE)
    return (whole, code) if changes is None else (whole, code, _tightness(changes))


def _tightness(changes: float) -> Size:
    says = "Fans are needed." if changes < TIGHT_BELOW else "Leaky still: it airs itself, and wastes heat."
    return to_know("Air changes at 50 Pa after it", Dimension.AIR_CHANGES, changes, TIGHT_RULE, says)


def _changes_at_50_pa(basis: Basis) -> float | None:
    """None where no blower door was run."""
    door = basis.after.house.blower_door
    if door is None:
        return None
    return door.flow_at_50_pa_m3_s * 3600.0 / math.fsum(_volume(zone) for zone in basis.after.house.zones)


def _volume(zone: Zone) -> float:
    return 0.0 if zone.thermostat is None else zone.volume_m3


def _mean(flow: Timed) -> float:
    if not isinstance(flow, Schedule):
        return flow
    hours = flow.hours or tuple(hour for month in flow.by_month for hour in month)
    return math.fsum(hour or 0.0 for hour in hours) / len(hours)
