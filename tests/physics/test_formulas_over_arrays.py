"""Formulas of plain numbers give over an array what they give number by number."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from retrofit_desk.physics import (
    air_layers,
    appliances,
    bore_sizing,
    comfort,
    corrections,
    degree_days,
    ducts,
    films,
    heat_pump,
    hydronics,
    leakage,
    leakage_enhanced,
    loads,
    loads_us,
    materials,
    moisture,
    noon_sun,
    psychrometrics,
    radiant_floor,
    thermal_storage,
    ventilation,
    water_heating,
    weather,
    window_u,
)
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.films import HeatFlow

WALL = HeatFlow.HORIZONTAL
ONE_OF_EACH: list[tuple[Callable[..., Any], tuple[Any, ...]]] = [
    (air_layers.air_layer_resistance_m2k_w, (0.02, WALL, 0.9, 0.05)),
    (air_layers.small_void_resistance_m2k_w, (0.05, 0.1, WALL)),
    (air_layers.slightly_ventilated_resistance_m2k_w, (900.0, 3.2, 2.9)),
    (appliances.same_pan_kwh, (100.0, 0.74, 0.84)),
    (appliances.dryer_kwh, (300.0, 3.8, 3.73)),
    (bore_sizing.cylinder_g, (5.0,)),
    (bore_sizing.line_g, (5.0,)),
    (comfort.draft_pct, (22.0, 0.2, 40.0)),
    (comfort.vertical_difference_pct, (3.0,)),
    (comfort.floor_pct, (20.0,)),
    (comfort.warm_ceiling_pct, (8.0,)),
    (comfort.cool_wall_pct, (5.0,)),
    (comfort.cool_ceiling_pct, (5.0,)),
    (comfort.warm_wall_pct, (12.0,)),
    (corrections.gap_correction_w_m2k, (1, 3.9, 4.5)),
    (corrections.tapered_u_w_m2k, (corrections.Taper.RECTANGLE, 2.5, 1.5)),
    (degree_days.balance_temp, (70.0, 3000.0, 500.0)),
    (degree_days.yearly_load_btu, (500.0, 4000.0)),
    (ducts.system_efficiency, (0.8, 0.7)),
    (films.radiative_coefficient_w_m2k, (10.0, 0.9)),
    (films.inside_resistance_m2k_w, (WALL, 0.9)),
    (films.outside_resistance_m2k_w, (4.0,)),
    (heat_pump.carnot_cop_heating, (35.0, 0.0)),
    (hydronics.emitter_share, (30.0, 50.0, 1.3)),
    (hydronics.needed_difference_k, (0.5, 50.0, 1.3)),
    (hydronics.flow_gpm, (30000.0, 10.0)),
    (hydronics.air_flow_cfm, (24000.0, 35.0)),
    (leakage.air_changes_at_50_pa, (0.5, 400.0)),
    (leakage.stack_coefficient, (2.0,)),
    (leakage_enhanced.stack_factor, (0.65, 0.5, 0.25)),
    (leakage_enhanced.wind_factor, (0.65, 0.5, 0.25)),
    (loads.unheated_space_c, (20.0, -12.0, 36.0, 55.0)),
    (loads_us.sensible_air_btu_h, (75.0, 65.0)),
    (materials.r_per_inch, (0.04,)),
    (materials.conductivity_at_w_mk, (0.035, 0.0046, 10.0, 20.0)),
    (moisture.saturation_pa, (-5.0,)),
    (moisture.dew_point_c, (1200.0,)),
    (moisture.temperature_factor, (0.35,)),
    (noon_sun.declination_deg, (172,)),
    (noon_sun.noon_altitude_deg, (36.0, 172)),
    (psychrometrics.cooled_surface_limit_c, (26.0, 0.5)),
    (radiant_floor.floor_heating_output_w_m2, (6.0,)),
    (radiant_floor.surface_less_room_k, (60.0,)),
    (radiant_floor.log_mean_excess_k, (40.0, 30.0, 20.0)),
    (thermal_storage.held_kwh, (300.0, 20.0)),
    (ventilation.hinged_opening_share, (30.0,)),
    (ventilation.openings_in_series_m2, (0.4, 0.6)),
    (ventilation.leakage_credit_cfm, (1000.0, 0.55, 17.0)),
    (water_heating.hot_share, (125.0, 105.0, 58.0)),
    (water_heating.mains_temp_f, (100, 60.0, 40.0)),
    (water_heating.cylinder_loss_btu_h_f, (80.0, 2.5, 16.0)),
    (weather.density_factor, (1609.0,)),
    (window_u.two_in_series_u_w_m2k, (5.7, 5.7, 0.18)),
    (window_u.with_shutter_u_w_m2k, (2.8, 0.17)),
]


@pytest.mark.parametrize(("formula", "values"), ONE_OF_EACH, ids=lambda one: getattr(one, "__name__", ""))
def test_an_array_gives_what_its_numbers_give(formula: Callable[..., Any], values: tuple[Any, ...]) -> None:
    at = next(i for i, value in enumerate(values) if isinstance(value, float | int))
    step = 1 if isinstance(values[at], int) else 0.97
    row = [values[at], values[at] * step, values[at]]

    def with_value(value: Any) -> tuple[Any, ...]:
        return (*values[:at], value, *values[at + 1 :])

    found = formula(*with_value(np.array([row, row])))
    assert found.shape == (2, 3)
    assert found[0] == pytest.approx([float(formula(*with_value(one))) for one in row])


def test_two_arrays_broadcast() -> None:
    found = window_u.with_shutter_u_w_m2k(np.array([[2.8], [5.0]]), np.array([0.0, 0.17]))  # type: ignore[arg-type]
    assert found == pytest.approx(np.array([[2.8, 1.8970], [5.0, 1 / 0.37]]), abs=5e-5)


def test_a_number_in_an_array_that_cannot_be_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="not -1"):
        window_u.with_shutter_u_w_m2k(2.8, np.array([0.1, -1.0]))  # type: ignore[arg-type]


def test_a_number_stays_a_number() -> None:
    assert isinstance(window_u.with_shutter_u_w_m2k(2.8, 0.17), float)
