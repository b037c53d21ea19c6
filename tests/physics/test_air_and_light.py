"""Opened windows, tested leakage, blinds, skyline, ground and glass as the engine takes them."""

from __future__ import annotations

import numpy as np
import pytest
from pydantic import ValidationError

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.airflow import catch, opened_share, openings, outdoor_air
from retrofit_desk.physics.description import HorizonPoint, Opening, Site, Trees
from retrofit_desk.physics.elements import GlassGap, GlassPane, GlazingByAngle, GlazingByPanes, Schedule
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.leakage import infiltration_m3_s, stack_coefficient, wind_coefficient
from retrofit_desk.physics.network import glass_conductance_w_m2k
from retrofit_desk.physics.optics import GRID_DEG, hemispherical, window_optics
from retrofit_desk.physics.schedules import hourly
from retrofit_desk.physics.skyline import skyline
from tests.physics.houses import BOARD, BRICK, WOOL, box, house
from tests.physics.weathers import FLAT, plain_year

ANGLES = tuple(float(a) for a in range(0, 100, 10))


def test_double_clear_glass_by_angle_is_the_published_table() -> None:
    # ANSI/ASHRAE Standard 140-2001, double clear window: n 1.526, 0.0196/mm, 3.175 mm (printed digits)
    pane = GlassPane(thickness_m=0.003175, conductivity_w_mk=1.06, extinction_per_m=19.6)
    glass = GlazingByPanes(name="double", panes=(pane, pane), gap_conductances_w_m2k=(6.297,))
    optics = window_optics(glass, 21.0, glass_conductance_w_m2k(glass))
    printed = [0.747, 0.746, 0.744, 0.739, 0.728, 0.705, 0.647, 0.507, 0.242, 0.0]
    assert optics.transmitted[::20] == pytest.approx(printed, abs=0.0015)
    outer = [0.0643, 0.0647, 0.0659, 0.0679, 0.0708, 0.0746, 0.0796, 0.0868, 0.094, 0.0]
    assert optics.absorbed_outer[::20] == pytest.approx(outer, abs=0.0005)
    inner = [0.0521, 0.0525, 0.0534, 0.0548, 0.0566, 0.0582, 0.0585, 0.0544, 0.0414, 0.0]
    assert optics.absorbed_inner[::20] == pytest.approx(inner, abs=0.0005)
    assert optics.hemispherical == pytest.approx((0.659, 0.0745, 0.0549), abs=0.0015)
    whole = 1 / (1 / 21.0 + 1 / glass_conductance_w_m2k(glass) + 1 / 8.29)
    assert whole == pytest.approx(3.0, abs=0.02)


def test_gaps_described_by_width_gas_and_coating_conduct_as_the_standard_says() -> None:
    # ISO 10077-1:2006, table C.2 (from memory, printed digit): 4-16-4 with air, clear 2.7 W/m2K, coated to
    # 0.05 1.4; its argon is one of nine tenths and has no row here
    clear = GlassPane(thickness_m=0.004, extinction_per_m=20.0)
    coated = clear.model_copy(update={"emissivity_outward": 0.05})
    for inner, gas, u_value in ((clear, "air", 2.7), (coated, "air", 1.4)):
        glass = GlazingByPanes(name="g", panes=(clear, inner), gaps=(GlassGap(width_m=0.016, gas=gas),))
        core = glass_conductance_w_m2k(glass)
        assert 1.0 / (1.0 / core + 0.17) == pytest.approx(u_value, abs=0.05)
        assert window_optics(glass, 25.0, core).transmitted[0] > 0.6
    cores = [
        glass_conductance_w_m2k(
            GlazingByPanes(name="g", panes=(clear, coated), gaps=(GlassGap(width_m=0.016, gas=gas),))
        )
        for gas in ("air", "argon")
    ]
    assert cores[1] < 0.85 * cores[0]
    with pytest.raises(ValidationError, match="not both"):
        GlazingByPanes(
            name="g", panes=(clear, clear), gaps=(GlassGap(width_m=0.016),), gap_conductances_w_m2k=(6.0,)
        )


def test_gain_beyond_what_is_let_through_flows_inward_again() -> None:
    shgc = (0.789, 0.789, 0.787, 0.784, 0.775, 0.753, 0.696, 0.554, 0.282, 0.0)
    through = (0.747, 0.746, 0.744, 0.739, 0.728, 0.705, 0.647, 0.507, 0.242, 0.0)
    glass = GlazingByAngle(
        name="g", u_value_w_m2k=3.0, rated_outside_film_w_m2k=21.0, rated_inside_film_w_m2k=8.29,
        angles_deg=ANGLES, shgc=shgc, transmittance=through,
    )  # fmt: skip
    core = glass_conductance_w_m2k(glass)
    optics = window_optics(glass, 21.0, core)
    inward = (1 / 21.0 + 1 / core) / (1 / 3.0)
    assert optics.transmitted + inward * optics.absorbed_inner == pytest.approx(
        window_optics(glass.model_copy(update={"transmittance": ()}), 21.0, core).transmitted / 0.93, abs=1e-9
    )


def test_hemispherical_mean_of_a_cosine_is_two_thirds() -> None:
    assert hemispherical(np.cos(np.radians(GRID_DEG))) == pytest.approx(2 / 3, abs=1e-4)


def test_tested_leakage_follows_stack_and_wind() -> None:
    # INF: ASHRAE Fundamentals ch. 16 basic model through the project's own leakage formulas
    described = box()
    described["blower_door"] = {"flow_at_50_pa_m3_s": 0.5, "storeys": 1, "shelter_class": 4}
    weather = plain_year("windy", wind_m_s=FLAT + 4.0)
    flow = outdoor_air(house(described), weather).leakage_m3_s[100, 0]
    area = 0.5 * (4 / 50) ** 0.65 * np.sqrt(1.2 / 8.0)
    expected = infiltration_m3_s(float(area), stack_coefficient(1), wind_coefficient(1, 4), 21.0, 4.0)
    assert flow == pytest.approx(float(expected), rel=1e-9)


def test_casement_hinged_on_the_lee_side_catches_more_wind() -> None:
    # Direction by geometry, strength by common practice, no source
    south = Opening(name="w", area_m2=1.0, height_m=1.2, faces_deg=180, hinge="right")
    west_wind = np.full(8760, 250.0)
    other = south.model_copy(update={"hinge": "left"})
    assert catch(south, west_wind)[0] > 1.0 > catch(other, west_wind)[0]
    assert catch(south.model_copy(update={"hinge": "sliding"}), west_wind)[0] == 1.0


def test_open_share_of_a_hinged_window() -> None:
    # VENT-2: EN 15242 polynomial (from memory) at 15, 45, 90 degrees
    at = [
        opened_share(Opening(name="w", area_m2=1, height_m=1, faces_deg=0, hinge="bottom", open_angle_deg=a))
        for a in (15.0, 45.0, 90.0)
    ]
    assert at == pytest.approx([0.25310, 0.61972, 0.89964], abs=1e-5)


def test_single_sided_airing_is_the_standard_s_flow() -> None:
    # VENT-1: EN 15242 single-sided: A .5 m2, v 2, H 1.2, 5 K: 168.375 m3/h
    part = {"name": "w", "area_m2": 0.5 / 0.89964, "height_m": 1.2, "faces_deg": 0, "hinge": "bottom"}
    described = box(zone={"openings": [part]})
    found = openings(house(described), plain_year("airing", wind_m_s=FLAT + 2.0))
    assert np.sqrt(found.wind[0, 0] + found.stack[0] * 5.0) * 3600 == pytest.approx(168.375, rel=1e-4)


def test_opened_windows_cool_the_night_and_close_when_it_is_warmer_outside() -> None:
    weather = greensboro()
    part = {"name": "w", "area_m2": 1.0, "height_m": 1.2, "faces_deg": 180}
    shut = run_year(house(box(window_m2=2.5, zone={"thermostat": None})), weather).zones[0]
    aired = run_year(house(box(window_m2=2.5, zone={"thermostat": None, "openings": [part]})), weather).zones[
        0
    ]
    summer = slice(4344, 5832)
    assert aired.air_c[summer].mean() < shut.air_c[summer].mean() - 1.0
    assert aired.outdoor_air_w.max() < 300.0
    assert np.all(aired.outdoor_air_m3_s >= 0.0)


def test_exterior_shade_drawn_by_rule_leaves_its_share_of_the_sun() -> None:
    described = box(window_m2=2.5)
    bare = run_year(house(described), greensboro())
    for surface in described["surfaces"][:4]:
        surface["windows"][0]["blind"] = {"side": "exterior", "solar_factor": 0.2, "sun_above_w_m2": 100}
    shaded = run_year(house(described), greensboro())
    summer = slice(4344, 5832)
    assert (
        shaded.zones[0].transmitted_sun_w[summer].sum() < 0.5 * bare.zones[0].transmitted_sun_w[summer].sum()
    )
    assert shaded.zones[0].transmitted_sun_w[:744].sum() == pytest.approx(
        bare.zones[0].transmitted_sun_w[:744].sum(), rel=0.05
    )


def test_trees_shade_with_their_season_and_hills_always() -> None:
    leaves = (0.6, 0.6, 0.6, 0.5, 0.2, 0.2, 0.2, 0.2, 0.2, 0.3, 0.6, 0.6)
    site = Site(
        trees=(Trees(from_azimuth_deg=90, to_azimuth_deg=270, altitude_deg=89, monthly_transmittance=leaves),)
    )
    left = skyline(site, 90.0, 180.0, greensboro())
    noon_january, noon_july = 10 * 24 + 12, 195 * 24 + 12
    assert np.asarray(left.beam)[[noon_january, noon_july]] == pytest.approx([0.6, 0.2])
    hill = Site(
        horizon=(HorizonPoint(azimuth_deg=0, altitude_deg=30), HorizonPoint(azimuth_deg=180, altitude_deg=30))
    )
    # A flat plane loses sin^2 of the horizon's height of an even sky
    flat = skyline(hill, 0.0, 180.0, greensboro())
    assert np.asarray(flat.sky)[0] == pytest.approx(1 - np.sin(np.radians(30)) ** 2, abs=0.01)


def test_slab_on_ground_loses_its_iso_13370_heat_over_the_year() -> None:
    # ISO 13370:2017 hourly form: the mean of the year is A U (inside - outside); films of the standard
    described = box(layers=(WOOL, BRICK, BOARD))
    floor = described["surfaces"][5]
    floor["boundary"] = {
        "kind": "slab_on_ground", "exposed_perimeter_m": 22.0, "floor_area_m2": 30.0, "wall_thickness_m": 0.3
    }  # fmt: skip
    temp = 10.0 - 9.0 * np.cos(np.arange(8760) * 2 * np.pi / 8760)
    weather = plain_year("seasons", temp_c=temp)
    year = run_year(house(described), weather)
    face = year.surfaces[5].inner_face_c
    layers = 0.1 / 0.04 + 0.2 / 0.77 + 0.0125 / 0.21
    b, d_f = 30.0 / 11.0, 0.3 + 2.0 * (0.17 + layers + 0.04)
    u = 2 * 2.0 / (np.pi * b + d_f) * np.log(np.pi * b / d_f + 1) if d_f < b else 2.0 / (0.457 * b + d_f)
    core = 1 / u - 0.17
    through = (face - 10.0).mean() / core * 30.0
    expected = (face + through / 30.0 * 0.17 - 10.0).mean() * u * 30.0
    assert through == pytest.approx(expected, rel=0.02)
    assert abs(year.balance.residual_share) < 1e-9


def test_schedules_spread_days_months_and_gaps() -> None:
    day = Schedule(hours=tuple([None] * 8 + [1.0] * 16))
    assert hourly(day, off=-1.0)[24:34].tolist() == [-1.0] * 8 + [1.0, 1.0]
    months = Schedule(hours=(), by_month=tuple(tuple([float(m)] * 24) for m in range(12)))
    assert hourly(months, off=0.0)[[0, 743, 744, 8759]].tolist() == [0.0, 0.0, 1.0, 11.0]
    assert hourly(None, off=5.0)[0] == 5.0
