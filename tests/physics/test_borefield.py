"""Ground loops by the hour, against published g-functions and resistances."""

from __future__ import annotations

import numpy as np
import pygfunction as gt
import pytest
from CoolProp.CoolProp import PropsSI

from retrofit_desk.physics.borefield import (
    HOURS,
    FieldShape,
    bore_heat,
    field_response,
    g_function,
    loop_fluid,
    step_response,
)
from retrofit_desk.physics.plant_machines import Antifreeze, BoreField
from tests.physics.plants import bore_field

GEOMETRY = (7.5, 150.0, 4.0, 0.075)
ALPHA = 1e-6


# GND-7: Cimmino & Bernier, Int. J. Heat Mass Transfer 70 (2014), through the library we stand on
@pytest.mark.parametrize(
    ("rows", "columns", "solver", "values"),
    [
        (1, 1, ("UHTR", 12), (3.65501493, 6.68675949)),
        (2, 3, ("UHTR", 12), (3.66173048, 16.0243475)),
        (1, 1, ("UBWT", 12), (3.65476902, 6.63299238)),
        (2, 3, ("UBWT", 1), (3.66174329, 15.97102982)),
    ],
)
def test_published_g_functions(
    rows: int, columns: int, solver: tuple[str, int], values: tuple[float, float]
) -> None:
    spacing, depth, buried, radius = GEOMETRY
    field = gt.borefield.Borefield.rectangle_field(columns, rows, spacing, spacing, depth, buried, radius)
    got = gt.gfunction.gFunction(
        field,
        ALPHA,
        time=np.array([1070.0, 33554478.0]) * 3600.0,
        boundary_condition=solver[0],
        options={"nSegments": solver[1], "segment_ratios": None},
        method="similarities",
    ).gFunc
    assert got == pytest.approx(values, rel=0.001)


# GND-8: same geometry by ln(t/ts), pygfunction 2.3.1, default segments; 1 %
@pytest.mark.parametrize(
    ("rows", "columns", "values"),
    [
        (1, 1, (4.3719, 5.7196, 6.3618, 6.6154)),
        (1, 2, (4.5133, 6.8958, 8.1402, 8.6289)),
        (2, 2, (4.6924, 8.9220, 11.3082, 12.2341)),
    ],
)
def test_our_g_function_at_long_times(rows: int, columns: int, values: tuple[float, ...]) -> None:
    ts = GEOMETRY[1] ** 2 / (9.0 * ALPHA)
    seconds = tuple(ts * float(np.exp(x)) for x in (-5, -2, 0, 3))
    assert g_function(FieldShape(rows, columns, *GEOMETRY, ALPHA), seconds) == pytest.approx(values, rel=0.01)


# GND-9: Claesson & Hellstrom, HVAC&R Research 2011, multipole of third order
def test_published_multipole_example() -> None:
    r_fp = 1.2 / (2 * np.pi * 1.5)
    r, _ = gt.pipes.thermal_resistances([(0.03, 0.0), (-0.03, 0.02)], 0.02, 0.07, 2.5, 1.5, r_fp, J=3)
    assert 100 * np.array([r[0, 0], r[0, 1], r[1, 1]]) == pytest.approx([25.592, 1.561, 25.311], abs=6e-4)


# GND-10: convection inside a pipe (laminar, turbulent)
@pytest.mark.parametrize(("flow", "h"), [(0.05, 90.0726), (0.10, 572.257), (0.50, 4036.196)])
def test_convection_in_the_pipe(flow: float, h: float) -> None:
    got = gt.pipes.convective_heat_transfer_coefficient_circular_pipe(
        flow, 0.01, 0.00203008, 1014.78, 0.4922, 3977.0, 1.5e-6
    )
    assert got == pytest.approx(h, rel=1e-5)


# GND-11: effective bore resistance, 1-in SDR-11, by shank spacing
@pytest.mark.parametrize(
    ("half_shank", "local", "effective"),
    [(0.020, 0.16292, 0.16767), (0.030, 0.14026, 0.14407), (0.047, 0.11360, 0.11682)],
)
def test_bore_resistance_by_shank(half_shank: float, local: float, effective: float) -> None:
    r_fp = 1 / (2 * np.pi * 0.0137 * 1589.4) + np.log(0.0167 / 0.0137) / (2 * np.pi * 0.4)
    bore = gt.boreholes.Borehole(100.0, 1.0, 0.075, 0.0, 0.0)
    pipe = gt.pipes.SingleUTube([(-half_shank, 0.0), (half_shank, 0.0)], 0.0137, 0.0167, bore, 2.0, 1.4, r_fp)
    assert pipe.local_borehole_thermal_resistance() == pytest.approx(local, abs=2e-5)
    assert pipe.effective_borehole_thermal_resistance(0.35, 3977.0) == pytest.approx(effective, abs=2e-5)


def test_our_bore_resistance_lies_near_the_worked_one() -> None:
    # same bore as GND-11 at .030, the fluid's own properties instead of the given ones
    field = bore_field().model_copy(
        update={
            "columns": 1,
            "depth_m": 100.0,
            "ground_conductivity_w_mk": 2.0,
            "flow_kg_s": 0.35,
        }
    )
    assert bore_heat(field).effective_mk_w == pytest.approx(0.14407, rel=0.02)


# GND-12: CoolProp incompressible mixtures at 0 degC, 2 %
@pytest.mark.parametrize(
    ("kind", "percent", "name", "values"),
    [
        ("propylene glycol", 20.0, "MPG-20%", (1020.1, 3936, 4.31e-3, 0.471)),
        ("propylene glycol", 25.0, "MPG-25%", (1025.8, 3872, 5.52e-3, 0.450)),
        ("ethylene glycol", 25.0, "MEG-25%", (1037.0, 3763, 3.70e-3, 0.465)),
        ("methanol", 15.0, "MMA-15%", (978.3, 4163, 2.91e-3, 0.486)),
    ],
)
def test_antifreeze_properties(kind: str, percent: float, name: str, values: tuple[float, ...]) -> None:
    fluid = loop_fluid(Antifreeze.model_validate({"kind": kind, "mass_percent": percent}), 0.0)
    got = (fluid.density_kg_m3, fluid.heat_j_kgk, fluid.viscosity_pa_s, fluid.conductivity_w_mk)
    assert got == pytest.approx(values, rel=0.02)
    coolprop = tuple(PropsSI(p, "T", 273.15, "P", 3e5, f"INCOMP::{name}") for p in "DCVL")
    assert got == pytest.approx(coolprop, rel=0.02)
    assert fluid.freezes_c < -7.0


def field(**changes: object) -> BoreField:
    return BoreField.model_validate(bore_field().model_dump() | changes)


def test_steady_heat_follows_the_step_response() -> None:
    one = field(years_before=0)
    wall = field_response(one).wall_c(np.full(HOURS, 1000.0))
    rise = step_response(one, HOURS) * 1000.0 / one.total_length_m
    assert wall == pytest.approx(one.ground_temp_c + rise, abs=1e-6)


def test_superposition_equals_the_plain_sum_over_all_past_hours() -> None:
    two = field(years_before=2)
    rng = np.random.default_rng(7)
    heat = rng.normal(0.0, 2000.0, HOURS)
    pulse = np.diff(step_response(two, 3 * HOURS), prepend=0.0)
    past = np.tile(heat, 3) / two.total_length_m
    wall = field_response(two).wall_c(heat)
    for hour in (0, 17, 4000, HOURS - 1):
        now = 2 * HOURS + hour
        plain = two.ground_temp_c + np.dot(past[: now + 1], pulse[: now + 1][::-1])
        assert wall[hour] == pytest.approx(plain, abs=1e-8)


def test_years_of_one_sided_heating_cool_the_ground() -> None:
    heat = np.full(HOURS, -1000.0)
    young, old = (field_response(field(years_before=y)).wall_c(heat).mean() for y in (0, 9))
    assert old < young < field().ground_temp_c


def test_first_hour_follows_the_cylinder_not_the_line() -> None:
    # GND-4: at Fo 0.64 a line source would give 0.06 where the cylinder gives about 0.11
    one = step_response(field(years_before=0), HOURS)[0] * 2.2
    assert one == pytest.approx(0.1075, abs=0.006)


# GND-1: Philippe, Bernier & Marchio, ASHRAE Journal 52 (July 2010): a bore of the published length, run
# hour by hour for ten years with the published pulses, brings the published 40.2 degC back to the machine
def test_hourly_field_agrees_with_the_published_length() -> None:
    one = BoreField(
        name="one",
        depth_m=151.657,
        bore_radius_m=0.06,
        pipe_inner_radius_m=0.01365,
        pipe_outer_radius_m=0.0167,
        half_shank_m=0.02555,
        pipe_conductivity_w_mk=0.42,
        grout_conductivity_w_mk=1.5,
        ground_conductivity_w_mk=2.0,
        ground_diffusivity_m2_s=0.086 / 86400.0,
        ground_temp_c=15.0,
        flow_kg_s=0.6,
        pump_w=0.0,
        years_before=9,
    )
    month, peak = 730, 6
    heat = np.full(HOURS, (1500.0 * HOURS - 6000.0 * (month - peak) - 12000.0 * peak) / (HOURS - month))
    heat[-month:], heat[-peak:] = 6000.0, 12000.0
    response = field_response(one)
    entering = response.entering_c(response.wall_c(heat), heat, np.ones(HOURS))
    # methods agree to about 6 % of length (Ahmadfard & Bernier 2019): 6 % of the 27.6 K above the ground
    assert entering[-1] == pytest.approx(40.2, abs=0.06 * 27.6)
