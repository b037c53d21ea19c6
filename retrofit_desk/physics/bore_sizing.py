"""Length of the pipes in the ground by closed forms, to check a driller's offer."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from retrofit_desk.physics.errors import ImpossibleValue, require_positive
from retrofit_desk.physics.over_arrays import over_arrays

DAYS_10_Y = 3652.5
WIDEST_SPACING_BY_DEPTH = 0.5
"""The correlation of neighbors is made for 0.05 to 0.1 and far beyond it runs away."""

# Correlations of the cylindrical source for pulses of 6 h, 1 month and 10 years, in r (m) and
# diffusivity (m2/day): Philippe, Bernier & Marchio, ASHRAE Journal 52 (July 2010), second-hand.
_F6H = (
    0.6619352, -4.815693, 15.03571, -0.09879421, 0.02917889,
    0.1138498, 0.005610933, 0.7796329, -0.3243880, -0.01824101,
)  # fmt: skip
_F1M = (
    0.4132728, 0.2912981, 0.07589286, 0.1563978, -0.2289355,
    -0.004927554, -0.002694979, -0.6380360, 0.2950815, 0.1493320,
)  # fmt: skip
_F10Y = (
    0.3057646, 0.08987446, -0.09151786, -0.03872451, 0.1690853,
    -0.02881681, -0.002886584, -0.1723169, 0.03112034, -0.1188438,
)  # fmt: skip

# Penalty of neighboring bores, 37 terms in x = B/H, y = ln(t10y/ts), N bores, A aspect: same article.
_PENALTY = (
    7.8189, -64.27, 153.87, -84.809, 3.461, -0.94753, -0.060416, 1.5631, -0.0089416, 1.9061e-5, -2.289,
    0.10187, 0.006569, -40.918, 15.557, -19.107, 0.10529, 25.501, -2.1177, 77.529, -50.454, 76.352,
    -0.53719, -132.0, 12.878, 0.12697, -0.00040284, -0.072065, 0.00095184, -0.024167, 9.6811e-5,
    0.028317, -0.0010905, 0.12207, -0.007105, -0.0011129, -0.00045566,
)  # fmt: skip


@dataclass(frozen=True)
class Bore:
    """Geometry and materials of one grouted single U-tube bore."""

    bore_radius_m: float
    pipe_inner_radius_m: float
    pipe_outer_radius_m: float
    leg_spacing_m: float
    pipe_conductivity_w_mk: float
    grout_conductivity_w_mk: float
    convection_w_m2k: float


@dataclass(frozen=True)
class GroundPulses:
    """Heat into the ground, W: of the peak, the peak month's mean and the year's mean (extraction < 0)."""

    peak_w: float
    month_w: float
    year_w: float


@dataclass(frozen=True)
class BoreLength:
    """Total length, m, and what made it; methods agree to about 6 %, so print no more digits than that."""

    total_m: float
    mean_fluid_c: float
    bore_resistance_mk_w: float
    resistance_6h_mk_w: float
    resistance_1m_mk_w: float
    resistance_10y_mk_w: float
    penalty_k: float


def pulse_factors(radius_m: float, diffusivity_m2_day: float) -> tuple[float, float, float]:
    """f of 6 h, 1 month, 10 years; R = f/k. Covers 0.05-0.1 m and 0.025-0.2 m2/day."""
    if not 0.05 <= radius_m <= 0.1 or not 0.025 <= diffusivity_m2_day <= 0.2:
        raise ImpossibleValue(
            "bore radius or diffusivity lies outside the correlation (0.05-0.1 m, 0.025-0.2 m2/day)"
        )
    r, a, ln = radius_m, diffusivity_m2_day, math.log(diffusivity_m2_day)
    terms = (1.0, r, r * r, a, a * a, ln, ln * ln, r * a, r * ln, a * ln)

    def value(coefficients: tuple[float, ...]) -> float:
        return sum(c * t for c, t in zip(coefficients, terms, strict=True))

    return value(_F6H), value(_F1M), value(_F10Y)


def bore_resistances(bore: Bore, ground_conductivity_w_mk: float) -> tuple[float, float, float, float]:
    """Convection, pipe wall, grout and whole bore, m K/W (line-source form of Philippe et al. 2010)."""
    convection = 1.0 / (2.0 * math.pi * bore.pipe_inner_radius_m * bore.convection_w_m2k)
    pipe = math.log(bore.pipe_outer_radius_m / bore.pipe_inner_radius_m) / (
        2.0 * math.pi * bore.pipe_conductivity_w_mk
    )
    kg, k, rb, spacing = (
        bore.grout_conductivity_w_mk,
        ground_conductivity_w_mk,
        bore.bore_radius_m,
        bore.leg_spacing_m,
    )
    contrast = (kg - k) / (kg + k) * math.log(rb**4 / (rb**4 - (spacing / 2.0) ** 4))
    grout = (math.log(rb / bore.pipe_outer_radius_m) + math.log(rb / spacing) + contrast) / (
        4.0 * math.pi * kg
    )
    return convection, pipe, grout, grout + (convection + pipe) / 2.0


def length_by_three_pulses(
    pulses: GroundPulses,
    bore: Bore,
    *,
    ground_conductivity_w_mk: float,
    ground_diffusivity_m2_day: float,
    ground_temp_c: float,
    entering_c: float,
    flow_kg_s_per_kw: float,
    fluid_heat_j_kgk: float,
    bores: int = 1,
    aspect: float = 1.0,
    spacing_m: float | None = None,
) -> BoreLength:
    """ASHRAE three-pulse length (Philippe, Bernier & Marchio 2010, Eq. 1).

    `entering_c` is the water entering the heat pump at the peak. With more than one bore the
    penalty of the neighbors is iterated (4-144 bores, spacing 0.05-0.1 of the depth).
    """
    f6, f1, f10 = (
        f / ground_conductivity_w_mk for f in pulse_factors(bore.bore_radius_m, ground_diffusivity_m2_day)
    )
    rb = bore_resistances(bore, ground_conductivity_w_mk)[3]
    rise = math.copysign(1000.0 / (flow_kg_s_per_kw * fluid_heat_j_kgk), pulses.peak_w)
    mean_c = entering_c + rise / 2.0
    heat = pulses.peak_w * rb + pulses.year_w * f10 + pulses.month_w * f1 + pulses.peak_w * f6
    penalty, total = 0.0, heat / (mean_c - ground_temp_c)
    if bores > 1:
        if spacing_m is None:
            raise ImpossibleValue("spacing_m is needed for more than one bore")
        for _ in range(100):
            before = total
            if not 0.0 < spacing_m * bores < WIDEST_SPACING_BY_DEPTH * total:
                raise ImpossibleValue("so many bores would be shorter than the neighbors' correlation covers")
            penalty = neighbor_penalty_k(
                year_w=pulses.year_w,
                total_m=total,
                depth_m=total / bores,
                spacing_m=spacing_m,
                bores=bores,
                aspect=aspect,
                conductivity_w_mk=ground_conductivity_w_mk,
                diffusivity_m2_day=ground_diffusivity_m2_day,
            )
            total = heat / (mean_c - (ground_temp_c + penalty))
            if abs(total - before) < 1e-6 * abs(total):
                break
    require_positive("bore length", total, where="the entering water cannot be reached in this ground")
    return BoreLength(total, mean_c, rb, f6, f1, f10, penalty)


def neighbor_penalty_k(
    *,
    year_w: float,
    total_m: float,
    depth_m: float,
    spacing_m: float,
    bores: int,
    aspect: float,
    conductivity_w_mk: float,
    diffusivity_m2_day: float,
) -> float:
    """Temperature penalty T_p of a field after ten years, K (Philippe et al. 2010)."""
    x, n, a = spacing_m / depth_m, float(bores), aspect
    y = math.log(DAYS_10_Y / (depth_m**2 / (9.0 * diffusivity_m2_day)))
    terms = (
        1, x, x**2, x**3, y, y**2, y**3, n, n**2, n**3, a, a**2, a**3, x * y, x * y**2, x * n, x * n**2,
        x * a, x * a**2, x**2 * y, x**2 * y**2, x**2 * n, x**2 * n**2, x**2 * a, x**2 * a**2,
        y * n, y * n**2, y * a,
        y * a**2, y**2 * n, y**2 * n**2, y**2 * a, y**2 * a**2, n * a, n * a**2, n**2 * a, n**2 * a**2,
    )  # fmt: skip
    f = sum(c * t for c, t in zip(_PENALTY, terms, strict=True))
    return year_w / (2.0 * math.pi * conductivity_w_mk * total_m) * f


@over_arrays
def cylinder_g(fourier: float) -> float:
    """G at the wall of a cylindrical source, Fo = alpha t / r^2 (Carslaw & Jaeger; Ingersoll).

    The tail falls slowly, so it is integrated in ln(beta) far beyond 1000.
    """
    from scipy.special import j1, y1

    require_positive("Fourier number", fourier)
    log_beta = np.linspace(math.log(1e-9), math.log(1e8), 40001)
    beta = np.exp(log_beta)
    fall = -np.expm1(-(beta**2) * fourier)
    # far out J1^2 + Y1^2 -> 2/(pi beta), where the library's functions lose their digits
    denominator = np.where(
        beta < 1e4, j1(np.minimum(beta, 1e4)) ** 2 + y1(np.minimum(beta, 1e4)) ** 2, 2 / (math.pi * beta)
    )
    return float(2.0 / math.pi**3 * np.trapezoid(fall / (beta**2 * denominator), log_beta))


@over_arrays
def line_g(fourier: float) -> float:
    """The same of an infinite line source: E1(1/(4 Fo)) / (4 pi)."""
    from scipy.special import exp1

    require_positive("Fourier number", fourier)
    return float(exp1(1.0 / (4.0 * fourier)) / (4.0 * math.pi))


def line_resistance_mk_w(
    conductivity_w_mk: float, diffusivity_m2_s: float, radius_m: float, seconds: float
) -> float:
    """Temperature rise at radius per watt and meter after a steady pulse, m K/W."""
    return line_g(diffusivity_m2_s * seconds / radius_m**2) / conductivity_w_mk


def length_by_cylinder_us(
    *,
    conductivity_btu_h_ft_f: float,
    diffusivity_ft2_day: float,
    diameter_ft: float,
    bore_resistance_h_ft_f_btu: float,
    peak_btu_h: float,
    year_btu_h: float,
    part_load_month: float,
    short_circuit: float,
    entering_f: float,
    leaving_f: float,
    ground_f: float,
    penalty_f: float,
) -> float:
    """Length, ft, by the Ingersoll/Kavanaugh form (ASHRAE Handbook HVAC Applications, from memory).

    Heats are into the ground: extraction < 0. Pulses of 10 years, 30 days and 6 hours.
    """
    days = (3680.25, 30.25, 0.25)
    g_all, g_month, g_day = (cylinder_g(4.0 * diffusivity_ft2_day * t / diameter_ft**2) for t in days)
    k = conductivity_btu_h_ft_f
    r_year, r_month, r_day = (g_all - g_month) / k, (g_month - g_day) / k, g_day / k
    needed = year_btu_h * r_year + peak_btu_h * (
        bore_resistance_h_ft_f_btu + part_load_month * r_month + short_circuit * r_day
    )
    return needed / ((entering_f + leaving_f) / 2.0 - ground_f - penalty_f)


@over_arrays
def undisturbed_temp_c(
    depth_m: float,
    day: float,
    *,
    mean_c: float,
    amplitude_k: float,
    coldest_day: float,
    diffusivity_m2_day: float,
) -> float:
    """Soil temperature at a depth on a day of the year (Kusuda & Achenbach 1965, from memory)."""
    damp = math.exp(-depth_m * math.sqrt(math.pi / (365.0 * diffusivity_m2_day)))
    lag = depth_m / 2.0 * math.sqrt(365.0 / (math.pi * diffusivity_m2_day))
    return mean_c - amplitude_k * damp * math.cos(2.0 * math.pi / 365.0 * (day - coldest_day - lag))
