"""Draw patterns of published tests, and steady part load, each against its own closed form."""

from __future__ import annotations

import numpy as np
import pytest

from retrofit_desk.physics import water_heating as w
from retrofit_desk.physics.heat_pump import HourlyLimits, run
from retrofit_desk.physics.plant_description import HeatPumpTank, HouseholdUse, StorageHeater
from tests.physics.plants import use

GAL_L, WH_PER_L_K = 3.785412, w.WATER_J_LK / 3600.0  # hot water, some 1 % lighter than cold

# 10 CFR 430 Subpart B App. E, simulated use: (hour of the draw, gallons), from memory; sums 10, 38, 55, 84
DRAWS = {
    "very small": ((0, 2.0), (1, 1.0), (1, 0.5), (1, 0.5), (1, 0.5), (8, 1.0), (8, 2.0), (9, 1.5), (9, 1.0)),
    "low": (
        *((0, 15.0), (0, 2.0), (1, 1.0), (10, 6.0), (11, 4.0), (12, 1.0), (12, 1.0), (12, 1.0)),
        *((16, 2.0), (16, 2.0), (17, 3.0)),
    ),
    "medium": (
        *((0, 15.0), (0, 2.0), (1, 9.0), (10, 9.0), (11, 5.0), (12, 1.0), (12, 1.0), (12, 1.0)),
        *((16, 1.0), (16, 2.0), (16, 2.0), (17, 7.0)),
    ),
    "high": (
        *((0, 27.0), (0, 2.0), (0, 1.0), (1, 9.0), (10, 15.0), (11, 5.0), (12, 1.0), (12, 1.0), (12, 1.0)),
        *((16, 2.0), (16, 2.0), (16, 2.0), (16, 2.0), (17, 14.0)),
    ),
}
SET_C, INLET_C, ROOM_C = 51.667, 14.444, 19.722  # 125, 58 and 67.5 °F of the same appendix

# EN 16147:2017, tapping profile L (from memory): kWh by hour of the day; its printed sum is 11.655 kWh
PROFILE_L = {
    7: 0.105 + 1.4 + 0.105 + 0.105, 8: 3.605 + 3 * 0.105, 9: 2 * 0.105, 10: 0.105, 11: 2 * 0.105, 12: 0.315,
    14: 0.105, 15: 0.105, 16: 0.105, 18: 3 * 0.105, 19: 0.105, 20: 0.735, 21: 3.605 + 0.105,
}  # fmt: skip


def household(by_hour: dict[int, float], liters: float, at_c: float) -> HouseholdUse:
    shape = tuple(by_hour.get(hour, 0.0) for hour in range(24))
    return use(draw_shape=shape, hot_water_l_per_day=liters, hot_water_at_c=at_c)


@pytest.mark.parametrize(
    ("pattern", "gallons"), [("very small", 10), ("low", 38), ("medium", 55), ("high", 84)]
)
def test_a_draw_pattern_gives_the_energy_factor_of_its_balance(pattern: str, gallons: float) -> None:
    """UEF = Q / input, with input = (Q + 24 UA dT) / RE for a tank that is held warm.

    1 %: the tank is a little cooler than its set-point after a large draw, and so loses a little less.
    """
    by_hour: dict[int, float] = {}
    for hour, drawn in DRAWS[pattern]:
        by_hour[hour] = by_hour.get(hour, 0.0) + drawn
    assert sum(by_hour.values()) == pytest.approx(gallons)
    heater = StorageHeater(
        fuel="electricity", volume_l=190.0, loss_w_k=1.0, recovery_efficiency=0.98, capacity_w=12000.0,
        set_point_c=SET_C,
    )  # fmt: skip
    asked = household(by_hour, gallons * GAL_L, SET_C)
    year = w.run_storage(heater, asked, np.full(w.HOURS, INLET_C), np.full(w.HOURS, ROOM_C))
    heat = gallons * GAL_L * WH_PER_L_K * (SET_C - INLET_C)
    by_balance = heat / ((heat + 24.0 * 1.0 * (SET_C - ROOM_C)) / 0.98)
    assert year.delivered_w.sum() / year.electric_w.sum() == pytest.approx(by_balance, rel=0.01)
    assert year.short_w.max() < 1e-6


def test_the_bins_of_the_test_rank_tanks_as_their_draws_do() -> None:
    """The same tank has a better factor the more is drawn: factors compare only within a bin (App. E)."""
    heater = StorageHeater(
        fuel="electricity", volume_l=190.0, loss_w_k=1.0, recovery_efficiency=0.98, capacity_w=12000.0,
        set_point_c=SET_C,
    )  # fmt: skip
    factors = []
    for gallons in (10.0, 38.0, 55.0, 84.0):
        asked = use(hot_water_l_per_day=gallons * GAL_L, hot_water_at_c=SET_C)
        year = w.run_storage(heater, asked, np.full(w.HOURS, INLET_C), np.full(w.HOURS, ROOM_C))
        factors.append(year.delivered_w.sum() / year.electric_w.sum())
    assert factors == sorted(factors)


def test_a_heat_pump_tank_under_tapping_profile_l_has_the_cop_of_its_balance() -> None:
    """EN 16147 form: COP = tapped heat / power = machine's COP x Q / (Q + 24 UA dT), the machine held at one.

    1 %: as above. Taps at 55 °C from 10 °C, room at 20 °C.
    """
    tapped_kwh = sum(PROFILE_L.values())
    assert tapped_kwh == pytest.approx(11.655)
    heater = HeatPumpTank(
        volume_l=250.0, loss_w_k=1.8, compressor_heat_w=4000.0, element_w=0.0, set_point_c=55.0,
        cop_rated=3.2, cop_per_air_k=0.0, cop_per_tank_k=0.0,
    )  # fmt: skip
    asked = household(PROFILE_L, tapped_kwh * 1000.0 / WH_PER_L_K / 45.0, 55.0)
    year = w.run_heat_pump_tank(heater, asked, np.full(w.HOURS, 10.0), np.full(w.HOURS, 20.0))
    lost_kwh = 24.0 * 1.8 * 35.0 / 1000.0
    by_balance = 3.2 * tapped_kwh / (tapped_kwh + lost_kwh)
    served = year.delivered_w.sum() + year.short_w.sum()
    assert served / 365e3 == pytest.approx(tapped_kwh, rel=2e-3)
    assert year.delivered_w.sum() / year.electric_w.sum() == pytest.approx(by_balance, rel=0.01)


@pytest.mark.parametrize("share", [0.1, 0.35, 0.6, 0.85, 1.0])
def test_steady_part_load_costs_what_the_curve_says(share: float) -> None:
    """ANSI/ASHRAE Standard 140, cooling equipment cases: COP falls by 1 - 0.229 (1 - PLR) (from memory)."""
    hours = np.full(24, 1.0)
    able = HourlyLimits(8000.0 * hours, 2500.0 * hours, 8000.0 * hours, 2500.0 * hours, hours, 0.229)
    found = run(able, 8000.0 * share * hours)
    cop = 3.2 * (1.0 - 0.229 * (1.0 - share))
    assert found.delivered_w == pytest.approx(8000.0 * share * hours)
    assert found.delivered_w / found.power_w == pytest.approx(cop * hours)


def test_a_load_beyond_the_machine_is_met_as_far_as_it_goes() -> None:
    hours = np.full(24, 1.0)
    able = HourlyLimits(8000.0 * hours, 2500.0 * hours, 8000.0 * hours, 2500.0 * hours, hours, 0.229)
    found = run(able, 9000.0 * hours)
    assert found.delivered_w == pytest.approx(8000.0 * hours)
    assert found.power_w == pytest.approx(2500.0 * hours)
