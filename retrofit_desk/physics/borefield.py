"""Water from the ground by the hour: g-functions, superposed over many years of the same use."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.bore_sizing import cylinder_g, line_g
from retrofit_desk.physics.plant_machines import Antifreeze, BoreField

Array = NDArray[np.float64]
HOURS = 8760
PIPE_ROUGHNESS_M = 1.5e-6  # smooth plastic pipe; any fluid text
FLUID_BELOW_GROUND_K = 8.0  # where the loop's fluid properties are taken in winter: common practice
_LIBRARY_NAMES = {
    "water": "Water",
    "propylene glycol": "MPG",
    "ethylene glycol": "MEG",
    "ethanol": "MEA",
    "methanol": "MMA",
}


@dataclass(frozen=True)
class LoopFluid:
    """Properties at one temperature."""

    density_kg_m3: float
    heat_j_kgk: float
    viscosity_pa_s: float
    conductivity_w_mk: float
    freezes_c: float


@lru_cache(maxsize=64)
def loop_fluid(fluid: Antifreeze, temp_c: float) -> LoopFluid:
    """Water or antifreeze mixture from the property library, at temp_c."""
    import pygfunction as gt

    found = gt.media.Fluid(_LIBRARY_NAMES[fluid.kind], fluid.mass_percent, T=temp_c)
    freezes = 0.0 if fluid.kind == "water" else float(found.fluid.freeze_point(fluid.mass_percent / 100.0))
    return LoopFluid(float(found.rho), float(found.cp), float(found.mu), float(found.k), freezes)


@dataclass(frozen=True)
class FieldShape:
    """What a g-function depends on."""

    rows: int
    columns: int
    spacing_m: float
    depth_m: float
    buried_m: float
    bore_radius_m: float
    diffusivity_m2_s: float


@lru_cache(maxsize=64)
def g_function(shape: FieldShape, seconds: tuple[float, ...]) -> tuple[float, ...]:
    """Wall temperature response, uniform wall temperature (Cimmino & Bernier 2014 BC-III), by pygfunction.

    The finite line source is too cold in the first hours; the difference between the cylindrical
    and the line source is added.
    """
    import pygfunction as gt

    field = gt.borefield.Borefield.rectangle_field(
        shape.columns,
        shape.rows,
        shape.spacing_m,
        shape.spacing_m,
        shape.depth_m,
        shape.buried_m,
        shape.bore_radius_m,
    )
    alpha = shape.diffusivity_m2_s
    response = gt.gfunction.gFunction(
        field, alpha, time=np.array(seconds), boundary_condition="UBWT", method="similarities"
    ).gFunc
    return tuple(
        float(g) + 2.0 * math.pi * _cylinder_less_line(alpha * t / shape.bore_radius_m**2)
        for g, t in zip(np.atleast_1d(response), seconds, strict=True)
    )


def _cylinder_less_line(fourier: float) -> float:
    return cylinder_g(fourier) - line_g(fourier) if fourier < 1e3 else 0.0


@dataclass(frozen=True)
class BoreHeat:
    """Resistances of one bore, m K/W, with the flow it runs at and the film inside its pipes."""

    local_mk_w: float
    effective_mk_w: float
    reynolds: float
    convection_w_m2k: float


@lru_cache(maxsize=64)
def bore_heat(field: BoreField) -> BoreHeat:
    """Fluid to wall by the multipole method (Claesson & Hellstrom 2011), with the exchange between legs."""
    import pygfunction as gt

    fluid = loop_fluid(field.fluid, max(1.0, field.ground_temp_c - FLUID_BELOW_GROUND_K))
    flow = field.flow_kg_s / field.bores
    r_in, r_out = field.pipe_inner_radius_m, field.pipe_outer_radius_m
    h = gt.pipes.convective_heat_transfer_coefficient_circular_pipe(
        flow,
        r_in,
        fluid.viscosity_pa_s,
        fluid.density_kg_m3,
        fluid.conductivity_w_mk,
        fluid.heat_j_kgk,
        PIPE_ROUGHNESS_M,
    )
    to_pipe = 1.0 / (2.0 * math.pi * r_in * h) + gt.pipes.conduction_thermal_resistance_circular_pipe(
        r_in, r_out, field.pipe_conductivity_w_mk
    )
    bore = gt.boreholes.Borehole(field.depth_m, field.buried_m, field.bore_radius_m, 0.0, 0.0)
    place = [(-field.half_shank_m, 0.0), (field.half_shank_m, 0.0)]
    pipe = gt.pipes.SingleUTube(
        place, r_in, r_out, bore, field.ground_conductivity_w_mk, field.grout_conductivity_w_mk, to_pipe
    )
    return BoreHeat(
        float(pipe.local_borehole_thermal_resistance()),
        float(pipe.effective_borehole_thermal_resistance(flow, fluid.heat_j_kgk)),
        2.0 * flow / (math.pi * r_in * fluid.viscosity_pa_s),
        float(h),
    )


@dataclass(frozen=True, eq=False)
class FieldResponse:
    """The field as one hourly filter: the wall's answer to a year that repeats."""

    spectrum: Any
    size: int
    length_m: float
    resistance_mk_w: float
    half_flow_k_per_w: float
    ground_c: float

    def wall_c(self, ground_w: Array) -> Array:
        """Bore wall, (8760,) degC, after the years before; `ground_w` is heat into the ground, W."""
        from scipy import fft

        per_m = fft.rfft(ground_w / self.length_m, self.size)
        back = fft.irfft(per_m * self.spectrum, self.size)
        return np.asarray(self.ground_c + back[:HOURS])

    def entering_c(self, wall_c: Array, ground_w: Array, running_share: Array) -> Array:
        """Water entering the machine, (8760,) degC, while it runs; the wall itself where it stands still.

        Within an hour the machine runs for `running_share` of it at the heat rate that gives the mean.
        """
        running = np.where(running_share > 0, ground_w / np.maximum(running_share, 1e-3), 0.0)
        drop = self.resistance_mk_w / self.length_m - self.half_flow_k_per_w
        return np.asarray(wall_c + running * drop)


@lru_cache(maxsize=32)
def field_response(field: BoreField) -> FieldResponse:
    """Prepare a field: its g-function is worked out once and kept."""
    from scipy import fft

    lags = _summed_kernel(field)
    size = fft.next_fast_len(lags.size + HOURS, real=True)
    # lags run from -8759 to 8759 h; negative ones are wrapped to the end of the circle
    circle = np.zeros(size)
    circle[:HOURS] = lags[HOURS - 1 :]
    circle[size - (HOURS - 1) :] = lags[: HOURS - 1]
    heat = bore_heat(field)
    fluid = loop_fluid(field.fluid, max(1.0, field.ground_temp_c - FLUID_BELOW_GROUND_K))
    return FieldResponse(
        fft.rfft(circle, size),
        size,
        field.total_length_m,
        heat.effective_mk_w,
        0.5 / (field.flow_kg_s * fluid.heat_j_kgk),
        field.ground_temp_c,
    )


def step_response(field: BoreField, hours: int) -> Array:
    """Wall temperature rise per W/m after 1..hours hours of steady heat, m K/W."""
    from scipy.interpolate import PchipInterpolator

    ends = np.unique(np.concatenate([np.geomspace(1.0, hours, 36), [1.0, float(hours)]]))
    shape = FieldShape(
        field.rows,
        field.columns,
        field.spacing_m,
        field.depth_m,
        field.buried_m,
        field.bore_radius_m,
        field.ground_diffusivity_m2_s,
    )
    g = g_function(shape, tuple(float(t) * 3600.0 for t in ends))
    smooth = PchipInterpolator(np.log(ends), np.array(g))
    each = np.arange(1, hours + 1, dtype=float)
    return np.asarray(smooth(np.log(each)) / (2.0 * math.pi * field.ground_conductivity_w_mk))


def _summed_kernel(field: BoreField) -> Array:
    """Response to one hour's pulse by lag -8759..8759 h, the years before added up."""
    years = field.years_before
    step = step_response(field, (years + 1) * HOURS)
    pulse = np.diff(step, prepend=0.0)
    total = np.zeros(2 * HOURS - 1)
    total[HOURS - 1 :] = pulse[:HOURS]
    for year in range(1, years + 1):
        start = year * HOURS - (HOURS - 1)
        piece = pulse[start : start + 2 * HOURS - 1]
        total[: piece.size] += piece
    return total
