"""Sizes before buying: the design day against a hand sum, verdicts that cannot turn the wrong way."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.estimate.scenario import Simulator
from retrofit_desk.estimate.sizing import Basis, Size, Verdict, has_sizes, sizes
from retrofit_desk.estimate.sizing.design import design_heat_w, house_need
from retrofit_desk.estimate.sizing.second_opinion import second_opinion
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.weather import HOURS
from retrofit_desk.values.quantity import Dimension
from tests.estimate.builders import a_case
from tests.estimate.line_ups import terms
from tests.estimate.measure_inputs import INPUTS
from tests.physics.houses import AIR_ONLY_FILMS, BOARD, BRICK, WOOL, box, house
from tests.physics.weathers import plain_year

OUTSIDE_C = -10.0
SWING = np.cos(2.0 * np.pi * (np.arange(HOURS) / HOURS - 0.04))
WEATHER = plain_year(temp_c=10.0 - 12.0 * SWING, dew_point_c=2.0 - 12.0 * SWING)


def basis(kind: str, case: HouseCase | None = None, **changes: Any) -> tuple[Any, Basis]:
    """A measure on the small house, first and only one of its line-up."""
    found, chosen = case or a_case(), kinds()[kind]
    inputs = chosen.inputs.model_validate(INPUTS[kind] | changes)
    after = chosen.apply(found, inputs)
    simulator = Simulator(WEATHER)
    return inputs, Basis(
        found=found,
        ahead=found,
        after=after,
        whole=after,
        weather=WEATHER,
        loads=simulator.loads,
        plant_year=lambda one: run_plant(one.plant, one.use, simulator.loads(one), WEATHER),
        terms=terms(),
        heating_c=OUTSIDE_C,
        heated_area_m2=153.6,
        bedrooms=3,
        panel_a=(150.0, 200.0),
    )


def lines(kind: str, **changes: Any) -> tuple[Size, ...]:
    inputs, on = basis(kind, **changes)
    return sizes(kind, inputs, on)


def line(found: tuple[Size, ...], start: str) -> Size:
    return next(one for one in found if one.subject.startswith(start))


def test_the_design_heat_is_ua_times_the_step() -> None:
    # EN 12831-1:2017 for the balance; U by ISO 6946 with the films stated in the description. Tolerance: what
    # a brick wall still gives after two weeks.
    described = house(box(films=AIR_ONLY_FILMS, zone={"leakage": {"air_changes_per_h": 0.0}}))
    layers: tuple[dict[str, Any], ...] = (BRICK, WOOL, BOARD)
    resistance = 1 / 25 + sum(one["thickness_m"] / one["conductivity_w_mk"] for one in layers) + 0.13
    area_m2 = 2 * (6 + 5) * 2.5 + 2 * 30
    (heat_w,) = design_heat_w(described, WEATHER, OUTSIDE_C)
    assert heat_w == pytest.approx(area_m2 / resistance * (20.0 - OUTSIDE_C), rel=2e-3)


def test_gains_and_sun_take_nothing_off_the_design_heat() -> None:
    bare = house(box(window_m2=4.0, zone={"leakage": {"air_changes_per_h": 0.5}}))
    warm = house(
        box(window_m2=4.0, zone={"leakage": {"air_changes_per_h": 0.5}, "gains": [{"power_w": 900.0}]})
    )
    sunny = dataclasses.replace(WEATHER, dni_w_m2=np.full(HOURS, 400.0), ghi_w_m2=np.full(HOURS, 300.0))
    assert design_heat_w(bare, WEATHER, OUTSIDE_C) == pytest.approx(
        design_heat_w(warm, sunny, OUTSIDE_C), rel=2e-3
    )


def test_colder_days_and_later_measures_change_the_need_the_right_way() -> None:
    _, on = basis("continuous_insulation")
    cold = design_heat_w(on.ahead.house, WEATHER, -25.0).sum()
    assert cold > on.need_ahead.heat_w > 0
    after = house_need(on.after.house, WEATHER, OUTSIDE_C, on.loads(on.after))
    assert after.heat_w < on.need_ahead.heat_w


@pytest.mark.parametrize("kind", [kind for kind in INPUTS if has_sizes(kind, kinds()[kind].inputs)])
def test_every_kind_with_sizes_gives_lines_with_a_rule(kind: str) -> None:
    inputs, on = basis(kind, _with_water(kind))
    found = sizes(kind, inputs, on)
    assert found
    for one in found:
        assert one.rule
        has_number = one.needed is not None
        assert has_number == (one.verdict is not Verdict.UNKNOWN)
        assert (one.has is None) == (one.verdict in (Verdict.TO_KNOW, Verdict.UNKNOWN))


def _with_water(kind: str) -> HouseCase:
    """The small house, with what makes water where the kind needs that."""
    case = a_case()
    if kind in ("radiant_floor", "thermal_storage"):
        source = kinds()["ground_source_heat_pump"]
        case = source.apply(case, source.inputs.model_validate(INPUTS["ground_source_heat_pump"]))
    return case


def test_a_larger_heat_pump_is_never_judged_smaller() -> None:
    order = [Verdict.SHORT, Verdict.ENOUGH, Verdict.MUCH]
    point = INPUTS["ground_source_heat_pump"]["heating_points"][0]
    found = []
    for scale in (0.1, 0.3, 0.6, 1.0, 3.0, 9.0):
        larger = point | {"capacity_w": point["capacity_w"] * scale, "power_w": point["power_w"] * scale}
        heat = line(lines("ground_source_heat_pump", heating_points=[larger]), "Heat on the design day")
        found.append(order.index(heat.verdict))
    assert found == sorted(found)
    assert found[0] == 0
    assert found[-1] == 2


def test_fewer_bores_carry_less() -> None:
    subject = "Bores, all together, for the heat"
    many = line(lines("ground_source_heat_pump", bores=3), subject)
    few = line(lines("ground_source_heat_pump", bores=1, bore_depth_m=20.0), subject)
    assert many.has == pytest.approx(180.0)
    assert few.has == pytest.approx(20.0)
    assert few.verdict is Verdict.SHORT


def test_two_methods_of_bore_length_stand_beside_each_other() -> None:
    # Ahmadfard & Bernier 2019 (second-hand): methods lie within 6 % of each other in one test case
    found = lines("ground_source_heat_pump", bores=3)
    pulses = line(found, "Bores, all together, for the heat")
    cylinder = line(found, "Bores, all together, for the heat, by a second")
    assert cylinder.verdict is Verdict.TO_KNOW
    assert cylinder.needed == pytest.approx(pulses.needed, rel=0.06)
    assert cylinder.needed != pulses.needed


def test_a_field_that_no_correlation_covers_says_so() -> None:
    crowd = line(lines("ground_source_heat_pump", bores=20, bore_depth_m=60.0), "Bores, all together, for")
    assert crowd.verdict is Verdict.UNKNOWN
    assert "shorter than" in crowd.says


def test_the_air_of_a_tight_house_is_that_of_62_2() -> None:
    # VENT: ASHRAE 62.2-2016, 4.1 (from memory): 0.03 cfm/ft2 and 7.5 cfm for each of bedrooms + 1, here
    # 1,653 ft2 and three bedrooms: 79.6 cfm
    whole = line(lines("air_sealing", flow_50pa_m3_s=0.02), "Outdoor air by fans")
    assert whole.needed is not None
    assert whole.needed / (0.3048**3 / 60) == pytest.approx(0.03 * 153.6 / 0.3048**2 + 7.5 * 4, abs=0.05)
    assert whole.verdict is Verdict.SHORT


def test_insulation_outside_the_studs_warms_the_sheathing_and_batts_cool_it() -> None:
    outside = line(lines("continuous_insulation"), "Share of its R outside the cavity")
    inside = line(lines("insulation_batts"), "Share of its R outside the cavity")
    assert outside.has is not None
    assert inside.has is not None
    assert outside.has > inside.has
    assert outside.needed == inside.needed


def test_heavy_fibers_delay_the_heat_of_the_day() -> None:
    delay = line(lines("continuous_insulation"), "Hours until the day's heat comes through")
    assert delay.dimension is Dimension.TIME
    assert delay.needed is not None
    assert delay.has is not None
    assert delay.has > delay.needed > 0


def test_the_solar_breaker_is_held_against_the_120_percent_rule() -> None:
    # 705.12: 200 A bus x 1.2 - 150 A main = 90 A
    breaker = line(lines("photovoltaics"), "Breaker for all inverters")
    assert breaker.needed == pytest.approx(90.0)
    limit = INPUTS["photovoltaics"]["inverter_ac_limit_w"]
    assert breaker.has == pytest.approx(1.25 * limit / 240.0)


def test_the_hourly_model_agrees_with_degree_days_where_both_must() -> None:
    # ASHRAE Fundamentals ch. 19 (from memory): a house with no sun and no stored heat to speak of follows
    # 24 UA HDD. Tolerance: daily mean against hourly, and leakage that changes with the weather.
    year = line(lines("air_source_heat_pump"), "Heat of a year")
    assert year.verdict is Verdict.COMPARED
    assert year.needed == pytest.approx(year.has, rel=0.15)


def test_an_overhang_takes_the_high_sun_and_leaves_the_low_one() -> None:
    # Noon of December 21 at 36.1 deg north: the sun stands 90 - 36.1 - 23.45 = 30.4 deg high, and 0.6 m of
    # overhang 0.2 m above the head shades 0.6 x tan 30.4 - 0.2 = 0.15 m of 1.2 m of glass: 87 % stays lit.
    found = lines("glazing_and_shading")
    december = line(found, "Share of the glass in the sun at noon of December 21")
    june = line(found, "Share of the glass in the sun at noon of June 21")
    assert december.needed == june.needed == 1.0
    assert december.has == pytest.approx(1.0 - (0.6 * np.tan(np.radians(30.45)) - 0.2) / 1.2, abs=0.01)
    assert june.has is not None
    assert june.has < 0.05


def test_better_glass_is_warmer_against_dew() -> None:
    good = line(lines("glazing_and_shading"), "Inner face of the glass")
    poor = line(lines("glazing_and_shading", u_value_w_m2k=5.0), "Inner face of the glass")
    assert good.has is not None
    assert poor.has is not None
    assert good.has > poor.has
    assert poor.verdict is Verdict.SHORT


def test_the_break_even_cop_is_the_ratio_of_the_prices_and_of_the_carbon() -> None:
    # FUEL-6 and FUEL-5: a kilowatt-hour of heat costs price / efficiency by gas, price / COP by power
    _, on = basis("air_source_heat_pump")
    costs = line(lines("air_source_heat_pump"), "COP of the season above which its heat costs")
    emits = line(lines("air_source_heat_pump"), "COP of the season above which its heat emits")
    burned_kwh = on.plant_year(on.ahead).kwh("gas", "heating")
    rooms_kwh = float(on.loads(on.ahead).heating_w.sum()) / 1000.0
    by_gas = rooms_kwh / burned_kwh
    assert costs.needed == pytest.approx(0.14 / (1.20 / 29.3071 / by_gas), rel=0.02)
    assert emits.needed == pytest.approx(0.3 / (0.18 / by_gas), rel=0.02)
    year = on.plant_year(on.after)
    by_power = year.kwh("electricity", "heating") + year.kwh("electricity", "backup heating")
    assert costs.has == emits.has == pytest.approx(rooms_kwh / by_power, rel=0.02)
    assert costs.verdict is (Verdict.ENOUGH if costs.has >= costs.needed else Verdict.SHORT)


def test_a_machine_that_leaves_the_burner_in_service_has_no_break_even() -> None:
    assert not [one for one in lines("heat_pump_water_heater") if one.subject.startswith("COP of the season")]


def test_the_us_form_stands_beside_the_hourly_model() -> None:
    """ASHRAE Fundamentals ch. 17 (from memory) expects a fifth to a third between the two."""
    told = line(lines("air_source_heat_pump"), "Heat on the design day, by the US")
    assert told.verdict is Verdict.COMPARED
    assert told.needed is not None
    assert told.has is not None
    assert 0.7 < told.needed / told.has < 1.35


def test_cold_by_the_us_form_is_its_factors_by_hand() -> None:
    """LOAD-9 factors: sunlit walls offset 14.8 °F, the roof 68.9 a - 12.6, less .36 of the daily range."""
    hours = np.arange(HOURS) % 24
    hot = plain_year(temp_c=30.0 + 5.0 * np.cos((hours - 15) * np.pi / 12))
    cooled = {"leakage": {"air_changes_per_h": 0.0}, "thermostat": {"heating_c": 20.0, "cooling_c": 25.0}}
    described = house(box(zone=cooled))
    _, on = basis("air_source_heat_pump")
    ahead = on.ahead.with_house(**dict(described))
    on = dataclasses.replace(on, ahead=ahead, weather=hot, loads=Simulator(hot).loads)
    told = line(second_opinion(on), "Cold in the design hour without moisture")
    layers = 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    wall, roof, floor = (0.1761102 / (layers + films) for films in (0.17, 0.14, 0.21))
    dt, daily = 10.0 * 1.8, 10.0 * 1.8
    ft2 = 10.76391
    opaque = 55.0 * ft2 * wall * (dt + 14.8 - 0.36 * daily)
    opaque += 30.0 * ft2 * roof * (dt + 68.9 * 0.6 - 12.6 - 0.36 * daily)
    opaque += 30.0 * ft2 * floor * (dt - 0.06 * daily)
    gains = 464.0 + 0.7 * 153.6 * ft2 + 75.0 * on.ahead.use.occupants
    assert told.needed == pytest.approx((opaque + gains) * 0.29307107, rel=2e-3)


def test_heat_by_the_us_form_is_u_times_area_and_air_by_hand() -> None:
    """LOAD-8 form: elements and 1.10 Btu/h·cfm·°F of air; a box of 6 x 5 x 2.5 m, all faces outdoors."""
    described = house(box(zone={"leakage": {"air_changes_per_h": 0.5}, "thermostat": {"heating_c": 20.0}}))
    _, on = basis("air_source_heat_pump")
    on = dataclasses.replace(on, ahead=on.ahead.with_house(**dict(described)))
    told = line(second_opinion(on), "Heat on the design day, by the US")
    layers = 0.2 / 0.77 + 0.1 / 0.04 + 0.0125 / 0.21
    loss = 55.0 / (layers + 0.17) + 30.0 / (layers + 0.14) + 30.0 / (layers + 0.21)
    air_cfm = 0.5 * 75.0 / 3600.0 / 0.4719474e-3
    air_btu_h = 1.10 * air_cfm * 30.0 * 1.8
    assert told.needed == pytest.approx(loss * 30.0 + air_btu_h * 0.29307107, rel=1e-4)
