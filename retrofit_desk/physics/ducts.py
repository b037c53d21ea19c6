"""What forced-air ducts lose on the way (form of ASHRAE 152, from memory)."""

from __future__ import annotations

from typing import Any

import numpy as np

from retrofit_desk.physics.errors import require_between
from retrofit_desk.physics.over_arrays import over_arrays
from retrofit_desk.physics.plant_delivery import DuctRun

AIR_J_M3K = 1206.0  # 1.2 kg/m3 and 1005 J/kgK
LOWEST_EFFECTIVENESS = 0.2


def kept_by_conduction(run: DuctRun, flow_m3_s: float) -> float:
    """B = exp(-A / (flow rho c R))."""
    return float(np.exp(-run.area_m2 / (flow_m3_s * AIR_J_M3K * run.resistance_m2k_w)))


def delivery_effectiveness(
    supply: DuctRun, back: DuctRun, flow_m3_s: float, *, rise_k: Any, room_c: Any, around_c: Any
) -> Any:
    """Heat that arrives by heat put in; `rise_k` is the rise of the air at the machine (< 0 when cooling).

    Arrays or numbers. Floored at 0.2: below, the form leaves the range it was made for.
    """
    a_s, a_r = 1.0 - supply.leakage, 1.0 - back.leakage
    b_s, b_r = kept_by_conduction(supply, flow_m3_s), kept_by_conduction(back, flow_m3_s)
    gap = (room_c - around_c) / rise_k
    value = a_s * b_s - a_s * b_s * (1.0 - a_r * b_r) * gap - a_s * (1.0 - b_s) * gap
    return np.clip(value, LOWEST_EFFECTIVENESS, 1.0)


@over_arrays
def system_efficiency(equipment: float, distribution: float) -> float:
    """Product of the machine's and the ducts' efficiency."""
    require_between("equipment", equipment, 0.0, 1.0)
    require_between("distribution", distribution, 0.0, 1.0)
    return equipment * distribution
