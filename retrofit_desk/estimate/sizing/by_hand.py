"""The heat of a year by degree-days, as an engineer would on the back of an envelope."""

from __future__ import annotations

import numpy as np

from retrofit_desk.estimate.sizing.design import Basis, set_point_c
from retrofit_desk.estimate.sizing.size import Size, compared
from retrofit_desk.physics.degree_days import balance_temp, yearly_load_btu
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.units import BTU_H_W, KELVIN_PER_F

RULE = "24 UA HDD at the house's own balance point: ASHRAE Fundamentals ch. 19 (from memory)"
SAYS = "A tenth to a fifth apart is usual: the short way knows no mass, no overheated rooms, no setback."


def heat_of_a_year(basis: Basis) -> tuple[Size, ...]:
    """The house that the machine comes to: loss from its design day, gains as their winter mean."""
    modeled_kwh = float(basis.loads(basis.ahead).heating_w.sum()) / 1000.0
    if modeled_kwh <= 0.0 or basis.need_ahead.heat_w <= 0.0:
        return ()
    warm_c = _set_point_c(basis)
    loss_w_k = basis.need_ahead.heat_w / (warm_c - basis.heating_c)
    base_c = balance_temp(warm_c, basis.gains_ahead_w, loss_w_k)
    days_c = basis.weather.temp_c.reshape(-1, 24).mean(axis=1)
    degree_days_f = float(np.maximum(base_c - days_c, 0.0).sum()) / KELVIN_PER_F
    loss_btu_h_f = loss_w_k / BTU_H_W * KELVIN_PER_F
    by_hand_kwh = yearly_load_btu(loss_btu_h_f, degree_days_f) * BTU_H_W / 1000.0
    subject = "Heat of a year, the measures before it done"
    return (compared(subject, Dimension.ENERGY, by_hand_kwh, modeled_kwh, RULE, SAYS),)


def _set_point_c(basis: Basis) -> float:
    """The rooms' set-points, by their share of the design heat."""
    points = {zone.name: set_point_c(zone) for zone in basis.ahead.house.zones}
    known = [(points[room.room], room.heat_w) for room in basis.need_ahead.rooms]
    heated = [(point, heat_w) for point, heat_w in known if point is not None and heat_w > 0.0]
    return float(np.average([point for point, _ in heated], weights=[heat_w for _, heat_w in heated]))
