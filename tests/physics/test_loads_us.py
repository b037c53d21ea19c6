"""The trade's second view of loads, as arithmetic of ASHRAE Fundamentals ch. 17."""

from __future__ import annotations

import pytest

from retrofit_desk.physics.loads_us import (
    LATENT_BTU_H_CFM,
    SENSIBLE_BTU_H_CFM_F,
    OpaqueSurface,
    heating_load,
    indoor_gains_btu_h,
    latent_air_btu_h,
    opaque_cooling_btu_h_ft2,
    sensible_air_btu_h,
    window_cooling_btu_h_ft2,
)
from retrofit_desk.physics.psychrometrics import standard_pressure_pa

W, LPS = 0.29307107, 0.47194745
CH_17 = "ASHRAE Fundamentals ch. 17 (from memory)"


@pytest.mark.parametrize(
    ("us", "si_factor", "printed", "tolerance", "source"),
    [  # LOAD-7
        (SENSIBLE_BTU_H_CFM_F, W * 1.8 / LPS, 1.23, 0.005, CH_17),
        (LATENT_BTU_H_CFM, W / LPS, 3010.0, 6.0, CH_17),  # 3005.6: the pair agrees within .2 %
    ],
)
def test_air_constants_agree_in_both_units(
    *, us: float, si_factor: float, printed: float, tolerance: float, source: str
) -> None:
    assert us * si_factor == pytest.approx(printed, abs=tolerance), source


def test_air_constants_follow_from_first_principles() -> None:
    # LOAD-7: density .075 lb/ft3, .24 + .45 W Btu/lb·°F, 1,076 Btu/lb of vapor (from memory)
    assert pytest.approx(60 * 0.075 * (0.24 + 0.45 * 0.01), abs=5e-3) == SENSIBLE_BTU_H_CFM_F
    assert pytest.approx(60 * 0.075 * 1076.0, abs=5.0) == LATENT_BTU_H_CFM


@pytest.mark.parametrize(
    ("feet", "sensible", "latent"),
    [(2500.0, 1.0042, 4418.4), (5000.0, 0.9153, 4027.1), (7500.0, 0.8328, 3664.4)],
)
def test_air_constants_by_altitude(feet: float, sensible: float, latent: float) -> None:
    # LOAD-6: standard atmosphere, ASHRAE Fundamentals ch. 1 (from memory), computed
    ratio = float(standard_pressure_pa(feet * 0.3048)) / 101325.0
    assert sensible_air_btu_h(1.0, 1.0, ratio) == pytest.approx(sensible, abs=6e-5)
    assert latent_air_btu_h(1.0, 1.0, ratio) == pytest.approx(latent, abs=0.1)


@pytest.mark.parametrize(
    ("pressure_ratio", "distribution", "expected"),
    [(1.0, 0.0, 21937.5), (0.8320516, 0.0, 21036.9), (0.8320516, 0.15, 24192.4)],
)
def test_a_heating_load(pressure_ratio: float, distribution: float, expected: float) -> None:
    # LOAD-8: form of ASHRAE Fundamentals ch. 17 (from memory), computed; 5,000 ft in the US altitude form
    parts = heating_load(
        ((1100.0, 0.060), (180.0, 0.30), (40.0, 0.20), (1500.0, 0.026)),
        dt_f=65.0,
        slab_perimeter_ft=160.0,
        slab_factor_btu_h_ft_f=0.55,
        air_cfm=75.0,
        pressure_ratio=pressure_ratio,
        distribution_share=distribution,
    )
    assert parts.transmission_btu_h == pytest.approx((4290.0, 3510.0, 520.0, 2535.0))
    assert parts.slab_btu_h == pytest.approx(5720.0)
    assert parts.total_btu_h == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(
    ("surface", "u_value", "absorptance", "expected"),
    [  # LOAD-9: factors of ASHRAE Fundamentals ch. 17 (from memory), computed
        (OpaqueSurface.SUNLIT_WALL, 0.06, 0.0, 1.656),
        (OpaqueSurface.CEILING_UNDER_VENTED_ATTIC, 0.026, 0.85, 0.58097),
        (OpaqueSurface.ROOF, 0.04, 0.85, 2.3506),
    ],
)
def test_cooling_by_opaque_surfaces(
    surface: OpaqueSurface, u_value: float, absorptance: float, expected: float
) -> None:
    found = opaque_cooling_btu_h_ft2(surface, u_value, 20.0, 20.0, absorptance)
    assert found == pytest.approx(expected, abs=5e-5)


def test_cooling_by_a_window() -> None:
    # LOAD-9: ASHRAE Fundamentals ch. 17 (from memory), computed
    found = window_cooling_btu_h_ft2(
        u_value=0.30,
        dt_f=20.0,
        daily_range_f=20.0,
        peak_sun_btu_h_ft2=150.0,
        shgc=0.30,
        shade_factor=1.0,
        load_share=0.5,
    )
    assert found == pytest.approx(25.74)


def test_indoor_gains_and_air() -> None:
    # LOAD-9: ASHRAE Fundamentals ch. 17 (from memory), computed
    assert indoor_gains_btu_h(1500.0, 3) == pytest.approx((1739.0, 296.0))
    assert sensible_air_btu_h(50.0, 20.0) == pytest.approx(1100.0)
    assert latent_air_btu_h(50.0, 0.004) == pytest.approx(968.0)
    assert sensible_air_btu_h(50.0, 20.0, 0.8320516) == pytest.approx(915.3, abs=0.05)
    assert latent_air_btu_h(50.0, 0.004, 0.8320516) == pytest.approx(805.4, abs=0.05)
