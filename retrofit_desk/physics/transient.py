"""How a construction answers a daily wave: mass on the room's side, delay and damping."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.physics.errors import require_positive
from retrofit_desk.physics.layers import MasslessLayer, SolidLayer

ComplexMatrix: TypeAlias = NDArray[np.complex128]

DAY_S = 86400.0


@dataclass(frozen=True)
class PeriodicResponse:
    """Answer to a sinusoidal swing, films included; complex values carry the phase. ISO 13786:2017."""

    u_value_w_m2k: float
    inside_admittance_w_m2k: complex
    outside_admittance_w_m2k: complex
    transmittance_w_m2k: complex
    inside_capacity_j_m2k: float
    outside_capacity_j_m2k: float
    period_s: float

    @property
    def decrement(self) -> float:
        """Share of the steady heat flow that the swing still passes."""
        return abs(self.transmittance_w_m2k) / self.u_value_w_m2k

    @property
    def delay_h(self) -> float:
        """Hours by which the inside flow lags the outside swing, above 0."""
        shift = _shift_h(self.transmittance_w_m2k, self.period_s)
        return -shift if shift <= 0.0 else self.period_s / 3600.0 - shift

    @property
    def inside_lead_h(self) -> float:
        """Hours by which the inside heat flow leads the inside swing."""
        return _shift_h(self.inside_admittance_w_m2k, self.period_s)

    @property
    def outside_lead_h(self) -> float:
        """Hours by which the outside heat flow leads the outside swing."""
        return _shift_h(self.outside_admittance_w_m2k, self.period_s)


def penetration_depth_m(layer: SolidLayer, period_s: float = DAY_S) -> float:
    """Depth at which a surface swing has fallen to 1/e. ISO 13786:2017 (from memory)."""
    volume_heat = layer.density_kg_m3 * layer.specific_heat_j_kgk
    return math.sqrt(layer.conductivity_w_mk * period_s / (math.pi * volume_heat))


def layer_matrix(layer: SolidLayer | MasslessLayer, period_s: float = DAY_S) -> ComplexMatrix:
    """Heat transfer matrix of one layer, (2, 2). ISO 13786:2017, clause 7 (from memory)."""
    require_positive("period in s", period_s)
    if isinstance(layer, MasslessLayer):
        return _resistance(layer.resistance_m2k_w)
    depth = penetration_depth_m(layer, period_s)
    x, conductivity = layer.thickness_m / depth, layer.conductivity_w_mk
    p, q = math.sinh(x) * math.cos(x), math.cosh(x) * math.sin(x)
    diagonal = complex(math.cosh(x) * math.cos(x), math.sinh(x) * math.sin(x))
    z12 = -depth / (2.0 * conductivity) * complex(p + q, q - p)
    z21 = -conductivity / depth * complex(p - q, p + q)
    return np.array([[diagonal, z12], [z21, diagonal]])


def element_matrix(
    layers: Sequence[SolidLayer | MasslessLayer],
    r_si_m2k_w: float = 0.13,
    r_se_m2k_w: float = 0.04,
    period_s: float = DAY_S,
) -> ComplexMatrix:
    """Heat transfer matrix of an element from layers inside to outside, films included, (2, 2)."""
    whole = _resistance(r_si_m2k_w)
    for layer in layers:
        whole = layer_matrix(layer, period_s) @ whole
    return np.asarray(_resistance(r_se_m2k_w) @ whole, dtype=complex)


def periodic_response(
    layers: Sequence[SolidLayer | MasslessLayer],
    r_si_m2k_w: float = 0.13,
    r_se_m2k_w: float = 0.04,
    period_s: float = DAY_S,
) -> PeriodicResponse:
    """Admittances, periodic transmittance and areal heat capacities, inside to outside. ISO 13786:2017."""
    z = element_matrix(layers, r_si_m2k_w, r_se_m2k_w, period_s)
    z11, z12, z22 = complex(z[0, 0]), complex(z[0, 1]), complex(z[1, 1])
    steady = r_si_m2k_w + sum(layer.resistance_m2k_w for layer in layers) + r_se_m2k_w
    per_radian = period_s / (2.0 * math.pi)
    return PeriodicResponse(
        1.0 / steady,
        -z11 / z12,
        -z22 / z12,
        -1.0 / z12,
        per_radian * abs((z11 - 1.0) / z12),
        per_radian * abs((z22 - 1.0) / z12),
        period_s,
    )


def _resistance(resistance_m2k_w: float) -> ComplexMatrix:
    return np.array([[1.0, -resistance_m2k_w], [0.0, 1.0]], dtype=complex)


def _shift_h(value: complex, period_s: float) -> float:
    return period_s / 3600.0 * cmath.phase(value) / (2.0 * math.pi)
