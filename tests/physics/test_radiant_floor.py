"""Radiant floors against EN 1264 tables and closed forms."""

from __future__ import annotations

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.physics import radiant_floor as rf
from retrofit_desk.physics.hydronics import flow_kg_s
from retrofit_desk.physics.plant_delivery import FloorCircuit

REST = {"cover_m": 0.045, "cover_conductivity_w_mk": 1.0, "outside_m": 0.017}


# RAD-1: EN 1264-2 limits for occupied and edge zone, 0.3 %
@pytest.mark.parametrize(("gap", "printed"), [(9.0, 100.0), (15.0, 175.0)])
def test_basic_characteristic_reaches_the_printed_limits(gap: float, printed: float) -> None:
    assert rf.floor_heating_output_w_m2(gap) == pytest.approx(printed, rel=0.003)


# RAD-1, inverse
@pytest.mark.parametrize(("q", "gap"), [(20, 2.0835), (40, 3.9125), (50, 4.7924), (60, 5.6563), (80, 7.3471)])
def test_surface_temperature_from_output(q: float, gap: float) -> None:
    assert rf.surface_less_room_k(q) == pytest.approx(gap, abs=6e-5)


# RAD-2: EN 1264-2 annex table a_B, printed to three digits (from memory)
@pytest.mark.parametrize(
    ("conductivity", "row"),
    [
        (1.0, (1.000, 0.734, 0.579, 0.478)),
        (1.5, (1.122, 0.797, 0.618, 0.505)),
        (2.0, (1.196, 0.833, 0.640, 0.519)),
    ],
)
def test_covering_factor(conductivity: float, row: tuple[float, ...]) -> None:
    got = [rf.covering_factor(r, conductivity) for r in (0.0, 0.05, 0.10, 0.15)]
    assert got == pytest.approx(row, abs=6e-4)


# RAD-3: K_H of type A from the EN 1264-2 form, tables from memory
@pytest.mark.parametrize(
    ("spacing", "row"),
    [
        (0.10, (6.1206, 4.5548, 3.6372, 3.0330)),
        (0.15, (5.2893, 4.0341, 3.2852, 2.7769)),
        (0.20, (4.5876, 3.5808, 2.9696, 2.5424)),
        (0.30, (3.4637, 2.8276, 2.4319, 2.1360)),
    ],
)
def test_screed_output(spacing: float, row: tuple[float, ...]) -> None:
    got = [rf.screed_k_w_m2k(spacing, r, **REST) for r in (0.0, 0.05, 0.10, 0.15)]
    assert got == pytest.approx(row, abs=6e-5)


# RAD-3, further lines
def test_other_cover_other_pipe_and_whole_surface() -> None:
    thin = rf.screed_k_w_m2k(0.20, 0.05, cover_m=0.035, cover_conductivity_w_mk=1.4, outside_m=0.016)
    assert thin == pytest.approx(3.9629, abs=6e-5)
    pipe = rf.Pipe(0.015875, 0.001778, 0.41)
    pex = {"cover_m": 0.045, "cover_conductivity_w_mk": 1.0, "outside_m": 0.015875}
    assert rf.screed_k_w_m2k(0.15, 0.0, **pex) == pytest.approx(5.2312, abs=6e-5)
    assert rf.screed_k_w_m2k(0.15, 0.0, pipe=pipe, **pex) == pytest.approx(5.3873, abs=6e-5)
    whole = [
        rf.whole_surface_k_w_m2k(r, cover_m=0.003, cover_conductivity_w_mk=1.2) for r in (0, 0.05, 0.1, 0.15)
    ]
    assert whole == pytest.approx([9.969, 6.653, 4.992, 3.995], abs=6e-4)


# RAD-4: excess and exact supply at q 50, T .15, spread 5, room 20
@pytest.mark.parametrize(
    ("covering", "excess", "supply"),
    [(0.0, 9.453, 32.172), (0.05, 12.394, 35.062), (0.10, 15.220, 37.856), (0.15, 18.006, 40.621)],
)
def test_water_temperature_by_covering(covering: float, excess: float, supply: float) -> None:
    got = 50.0 / rf.screed_k_w_m2k(0.15, covering, **REST)
    assert got == pytest.approx(excess, abs=6e-4)
    assert rf.supply_c(20.0, got, 5.0) == pytest.approx(supply, abs=6e-4)


# RAD-5: exact against the rule of EN 1264-3, and logarithmic means
def test_supply_rule_and_log_mean() -> None:
    assert rf.supply_c(20.0, 5.6719, 5.0) == pytest.approx(28.5345, abs=1e-4)
    assert rf.supply_by_rule_c(20.0, 5.6719, 5.0) == pytest.approx(28.5392, abs=1e-4)
    for water, mean in (((35, 30, 20), 12.3315), ((38, 33, 21), 14.3552), ((33, 28, 20), 10.2985)):
        assert rf.log_mean_excess_k(*water) == pytest.approx(mean, abs=6e-5)


# RAD-6: Kim & Olesen, ASHRAE Journal Feb 2015, capacity table (from memory)
@pytest.mark.parametrize(
    ("surface", "gap", "printed"),
    [
        ("floor heating", 9, 99),
        ("floor heating", 15, 165),
        ("floor cooling", 6, 42),
        ("wall heating", 20, 160),
        ("wall cooling", 9, 72),
        ("ceiling heating", 7, 42),
        ("ceiling cooling", 9, 99),
    ],
)
def test_capacity_table(surface: str, gap: float, printed: float) -> None:
    assert rf.SURFACE_COEFFICIENTS_W_M2K[surface] * gap == pytest.approx(printed)


# RAD-7: EN 1264-3 form
def test_downward_loss() -> None:
    assert rf.downward_loss_w_m2(50.0, 0.18, 1.77, 20.0, 5.0) == pytest.approx(13.559, abs=6e-4)


# RAD-10: a whole room by the EN 1264-2/-3 forms
def test_worked_room() -> None:
    load, area = 1022.87, 18.0
    q = load / area
    assert q == pytest.approx(56.826, abs=6e-4)
    assert 20.0 + rf.surface_less_room_k(q) == pytest.approx(25.384, abs=6e-4)
    k = rf.screed_k_w_m2k(0.15, 0.05, cover_m=0.045, cover_conductivity_w_mk=1.2, outside_m=0.017)
    assert k == pytest.approx(4.2021, abs=6e-5)
    excess = q / k
    assert excess == pytest.approx(13.523, abs=6e-4)
    assert rf.supply_c(20.0, excess, 6.0) == pytest.approx(36.744, abs=6e-4)
    assert rf.supply_by_rule_c(20.0, excess, 6.0) == pytest.approx(36.523, abs=6e-4)
    down = rf.downward_loss_w_m2(q, 1 / 10.8 + 0.05 + 0.045 / 1.2, 1.77, 20.0, 0.659)
    assert down == pytest.approx(16.709, abs=6e-4)
    assert flow_kg_s(area * (q + down), 6.0) == pytest.approx(0.052688, abs=6e-7)


# RAD-11: Incropera, very long rod (from memory): 8.3 / 5.6 / 1.6 W and 0.19 / 0.13 / 0.04 m
@pytest.mark.parametrize(("k", "watts", "length"), [(398, 8.3, 0.19), (180, 5.6, 0.13), (14, 1.6, 0.04)])
def test_fin_equation_gives_the_printed_rod(k: float, watts: float, length: float) -> None:
    # a wide flat fin of half thickness d/4 has the perimeter-to-section ratio of a rod of diameter d
    d, h, long = 0.005, 100.0, 10.0
    fin = rf.GroovedPlate(1e-9, 0.5e-9, 1e9, 0.0, long, k, d / 4.0)
    conducted = fin.fin_efficiency(h, 0.0) * h * 3.141592653589793 * d * long * 75.0
    assert conducted == pytest.approx(watts, abs=0.05)
    assert 2.65 * (k * d / (4 * h)) ** 0.5 == pytest.approx(length, abs=0.005)


# RAD-12: grooved panel with aluminum plates, fin form
def test_grooved_panel() -> None:
    up, down = 1.0 / (1 / 10.8 + 0.12), 1.0 / 2.2
    assert (up, down) == pytest.approx((4.70383, 0.45455), abs=6e-6)
    panel = rf.GroovedPlate(0.016, 0.012, 0.35, 0.03, 0.06, 200.0, 0.0005)
    assert panel.fin_efficiency(up, down) == pytest.approx(0.94238, abs=6e-6)
    assert panel.output_w_mk(up, down) == pytest.approx(0.54846, abs=6e-6)
    assert panel.output_w_mk(up, down) / 0.15 == pytest.approx(3.656, abs=6e-4)
    for plate, k, eta in ((0.0003, 200, 0.90818), (0.0014, 200, 0.97846), (0.0005, 50, 0.80896)):
        other = rf.GroovedPlate(0.016, 0.012, 0.35, 0.03, 0.06, k, plate)
        assert other.fin_efficiency(up, down) == pytest.approx(eta, abs=6e-6)


# RAD-13: EN 1264-5 (from memory)
def test_floor_cooling() -> None:
    k = {
        r: rf.screed_k_w_m2k(0.15, r, cover_m=0.045, cover_conductivity_w_mk=1.2, outside_m=0.017)
        for r in (0, 0.15)
    }
    assert (k[0], k[0.15]) == pytest.approx((5.59419, 2.85122), abs=6e-6)
    cooling = [rf.cooling_k_w_m2k(k[0], k[0.15], r) for r in (0.0, 0.05, 0.10)]
    assert cooling == pytest.approx([4.0163, 3.2647, 2.7501], abs=6e-5)
    assert rf.cooling_k_w_m2k(k[0], k[0.15], 0.05, 10.8) == pytest.approx(4.2358, abs=6e-5)
    excess = -rf.log_mean_excess_k(17.0, 20.0, 26.0)
    assert excess == pytest.approx(7.3989, abs=6e-5)
    q = cooling[1] * excess
    assert q == pytest.approx(24.16, abs=6e-3)
    assert 26.0 - q / 7.0 == pytest.approx(22.55, abs=6e-3)


# RAD-14: dew points, 0.1 K against the psychrometric library
@pytest.mark.parametrize(
    ("temp", "rh", "dew"),
    [(26, 0.5, 14.77), (26, 0.6, 17.63), (24, 0.5, 12.93), (24, 0.6, 15.75), (25.556, 0.5, 14.36)],
)
def test_dew_point_of_the_guard(temp: float, rh: float, dew: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert psychrolib.GetTDewPointFromRelHum(temp, rh) == pytest.approx(dew, abs=0.1)


# RAD-15: rho c d
@pytest.mark.parametrize(
    ("d", "rho", "c", "held"),
    [
        (0.100, 2300, 880, 56.22),
        (0.050, 2000, 1000, 27.78),
        (0.018, 540, 1600, 4.32),
        (0.018, 1150, 1100, 6.325),
    ],
)
def test_heat_held_by_a_layer(d: float, rho: float, c: float, held: float) -> None:
    assert rf.stored_wh_m2k(d, rho, c) == pytest.approx(held, abs=0.006)


# RAD-16: ASHRAE panel equations (from memory), surroundings at air temperature
@pytest.mark.parametrize(
    ("surface", "room", "radiant", "convective"), [(29, 20, 47.478, 37.882), (20, 26, -31.172, -8.170)]
)
def test_panel_equations(surface: float, room: float, radiant: float, convective: float) -> None:
    assert rf.panel_output_w_m2(surface, room, room) == pytest.approx((radiant, convective), abs=6e-4)


def test_bare_and_tiled_floors_carry_a_margin() -> None:
    def circuit(covering: float) -> FloorCircuit:
        return FloorCircuit(zone="a", active_area_m2=10, covering_m2k_w=covering, below_m2k_w=2)

    assert rf.supply_margin_k(circuit(0.01)) > 0 == rf.supply_margin_k(circuit(0.05))


@given(covering=st.floats(0.0, 0.15), spacing=st.floats(0.05, 0.375))
def test_more_covering_never_gives_more_heat(covering: float, spacing: float) -> None:
    circuit = FloorCircuit(
        zone="a", active_area_m2=10, spacing_m=spacing, covering_m2k_w=covering, below_m2k_w=2
    )
    thicker = circuit.model_copy(update={"covering_m2k_w": covering + 0.02})
    assert rf.heating_k_of(thicker) < rf.heating_k_of(circuit)
    assert rf.cooling_k_of(circuit) < rf.heating_k_of(circuit)
