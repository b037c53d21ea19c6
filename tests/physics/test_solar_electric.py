"""The roof's electricity, against published arithmetic and the solar library."""

from __future__ import annotations

import numpy as np
import pytest

from retrofit_desk.physics import solar_electric as s
from retrofit_desk.physics.description import Site
from retrofit_desk.physics.plant_description import Inverter, SolarArray
from retrofit_desk.physics.sun_on_house import sun_on_plane
from tests.physics.years import sunny_year

LOSSES = (0.02, 0.03, 0.0, 0.02, 0.02, 0.005, 0.015, 0.01, 0.0, 0.03)


# PV-1: Dobos 2014, NREL/TP-6A20-62641
def test_losses_combine() -> None:
    assert 100 * s.combined_loss(LOSSES) == pytest.approx(14.0757, abs=6e-5)


# PV-2: Dobos 2014
@pytest.mark.parametrize(
    ("sun", "cell", "size", "per_k", "power"),
    [
        (1000, 25, 4000, -0.0047, 4000.0),
        (1000, 45, 4000, -0.0047, 3624.0),
        (800, 50, 4000, -0.0047, 2824.0),
        (200, 20, 4000, -0.0047, 818.8),
        (1000, 45, 5000, -0.0035, 4650.0),
        (800, 50, 5000, -0.0035, 3650.0),
    ],
)
def test_direct_current(sun: float, cell: float, size: float, per_k: float, power: float) -> None:
    assert s.dc_power_w(sun, cell, size, per_k) == pytest.approx(power, abs=0.05)


# PV-3: King et al. 2004 in pvlib; 1000 (800) W/m2, 20 degC, 1 m/s
@pytest.mark.parametrize(
    ("mounting", "at_1000", "at_800"),
    [
        ("open rack", 52.323, 45.858),
        ("flush on roof", 69.456, 59.565),
        ("open rack, plastic back", 49.384, 43.507),
        ("insulated back", 77.527, 66.022),
    ],
)
def test_cell_temperature(mounting: s.Mounting, at_1000: float, at_800: float) -> None:
    assert s.cell_temp_c(1000.0, 20.0, 1.0, mounting) == pytest.approx(at_1000, abs=6e-4)
    assert s.cell_temp_c(800.0, 20.0, 1.0, mounting) == pytest.approx(at_800, abs=6e-4)


# PV-3: Faiman 2008
def test_cell_temperature_by_loss_coefficient() -> None:
    assert s.cell_temp_by_u_c(1000.0, 20.0, 1.0) == pytest.approx(51.407, abs=6e-4)
    assert s.cell_temp_by_u_c(800.0, 20.0, 1.0) == pytest.approx(45.126, abs=6e-4)


def test_inverter_clips_and_sleeps_without_light() -> None:
    power = s.ac_power_w(np.array([0.0, 1e-6, 2000.0, 9000.0]), 5000.0, 0.96)
    assert power[0] == power[1] == 0.0
    assert power[3] == 5000.0
    # Dobos 2014, eq. for eta at zeta = 0.384
    zeta = 2000.0 / (5000.0 / 0.96)
    assert power[2] == pytest.approx(2000 * 0.96 / 0.9637 * (-0.0162 * zeta - 0.0059 / zeta + 0.9858))


def roof(**changes: object) -> SolarArray:
    values: dict[str, object] = {
        "name": "a",
        "dc_w": 5000.0,
        "tilt_deg": 30.0,
        "azimuth_deg": 180.0,
        "inverter": "i",
    }
    return SolarArray.model_validate(values | changes)


def test_flat_array_sees_the_horizontal_sun() -> None:
    # Perez 1990 through pvlib on a horizontal plane gives back beam and diffuse
    weather = sunny_year()
    flat = roof(tilt_deg=0.0, losses=0.0, temp_coefficient_per_k=0.0)
    made = s.array_dc_w(flat, weather).sum() / 5000.0 * 1000.0
    assert made == pytest.approx(weather.ghi_w_m2.sum(), rel=0.01)


def test_age_shading_and_orientation_cost_what_they_should() -> None:
    weather = sunny_year()
    new = s.array_dc_w(roof(), weather).sum()
    assert s.array_dc_w(roof(age_years=10.0), weather).sum() == pytest.approx(new * 0.995**10)
    assert s.array_dc_w(roof(monthly_shading=(1.0,) * 12), weather).sum() == 0.0
    assert s.array_dc_w(roof(azimuth_deg=0.0), weather).sum() < new


def test_two_planes_share_one_inverter_limit() -> None:
    weather = sunny_year()
    arrays = (roof(), roof(name="b", azimuth_deg=260.0))
    small = s.generation_w(arrays, (Inverter(name="i", ac_limit_w=3000.0),), weather)
    large = s.generation_w(arrays, (Inverter(name="i", ac_limit_w=10000.0),), weather)
    assert small.max() == 3000.0
    assert small.sum() < large.sum()
    # sun in the middle of the hour: an eastern array makes more before noon
    east = s.generation_w((roof(azimuth_deg=90.0),), (Inverter(name="i", ac_limit_w=9000.0),), weather)
    assert east.reshape(365, 24)[:, :12].sum() > east.reshape(365, 24)[:, 12:].sum()


def wood(through: float, **changes: object) -> Site:
    trees = {
        "from_azimuth_deg": 100.0,
        "to_azimuth_deg": 260.0,
        "altitude_deg": 60.0,
        "monthly_transmittance": (through,) * 12,
    }
    return Site.model_validate({"trees": [trees | changes]})


def test_trees_and_hills_shade_the_modules() -> None:
    weather = sunny_year()
    by_share = [float(s.array_dc_w(roof(), weather, wood(share)).sum()) for share in (1.0, 0.5, 0.0)]
    assert by_share[0] == pytest.approx(float(s.array_dc_w(roof(), weather).sum()))
    assert by_share[0] > by_share[1] > by_share[2] > 0.0
    hill = Site.model_validate({"horizon": [{"azimuth_deg": 180.0, "altitude_deg": 90.0}]})
    assert s.array_dc_w(roof(tilt_deg=0.0), weather, hill).sum() == pytest.approx(0.0, abs=1e-6)


def test_behind_trees_a_module_loses_what_a_wall_of_its_slope_loses() -> None:
    weather, site = sunny_year(), wood(0.3)
    cold = roof(temp_coefficient_per_k=0.0, losses=0.0)
    left = s.array_dc_w(cold, weather, site).sum() / s.array_dc_w(cold, weather).sum()
    face = sun_on_plane(site, 30.0, 180.0, weather)
    assert left == pytest.approx(face.incident_w_m2.sum() / face.unshaded_w_m2.sum())


def test_trees_without_leaves_cost_a_module_less() -> None:
    weather, leafy = sunny_year(), (0.9, 0.9, 0.9, *(0.2,) * 6, 0.9, 0.9, 0.9)
    by_month = s.array_dc_w(roof(), weather, wood(0.2, monthly_transmittance=leafy))
    dense, open_view = s.array_dc_w(roof(), weather, wood(0.2)), s.array_dc_w(roof(), weather)
    january, july = slice(0, 744), slice(4344, 5088)
    assert dense[january].sum() < by_month[january].sum() < open_view[january].sum()
    assert by_month[july].sum() == pytest.approx(dense[july].sum())


def test_stated_monthly_shading_is_not_taken_twice() -> None:
    weather = sunny_year()
    stated = roof(monthly_shading=(0.1,) * 12)
    assert s.array_dc_w(stated, weather, wood(0.0)).sum() == s.array_dc_w(stated, weather).sum()
