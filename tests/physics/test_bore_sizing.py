"""Bore lengths against published worked examples and the cylindrical source."""

from __future__ import annotations

import pytest

from retrofit_desk.physics.bore_sizing import (
    Bore,
    GroundPulses,
    bore_resistances,
    cylinder_g,
    length_by_cylinder_us,
    length_by_three_pulses,
    line_g,
    line_resistance_mk_w,
    pulse_factors,
    undisturbed_temp_c,
)
from retrofit_desk.physics.errors import ImpossibleValue

COOLING_BORE = Bore(0.06, 0.01365, 0.0167, 0.0511, 0.42, 1.5, 1000.0)


# GND-1: Philippe, Bernier & Marchio, ASHRAE Journal 52 (July 2010), single bore, cooling
def test_single_bore_in_cooling() -> None:
    length = length_by_three_pulses(
        GroundPulses(12000.0, 6000.0, 1500.0),
        COOLING_BORE,
        ground_conductivity_w_mk=2.0,
        ground_diffusivity_m2_day=0.086,
        ground_temp_c=15.0,
        entering_c=40.2,
        flow_kg_s_per_kw=0.050,
        fluid_heat_j_kgk=4200.0,
    )
    assert length.mean_fluid_c == pytest.approx(42.58095, abs=5e-6)
    assert length.resistance_6h_mk_w == pytest.approx(0.11445903, abs=5e-9)
    assert length.resistance_1m_mk_w == pytest.approx(0.18020548, abs=5e-9)
    assert length.resistance_10y_mk_w == pytest.approx(0.19083865, abs=5e-9)
    assert length.bore_resistance_mk_w == pytest.approx(0.12015438, abs=5e-9)
    assert length.total_m == pytest.approx(151.657264, abs=5e-6)
    convection, pipe, grout, _ = bore_resistances(COOLING_BORE, 2.0)
    assert (convection, pipe, grout) == pytest.approx((0.01165970, 0.07642059, 0.07611423), abs=5e-9)


# GND-3: same equation, residential heating
def test_single_bore_in_heating() -> None:
    length = length_by_three_pulses(
        GroundPulses(-10000.0 * 2.5 / 3.5, -3000.0, -1200.0),
        Bore(0.0635, 0.0137, 0.0167, 0.05, 0.40, 1.6, 1500.0),
        ground_conductivity_w_mk=2.2,
        ground_diffusivity_m2_day=0.086,
        ground_temp_c=11.0,
        entering_c=0.0,
        flow_kg_s_per_kw=0.054,
        fluid_heat_j_kgk=3900.0,
    )
    assert length.mean_fluid_c == pytest.approx(-2.374169, abs=5e-7)
    assert length.bore_resistance_mk_w == pytest.approx(0.12139139, abs=5e-9)
    assert length.total_m == pytest.approx(170.766, abs=5e-4)


# GND-2: the correlations against the cylindrical source they were fitted to, 0.5 %
def test_correlations_agree_with_the_cylindrical_source() -> None:
    days = (0.25, 0.25 + 365.25 / 12, 0.25 + 365.25 / 12 + 3652.5)
    g6, g_month, g_all = (cylinder_g(0.086 * t / 0.06**2) for t in days)
    f6, f1, f10 = pulse_factors(0.06, 0.086)
    assert (f6, f1, f10) == pytest.approx((0.22892, 0.36041, 0.38168), abs=5e-6)
    assert (f6, f1, f10) == pytest.approx((g6, g_month - g6, g_all - g_month), rel=0.005)


# GND-4: Carslaw & Jaeger / Ingersoll cylinder; E1 line source
@pytest.mark.parametrize(
    ("fourier", "cylinder", "line"),
    [
        (0.1, 0.0500, 0.0020),
        (1, 0.1277, 0.0831),
        (3.6, 0.1965, 0.1717),
        (10, 0.2627, 0.2496),
        (100, 0.4334, 0.4311),
        (435.6, 0.5487, 0.5480),
        (1000, 0.6144, 0.6141),
        (52995.6, 0.9300, 0.9300),
        (1e5, 0.9806, 0.9806),
    ],
)
def test_cylinder_and_line_source(fourier: float, cylinder: float, line: float) -> None:
    assert cylinder_g(fourier) == pytest.approx(cylinder, abs=2e-4)
    assert line_g(fourier) == pytest.approx(line, abs=2e-4)


# GND-5: Ingersoll/Kavanaugh form (ASHRAE Handbook HVAC Applications, from memory)
def test_length_in_us_units() -> None:
    length = length_by_cylinder_us(
        conductivity_btu_h_ft_f=1.3,
        diffusivity_ft2_day=1.0,
        diameter_ft=4.5 / 12,
        bore_resistance_h_ft_f_btu=0.20,
        peak_btu_h=-26000.0,
        year_btu_h=-6000.0,
        part_load_month=0.35,
        short_circuit=1.04,
        entering_f=34.0,
        leaving_f=28.5,
        ground_f=52.0,
        penalty_f=-1.5,
    )
    assert length == pytest.approx(752.6, rel=0.001)


# GND-6: infinite line source
@pytest.mark.parametrize(
    ("seconds", "resistance"), [(6 * 3600, 0.08828), (30.42 * 86400, 0.27679), (10 * 365 * 86400, 0.46725)]
)
def test_line_source_resistance(seconds: float, resistance: float) -> None:
    assert line_resistance_mk_w(2.0, 1e-6, 0.075, seconds) == pytest.approx(resistance, abs=6e-6)


# GND-13: Kusuda & Achenbach 1965
@pytest.mark.parametrize(
    ("depth", "temps"),
    [
        (0, (-0.003, -2.000, 3.157, 19.828, 16.758)),
        (1, (5.719, 2.747, 3.240, 14.107, 16.724)),
        (2, (9.188, 6.467, 4.813, 10.678, 15.180)),
        (5, (11.336, 10.728, 9.330, 8.647, 10.681)),
    ],
)
def test_soil_temperature_by_depth_and_day(depth: float, temps: tuple[float, ...]) -> None:
    for day, temp in zip((1, 35, 91, 182, 274), temps, strict=True):
        got = undisturbed_temp_c(
            depth, day, mean_c=10.0, amplitude_k=12.0, coldest_day=35, diffusivity_m2_day=0.05
        )
        assert got == pytest.approx(temp, abs=5e-4)


def test_neighbors_lengthen_an_unbalanced_field() -> None:
    def field(bores: int) -> float:
        return length_by_three_pulses(
            GroundPulses(-28000.0, -12000.0, -4800.0),
            Bore(0.0635, 0.0137, 0.0167, 0.05, 0.40, 1.6, 1500.0),
            ground_conductivity_w_mk=2.2,
            ground_diffusivity_m2_day=0.086,
            ground_temp_c=11.0,
            entering_c=0.0,
            flow_kg_s_per_kw=0.054,
            fluid_heat_j_kgk=3900.0,
            bores=bores,
            spacing_m=8.0,
        ).total_m

    assert field(6) > field(1)


def test_radius_outside_the_correlation_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="outside the correlation"):
        pulse_factors(0.2, 0.086)
