"""Length of the bores by the closed form that a driller's offer can be held against."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.sizing.design import Basis
from retrofit_desk.estimate.sizing.size import Size, at_least, cannot_say, to_know
from retrofit_desk.physics.bore_sizing import (
    Bore,
    BoreLength,
    GroundPulses,
    length_by_cylinder_us,
    length_by_three_pulses,
)
from retrofit_desk.physics.borefield import bore_heat, loop_fluid
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.heat_pump import limits
from retrofit_desk.physics.plant_machines import BoreField, Ground, HeatPump, Ratings
from retrofit_desk.physics.weather import MONTH_OF_HOUR
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.units import BTU_H_W, FOOT_M, KELVIN_PER_F

Array = NDArray[np.float64]
RULE = "three pulses: Philippe, Bernier & Marchio 2010 (ASHRAE); methods agree to about 6%"
FEWEST_NEIGHBORS = 4
"""The correlation of neighboring bores begins here; fewer are sized as if each stood alone."""
SQUARE = 1.0
COLDER_K, WARMER_K = 8.5, 14.0
"""Water to the machine against the ground: the middle of what ASHRAE HVAC Applications advises, 6 to 11 K
colder for heat and 11 to 17 K warmer for cold (from memory)."""
DAY_S = 86400.0
BY_CYLINDER = "cylinder source: Ingersoll and Kavanaugh (ASHRAE HVAC Applications, from memory)"
SHORT_CIRCUIT = 1.04
"""Heat that passes between the legs of a bore (Kavanaugh & Rafferty, from memory: 1.02 to 1.06)."""


def bore_sizes(basis: Basis) -> tuple[Size, ...]:
    """Bores for the heat of winter and, where the machine cools, for the cold of summer."""
    fields = {one.name: one for one in basis.after.plant.bore_fields}
    found: list[Size] = []
    for machine in basis.after.plant.machines:
        if not isinstance(machine, HeatPump) or not isinstance(machine.source, Ground):
            continue
        field = fields[machine.source.bore_field]
        into_w = _into_ground_w(basis, machine, field)
        coldest_c, warmest_c = field.ground_temp_c - COLDER_K, field.ground_temp_c + WARMER_K
        found += _lengths("Bores, all together, for the heat", field, into_w, coldest_c, -1.0)
        if machine.cooling is not None:
            found += _lengths("Bores, all together, for the cold", field, into_w, warmest_c, 1.0)
    return tuple(found)


def _into_ground_w(basis: Basis, machine: HeatPump, field: BoreField) -> Array:
    """What the house's loads put into the ground by the hour, (8760,), at the COPs of the worst water."""
    loads = basis.loads(basis.after)
    heat_w, cold_w = loads.heating_w.sum(axis=1), (loads.cooling_w + loads.latent_w).sum(axis=1)
    into_w: Array = np.zeros_like(heat_w)
    if machine.heating is not None:
        into_w -= heat_w * (1.0 - 1.0 / _cop(machine.heating, field.ground_temp_c - COLDER_K, cooling=False))
    if machine.cooling is not None:
        into_w += cold_w * (1.0 + 1.0 / _cop(machine.cooling, field.ground_temp_c + WARMER_K, cooling=True))
    return np.asarray(into_w)


def _cop(ratings: Ratings, source_c: float, *, cooling: bool) -> float:
    """At the load temperature it is rated for and works hardest at."""
    rated = [point.load_c for point in ratings.points if point.load_c is not None] or [0.0]
    load_c = min(rated) if cooling else max(rated)
    at = limits(ratings, np.array([source_c]), np.array([load_c]), cooling=cooling)
    return float(at.capacity_w[0] / at.power_w[0])


def _lengths(
    subject: str, field: BoreField, into_w: Array, entering_c: float, sign: float
) -> tuple[Size, ...]:
    """Length that keeps the water at `entering_c` or better; `sign` is 1 for heat put into the ground."""
    months = np.bincount(MONTH_OF_HOUR, into_w) / np.bincount(MONTH_OF_HOUR)
    pulses = GroundPulses(
        peak_w=sign * float((sign * into_w).max()),
        month_w=sign * float((sign * months).max()),
        year_w=float(into_w.mean()),
    )
    if sign * pulses.peak_w <= 0:
        return (cannot_say(subject, Dimension.LENGTH, "a load on the ground", RULE),)
    try:
        length = _by_pulses(pulses, field, entering_c)
    except ImpossibleValue as error:
        return (cannot_say(subject, Dimension.LENGTH, str(error), RULE),)
    alone = "" if _has_neighbors(field) else " Fewer than four bores are counted as if each stood alone."
    apart = COLDER_K if sign < 0 else WARMER_K
    says = f"Water {apart:.1f} K ({apart * 1.8:.0f} °F) from the ground's own warmth after ten years.{alone}"
    return (
        at_least(subject, Dimension.LENGTH, length.total_m, field.total_length_m, RULE, says),
        _second_opinion(subject, length, _by_cylinder_m(pulses, field, length, entering_c)),
    )


def _second_opinion(subject: str, pulses: BoreLength, cylinder_m: float) -> Size:
    """The other method beside it: how far the two lie apart is how well the length is known."""
    off = cylinder_m / pulses.total_m - 1.0
    says = f"By the same loads {abs(off):.0%} {'longer' if off > 0 else 'shorter'} than by the three pulses."
    return to_know(f"{subject}, by a second method", Dimension.LENGTH, cylinder_m, BY_CYLINDER, says)


def _has_neighbors(field: BoreField) -> bool:
    return field.bores >= FEWEST_NEIGHBORS


def _by_pulses(pulses: GroundPulses, field: BoreField, entering_c: float) -> BoreLength:
    many = _has_neighbors(field)
    fluid = loop_fluid(field.fluid, max(1.0, field.ground_temp_c))
    return length_by_three_pulses(
        pulses,
        _bore(field),
        ground_conductivity_w_mk=field.ground_conductivity_w_mk,
        ground_diffusivity_m2_day=field.ground_diffusivity_m2_s * DAY_S,
        ground_temp_c=field.ground_temp_c,
        entering_c=entering_c,
        flow_kg_s_per_kw=field.flow_kg_s / (abs(pulses.peak_w) / 1000.0),
        fluid_heat_j_kgk=fluid.heat_j_kgk,
        bores=field.bores if many else 1,
        aspect=field.columns / field.rows if field.columns >= field.rows else SQUARE,
        spacing_m=field.spacing_m if many else None,
    )


def _by_cylinder_m(pulses: GroundPulses, field: BoreField, length: BoreLength, entering_c: float) -> float:
    """The same bores, water and penalty by the cylinder source."""
    per_length = FOOT_M * KELVIN_PER_F / BTU_H_W  # 1 Btu/h ft F in W/m K, turned over
    leaving_c = 2.0 * length.mean_fluid_c - entering_c
    return FOOT_M * length_by_cylinder_us(
        conductivity_btu_h_ft_f=field.ground_conductivity_w_mk * per_length,
        diffusivity_ft2_day=field.ground_diffusivity_m2_s * DAY_S / FOOT_M**2,
        diameter_ft=2.0 * field.bore_radius_m / FOOT_M,
        bore_resistance_h_ft_f_btu=length.bore_resistance_mk_w / per_length,
        peak_btu_h=pulses.peak_w / BTU_H_W,
        year_btu_h=pulses.year_w / BTU_H_W,
        part_load_month=pulses.month_w / pulses.peak_w,
        short_circuit=SHORT_CIRCUIT,
        entering_f=entering_c / KELVIN_PER_F,  # only differences count, so no 32 is added
        leaving_f=leaving_c / KELVIN_PER_F,
        ground_f=field.ground_temp_c / KELVIN_PER_F,
        penalty_f=length.penalty_k / KELVIN_PER_F,
    )


def _bore(field: BoreField) -> Bore:
    return Bore(
        bore_radius_m=field.bore_radius_m,
        pipe_inner_radius_m=field.pipe_inner_radius_m,
        pipe_outer_radius_m=field.pipe_outer_radius_m,
        leg_spacing_m=2.0 * field.half_shank_m,
        pipe_conductivity_w_mk=field.pipe_conductivity_w_mk,
        grout_conductivity_w_mk=field.grout_conductivity_w_mk,
        convection_w_m2k=bore_heat(field).convection_w_m2k,
    )
