"""Water and air to the rooms."""

from __future__ import annotations

import pytest

from retrofit_desk.physics import hydronics as h


# HYD-3: reset formula, degF
@pytest.mark.parametrize(("outdoor", "supply"), [(20.0, 117.5), (50.0, 92.5)])
def test_reset_line(outdoor: float, supply: float) -> None:
    got = h.reset_supply_c(outdoor, cold_outdoor_c=5, when_cold_c=130, warm_outdoor_c=65, when_warm_c=80)
    assert got == pytest.approx(supply)


# HYD-4: reset ratio 1:1 of a control manual (second-hand), degF
def test_reset_ratio() -> None:
    got = h.reset_supply_c(50, cold_outdoor_c=0, when_cold_c=170, warm_outdoor_c=70, when_warm_c=100)
    assert got == pytest.approx(120.0)


# HYD-5: EN 442 exponent 1.3; 1.267 is printed in radiator sizing tables
def test_radiator_conversion_factor() -> None:
    assert h.emitter_share(60, 50, 1.3) == pytest.approx(1.267, abs=5e-4)
    assert h.emitter_share(30, 50, 1.3) == pytest.approx(0.5148, abs=5e-5)


# HYD-6: designed 180/160 degF, room 70, n 1.3
@pytest.mark.parametrize(("load", "mean"), [(0.75, 150.15), (0.50, 128.67), (0.35, 114.59)])
def test_mean_water_for_part_load(load: float, mean: float) -> None:
    assert 70 + h.needed_difference_k(load, 100.0, 1.3) == pytest.approx(mean, abs=6e-3)


# HYD-6
@pytest.mark.parametrize(("mean", "share"), [(120, 0.4061), (130, 0.5148), (140, 0.6290)])
def test_capacity_at_lower_water(mean: float, share: float) -> None:
    assert h.emitter_share(mean - 70, 100.0, 1.3) == pytest.approx(share, abs=5e-5)


# HYD-7: 500 rule
def test_flow_rule() -> None:
    assert h.flow_gpm(30000, 10) == pytest.approx(6.0)


# EMIT-1: radiator sizing tables (from memory), printed to three digits
@pytest.mark.parametrize(("gap", "factor"), [(40, 0.748), (35, 0.629), (25, 0.406), (20, 0.304)])
def test_printed_radiator_factors(gap: float, factor: float) -> None:
    assert h.emitter_share(gap, 50, 1.3) == pytest.approx(factor, abs=5e-4)


# EMIT-2: EN 442 exponent, arithmetic and logarithmic means at 20 degC
@pytest.mark.parametrize(
    ("supply", "back", "plain", "log"),
    [
        (60, 50, 0.6290, 0.6261),
        (55, 45, 0.5148, 0.5107),
        (50, 40, 0.4061, 0.4008),
        (45, 35, 0.3039, 0.2968),
        (35, 30, 0.1649, 0.1628),
    ],
)
def test_output_at_lower_temperatures(supply: float, back: float, plain: float, log: float) -> None:
    arithmetic = h.mean_difference_k(supply, back, 20, logarithmic=False)
    logarithmic = h.mean_difference_k(supply, back, 20, logarithmic=True)
    rated_log = h.mean_difference_k(75, 65, 20, logarithmic=True)
    assert rated_log == pytest.approx(49.83, abs=5e-3)
    assert h.emitter_share(arithmetic, 50, 1.3) == pytest.approx(plain, abs=5e-5)
    assert h.emitter_share(logarithmic, rated_log, 1.3) == pytest.approx(log, abs=6e-5)


# EMIT-3
def test_radiator_for_a_heat_pump() -> None:
    gap = h.needed_difference_k(1022.87 / 2400, 50, 1.3)
    assert gap == pytest.approx(25.945, abs=6e-4)
    assert 20 + gap + 5 == pytest.approx(50.945, abs=6e-4)
    assert 1022.87 / h.emitter_share(20, 50, 1.3) == pytest.approx(3366, abs=0.5)


# EMIT-4: baseboard n 1.4, air 65 degF
@pytest.mark.parametrize(("water", "share"), [(140, 0.5497), (120, 0.3561)])
def test_baseboard_at_lower_water(water: float, share: float) -> None:
    assert h.emitter_share(water - 65, 115, 1.4) == pytest.approx(share, abs=5e-5)


# EMIT-5: linear fan-coil
def test_fan_coil() -> None:
    assert 12000 * h.emitter_share(115 - 70, 110, 1.0) == pytest.approx(4909, abs=0.5)


# EMIT-6: C_s p/p0; 5,000 ft has 0.8321 of the sea-level pressure (standard atmosphere)
def test_air_flow_by_altitude() -> None:
    assert h.air_flow_cfm(24000, 35) == pytest.approx(623.4, abs=0.06)
    assert h.air_flow_cfm(24000, 35, pressure_ratio=0.83205) == pytest.approx(749.2, abs=0.1)
    assert h.air_flow_cfm(18000, 20) == pytest.approx(818.2, abs=0.06)


# EMIT-7: round duct, Darcy-Colebrook, US units carried through
def test_round_duct() -> None:
    flow, d = 200 / 60, 8 / 12
    f = h.friction(flow, d, 100.0, density_kg_m3=0.075, viscosity_pa_s=1.22e-5, roughness_m=0.0003)
    assert f.velocity_m_s * 60 == pytest.approx(573.0, abs=0.06)
    assert f.reynolds == pytest.approx(39136, rel=2e-4)
    assert f.factor == pytest.approx(0.02342, abs=6e-6)
    inches = f.drop_pa / 32.174 / 62.37 * 12.0
    assert inches == pytest.approx(0.0718, abs=1e-4)


# RAD-8: Cengel & Cimbala, head loss in a turbulent pipe (from memory), 0.3 %
def test_printed_head_loss() -> None:
    d = 2 / 12
    f = h.friction(0.2, d, 200.0, density_kg_m3=62.36, viscosity_pa_s=7.536e-4, roughness_m=0.000042 * d)
    assert f.velocity_m_s == pytest.approx(9.17, rel=0.003)
    assert f.reynolds == pytest.approx(126400, rel=0.003)
    assert f.factor == pytest.approx(0.0174, rel=0.003)
    assert f.drop_pa / 32.2 == pytest.approx(1700, rel=0.003)
    assert f.drop_pa / 32.2 * 0.2 * 1.35582 == pytest.approx(461, rel=0.003)


# RAD-9: Colebrook in a floor loop, water and a given glycol mix; 0.1 %
@pytest.mark.parametrize(
    ("mix", "litres", "reynolds", "drop"),
    [
        ((994, 0.7191e-3), 1, 2384.8, 3002),
        ((994, 0.7191e-3), 2, 4769.6, 9800),
        ((994, 0.7191e-3), 3, 7154.4, 19774),
        ((1016, 1.5e-3), 1, 1168.6, 3560),
        ((1016, 1.5e-3), 2, 2337, 12352),
        ((1016, 1.5e-3), 3, 3506, 24602),
    ],
)
def test_pressure_drop_of_a_loop(
    mix: tuple[float, float], litres: float, reynolds: float, drop: float
) -> None:
    f = h.friction(litres / 60000, 0.0123, 80.0, density_kg_m3=mix[0], viscosity_pa_s=mix[1])
    assert f.reynolds == pytest.approx(reynolds, rel=0.001)
    assert f.drop_pa == pytest.approx(drop, rel=0.001)
    assert f.uncertain == (2300 <= reynolds < 4000)


# RAD-10: loops of the worked room
def test_two_loops_stay_below_the_pressure_limit_one_does_not() -> None:
    whole = 0.052688 / 994
    water = {"density_kg_m3": 994.0, "viscosity_pa_s": 0.7191e-3}
    two = h.friction(whole / 2, 0.013, (h.loop_length_m(18, 0.15, 8.0)) / 2, **water)
    assert two.reynolds == pytest.approx(3588, abs=1)
    assert two.factor == pytest.approx(0.04174, abs=6e-6)
    assert two.drop_pa == pytest.approx(4326, rel=0.001)
    assert two.uncertain
    one = h.friction(whole, 0.013, 128.0, **water)
    assert one.drop_pa == pytest.approx(26909, rel=0.001)


# GND-10: Darcy factors of a 20 mm pipe, laminar and turbulent, as the bore library computes them
@pytest.mark.parametrize(("flow", "factor"), [(0.05, 0.0408172), (0.50, 0.0276413)])
def test_friction_factor(flow: float, factor: float) -> None:
    got = h.friction(
        flow / 1014.78, 0.02, 1.0, density_kg_m3=1014.78, viscosity_pa_s=0.00203008, roughness_m=1.5e-6
    )
    assert got.factor == pytest.approx(factor, rel=2e-5)
