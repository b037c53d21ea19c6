"""What each newer kind of measure does to a small house, and what it is worth over a year."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from retrofit_desk.estimate.case import DoesNotFit, HouseCase, changed
from retrofit_desk.estimate.line_up import Chosen, LineUp, obstacle
from retrofit_desk.estimate.measure_carbon import material_carbon
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.estimate.measures.base import MaterialUse
from retrofit_desk.estimate.measures.heating_controls import HeatingControls
from retrofit_desk.estimate.scenario import EnergyYear
from retrofit_desk.physics.elements import Schedule
from retrofit_desk.physics.plant_delivery import RadiantFloors, WaterRadiators
from retrofit_desk.records.tables import Tables
from tests.estimate.builders import a_case
from tests.estimate.line_ups import a_simulator, chosen, terms
from tests.estimate.measure_inputs import INPUTS
from tests.estimate.test_measures import done, layers_of


@cache
def year_before() -> EnergyYear:
    return a_simulator().year(a_case())


def year_with(*keys: str) -> EnergyYear:
    case = a_case()
    for key in keys:
        case = done(key, case)
    return a_simulator().year(case)


def beside(key: str, **changes: object) -> str:
    kind = kinds()[key]
    return " ".join(kind.beside(a_case(), kind.inputs.model_validate(INPUTS[key] | changes)))


# heat pumps


def test_air_to_water_serves_coils_with_a_backup_and_takes_old_machines_out() -> None:
    plant = done("air_to_water_heat_pump").plant
    name = "air-to-water heat pump"
    assert [one.name for one in plant.machines] == [name, f"{name}, backup"]
    assert plant.heating[0].backup == "air-to-water heat pump, backup"
    assert plant.cooling[0].delivery.kind == "water_emitters"
    year = a_simulator().year(done("air_to_water_heat_pump"))
    ((_, heats), (_, cools)) = year.seasonal_cop
    assert 2.0 < heats < 4.6
    assert 1.5 < cools < 6.0
    assert year.unmet_kwh < 0.02 * sum(one.year_kwh for one in year_before().uses if one.end_use == "heating")


def test_radiators_that_are_there_stay_and_get_the_coolest_water_that_does() -> None:
    old = done("air_to_water_heat_pump").plant.heating[0].delivery
    assert isinstance(old, WaterRadiators)
    emitters = (changed(old.emitters[0], rated_w=12_000.0, rated_difference_k=50.0, exponent=1.3),)
    furnace = a_case().plant.heating[0]
    reset = {"cold_outdoor_c": -10, "supply_when_cold_c": 75, "warm_outdoor_c": 15, "supply_when_warm_c": 60}
    delivery = WaterRadiators.model_validate(
        dict(changed(old, emitters=emitters, removes_moisture=False)) | {"reset": reset}
    )
    case = a_case().with_plant(heating=(changed(furnace, delivery=delivery),))
    plant = done("air_to_water_heat_pump", case, coils=[]).plant
    assert plant.heating[0].machine == "air-to-water heat pump"
    kept = plant.heating[0].delivery
    assert isinstance(kept, WaterRadiators)
    assert kept.emitters == emitters
    assert kept.reset is None
    assert plant.cooling == a_case().plant.cooling
    assert "old cooling" in {one.name for one in plant.machines}


def test_water_needs_something_to_go_through() -> None:
    with pytest.raises(DoesNotFit, match="no radiators or floors with water"):
        done("water_source_heat_pump", coils=[])


def test_well_water_cools_without_the_compressor_where_it_is_cold_enough() -> None:
    free, without = (
        a_simulator().year(done("water_source_heat_pump", free_cooling_capacity_w=size))
        for size in (5000.0, 0.0)
    )

    def cooling(year: EnergyYear) -> float:
        return sum(use.year_kwh for use in year.uses if use.end_use == "cooling")

    assert cooling(free) < 0.6 * cooling(without)
    warm = a_simulator().year(done("water_source_heat_pump", entering_water_c=30.0))
    hot_well = a_simulator().year(
        done("water_source_heat_pump", entering_water_c=30.0, free_cooling_capacity_w=0.0)
    )
    assert cooling(warm) == pytest.approx(cooling(hot_well))


def test_every_source_of_water_carries_floors() -> None:
    for source in ("air_to_water_heat_pump", "water_source_heat_pump", "ground_source_heat_pump"):
        plant = done("radiant_floor", done(source)).plant
        assert isinstance(plant.heating[0].delivery, RadiantFloors)
        assert plant.heating[0].machine.replace(" ", "_").replace("-", "_") == source


def test_ducts_of_the_house_carry_the_new_heat_and_the_strip_heat_helps() -> None:
    plant = done("air_source_heat_pump", delivery="existing ducts", backup_w=5000.0).plant
    assert plant.heating[0].delivery == a_case().plant.heating[0].delivery
    assert plant.heating[0].backup == "air-source heat pump, backup"


# ASHP-2: 10 CFR 430 Subpart B App. M1 4.2.1, region IV, worked by hand: the unit of HSPF2 7.2469 has
# 36,000 and 21,500 Btu/h at 47 and 17 degF and 36,000 Btu/h of cooling, and COPs of 3.5765 and 2.4235
def test_a_machine_known_by_hspf2_alone_gets_about_the_cops_of_the_one_rated_so() -> None:
    btu = 0.29307107
    facts: dict[str, Any] = {
        "cop_at_8c": None,
        "cop_at_minus_8c": None,
        "hspf2": 7.2469,
        "capacity_at_8c_w": 36_000 * btu,
        "capacity_at_minus_8c_w": 21_500 * btu,
        "cooling_capacity_w": 36_000 * btu,
    }
    machine = done("air_source_heat_pump", **facts).plant.machines[0]
    points = machine.heating.points  # type: ignore[union-attr]
    cops = [point.capacity_w / point.power_w for point in points]
    # the stated ratio of the two powers, 0.90, is not that of the unit (0.88): 3 % either way
    assert cops == pytest.approx([2.4235, 3.5765], rel=0.03)
    assert "Worked back from HSPF2" in beside("air_source_heat_pump", **facts)


def test_seer2_alone_gives_a_cooling_point_that_earns_it_again() -> None:
    from retrofit_desk.estimate.seasonal_ratings import _cooling_bins, cooling_point
    from retrofit_desk.physics.heat_pump_ratings import W_PER_BTU_H, seer2

    point = cooling_point(15.2, 9000.0)
    capacity = point.capacity_w / W_PER_BTU_H
    again = seer2(1.06 * capacity, 0.87 * point.power_w, capacity, point.power_w, _cooling_bins())
    assert again == pytest.approx(15.2)
    assert 3.0 < point.capacity_w / point.power_w < 15.2 / 3.413  # EER2 lies under SEER2


def test_a_heat_pump_without_any_rating_cannot_be_worked_out() -> None:
    facts = INPUTS["air_source_heat_pump"] | {"cop_at_8c": None, "cop_at_minus_8c": None}
    with pytest.raises(ValidationError, match="needs the heating COPs, or HSPF2"):
        kinds()["air_source_heat_pump"].inputs.model_validate(facts)


# needs and excludes


def as_chosen(key: str, name: str) -> Chosen:
    kind = kinds()[key]
    return Chosen(name, name, kind, kind.inputs.model_validate(INPUTS[key]))


def test_two_water_heaters_exclude_each_other_whatever_their_kind() -> None:
    source = as_chosen("ground_source_heat_pump", "ground")
    for first, second in (
        ("heat_pump_water_heater", "heat_pump_water_heater"),
        ("heat_pump_water_heater", "indirect_water_tank"),
    ):
        pair = (source, as_chosen(first, "one"), as_chosen(second, "another"))
        assert "cannot stand beside" in obstacle(pair)
    assert not obstacle((source, as_chosen("indirect_water_tank", "tank")))
    assert "needs another measure first" in obstacle((as_chosen("indirect_water_tank", "tank"),))


def test_one_heat_pump_takes_the_house_over_and_only_once() -> None:
    pumps = sorted(key for key in kinds() if key.endswith("heat_pump"))
    assert len(pumps) == 4
    for one in pumps:
        for other in pumps:
            assert "cannot stand beside" in obstacle((as_chosen(one, "one"), as_chosen(other, "other")))


def test_the_tank_on_the_heat_pump_makes_the_hot_water() -> None:
    before, after = year_before(), year_with("ground_source_heat_pump", "indirect_water_tank")
    water = {use.fuel: use.year_kwh for use in after.uses if use.end_use == "hot water"}
    old = sum(use.year_kwh for use in before.uses if use.end_use == "hot water")
    assert set(water) == {"electricity"}
    assert water["electricity"] < 0.5 * old


def test_oil_ends_only_with_its_last_burner() -> None:
    furnace = changed(a_case().plant.machines[0], fuel="oil")
    case = a_case().with_plant(machines=(furnace, a_case().plant.machines[1]))
    both = (*chosen("air_source_heat_pump"), *chosen("oil_account_closed"))
    line_up = LineUp(case, both, a_simulator(), terms())
    assert not line_up.is_possible(0b10)
    assert line_up.is_possible(0b11)


# fabric and materials


def test_wood_outside_takes_the_place_of_the_old_siding_and_stores_carbon() -> None:
    case = done("wood_cladding", solar_absorptance=0.5)
    assert layers_of(case.house, "slope") == ["cedar shingle", "air space", "board"]
    assert layers_of(case.house, "east wall") == ["siding", "studs", "board"]
    assert next(one for one in case.house.surfaces if one.name == "slope").outside_absorptance == 0.5
    kind = kinds()["wood_cladding"]
    (use,) = kind.materials(a_case(), kind.inputs.model_validate(INPUTS["wood_cladding"]))
    assert use.mass_kg == pytest.approx((14.0 + 34.0) * 0.018 * 370.0)
    assert use.volume_m3 == pytest.approx(48.0 * 0.018)
    # EN 16449:2014: 44/12 of half the dry mass, at 12 % moisture
    stored = material_carbon((use,), Tables()).stored_kg
    assert stored == pytest.approx(44 / 12 * 0.5 * use.mass_kg / 1.12)


PUT_NOTHING_IN = {"gas_account_closed", "oil_account_closed", "propane_account_closed"}


@pytest.mark.parametrize("key", sorted(set(INPUTS) - PUT_NOTHING_IN))
def test_what_is_put_in_has_its_carbon_or_is_unknown_but_never_nothing(key: str) -> None:
    kind = kinds()[key]
    found = material_carbon(kind.materials(a_case(), kind.inputs.model_validate(INPUTS[key])), Tables())
    assert found.sources or found.unknown


def test_reclaimed_boards_bring_no_making_along_but_store_what_they_hold() -> None:
    kind = kinds()["timber_floor"]
    (old,), (new,) = (
        kind.materials(a_case(), kind.inputs.model_validate(INPUTS["timber_floor"] | {"origin": origin}))
        for origin in ("reclaimed", "new")
    )
    assert (old.amount, old.mass_kg, old.volume_m3) == (0.0, new.mass_kg, new.volume_m3)
    assert layers_of(done("timber_floor").house, "floor") == ["board", "hardwood"]
    assert "no carbon of their first making" in beside("timber_floor")


def test_no_wall_is_taken_apart_altogether() -> None:
    with pytest.raises(DoesNotFit, match="has only 3 layers"):
        done("wood_cladding", layers_taken_off=3)


@pytest.mark.parametrize("key", ["continuous_insulation", "insulation_cavity"])
def test_more_insulation_never_raises_heating(key: str) -> None:
    depth = "thickness_m" if key == "continuous_insulation" else "depth_m"
    facts: list[dict[str, Any]] = [{depth: thick} for thick in (0.03, 0.09, 0.18)]
    years = [a_simulator().year(done(key, **one)) for one in facts]
    heating = [sum(use.year_kwh for use in year.uses if use.end_use == "heating") for year in years]
    before = sum(use.year_kwh for use in year_before().uses if use.end_use == "heating")
    assert before > heating[0] > heating[1] > heating[2] > 0


# sun, air, controls


def test_shades_and_overhangs_take_sun_away_in_summer() -> None:
    before = year_before()

    def cooling(year: EnergyYear) -> float:
        return sum(use.year_kwh for use in year.uses if use.end_use == "cooling")

    outside, inside = (
        a_simulator().year(done("window_shades", side=side, solar_factor=left))
        for side, left in (("exterior", 0.15), ("interior", 0.6))
    )
    assert cooling(outside) < cooling(inside) < cooling(before)
    assert cooling(year_with("overhangs")) < cooling(before)


def test_recovery_costs_less_heat_than_the_same_air_without_it() -> None:
    key = "mechanical_ventilation"
    years = [a_simulator().year(done(key, sensible_recovery=share)) for share in (0.0, 0.8)]
    plain, kept = (sum(use.year_kwh for use in year.uses if use.end_use == "heating") for year in years)
    assert kept < plain
    fans = [use.year_kwh for use in years[1].uses if use.end_use == "ventilation"]
    assert fans == [pytest.approx(30.0 * 8.76)]


def test_a_setback_saves_heat_but_a_heated_floor_is_held() -> None:
    heating = [
        sum(use.year_kwh for use in year.uses if use.end_use == "heating")
        for year in (year_before(), year_with("heating_controls"))
    ]
    assert heating[1] < heating[0]
    floors = done("heating_controls", done("radiant_floor", done("ground_source_heat_pump")))
    assert floors.house.zones[0].thermostat.heating_c == 20.0  # type: ignore[union-attr]
    controls = HeatingControls.model_validate(INPUTS["heating_controls"])
    told = kinds()["heating_controls"].beside
    assert told(floors, controls) == ("No setback where the floor heats, it is too slow: room.",)
    assert told(a_case(), controls) == ()
    set_back = done("heating_controls").house.zones[0].thermostat.heating_c  # type: ignore[union-attr]
    assert isinstance(set_back, Schedule)
    assert set_back.hours[3] == 17.0
    assert set_back.hours[12] == 20.0
    with pytest.raises(DoesNotFit, match="temperature and its hours"):
        done("heating_controls", setback_hours=[])


def test_outdoor_reset_warms_the_water_and_costs_the_heat_pump_its_cop() -> None:
    line = {"cold_outdoor_c": -10, "supply_when_cold_c": 55, "warm_outdoor_c": 15, "supply_when_warm_c": 45}
    best = a_simulator().year(done("air_to_water_heat_pump"))
    fixed = a_simulator().year(done("heating_controls", done("air_to_water_heat_pump"), outdoor_reset=line))
    assert (
        dict(fixed.seasonal_cop)["air-to-water heat pump"] < dict(best.seasonal_cop)["air-to-water heat pump"]
    )


# floors and modules


# RAD-1: EN 1264-2 (from memory), 9 K give 100 and 15 K 175 W/m2, exact 100.007 and 175.414
@pytest.mark.parametrize(
    ("place", "wood", "most"),
    [("living area", False, 100.007), ("bathroom", False, 100.007), ("edge of the room", False, 175.414)],
)
def test_a_floor_gives_no_more_than_its_place_allows(place: str, wood: bool, most: float) -> None:
    facts = INPUTS["radiant_floor"]["circuits"][0] | {
        "place": place,
        "wood_finish": wood,
        "covering_m2k_w": 0.02,
    }
    case = done("radiant_floor", done("air_to_water_heat_pump"), circuits=[facts])
    assert case.house.zones[0].heating.capacity_w == pytest.approx(26.0 * most, rel=1e-5)
    floors = case.plant.heating[0].delivery
    assert isinstance(floors, RadiantFloors)
    assert floors.circuits[0].bathroom == (place == "bathroom")
    assert floors.circuits[0].edge_zone == (place == "edge of the room")
    under_wood = done(
        "radiant_floor", done("air_to_water_heat_pump"), circuits=[facts | {"wood_finish": True}]
    )
    limit = under_wood.house.zones[0].heating.capacity_w
    assert limit is not None
    assert limit < 26.0 * most


def test_planes_of_other_age_shade_and_inverter_stand_apart() -> None:
    def made(**changes: object) -> float:
        plane = INPUTS["photovoltaics"]["arrays"][0] | changes
        case = done("photovoltaics", arrays=[plane], inverter_ac_limit_w=9000.0)
        return a_simulator().year(case).solar_kwh

    whole = made()
    # 0.5 % of the power is lost each year; what the inverter takes for itself (0.6 %) does not fall with it
    assert made(age_years=20.0) == pytest.approx(whole * 0.995**20, rel=0.006)
    # less sun also means cooler cells: a little more than half is left
    assert 0.5 * whole < made(monthly_shading=[0.5] * 12) < 0.56 * whole
    assert made(own_inverter_w=1500.0) < 0.85 * whole
    plane = INPUTS["photovoltaics"]["arrays"][0]
    both = done("photovoltaics", arrays=[plane, plane | {"name": "old", "own_inverter_w": 1500.0}])
    assert [one.name for one in both.plant.inverters] == ["solar inverter", "inverter, old"]


# car and load


# APPL-3: 12,000 miles at 30 kWh/100 miles are 3,600 kWh a year
def test_the_car_draws_its_miles_and_the_gasoline_stands_outside() -> None:
    car = sum(use.year_kwh for use in year_with("electric_car").uses if use.end_use == "car")
    assert car == pytest.approx(3600.0, rel=5e-4)
    assert {use.fuel for use in year_with("electric_car").uses} == {use.fuel for use in year_before().uses}
    words = beside("electric_car")
    # 12,000 miles at 30 miles a gallon; 40 CFR 98 table C-1: 8.78 kg CO2 a gallon (from memory)
    assert "Outside the house's bills" in words
    assert "400 gal" in words
    assert "3,51" in words
    assert "not stated" in beside("electric_car", old_car_km_per_l=None)


def test_load_management_keeps_the_house_under_its_limit_and_the_car_full() -> None:
    free, held = year_with("electric_car"), year_with("electric_car", "load_management")
    assert free.peak_drawn_w > 7200.0
    limited = a_simulator().year(done("load_management", done("electric_car"), house_limit_w=5000.0))
    assert limited.peak_drawn_w == pytest.approx(max(5000.0, year_before().peak_drawn_w), rel=1e-9)
    for year in (held, limited):
        assert year.fuel_kwh("electricity") == pytest.approx(free.fuel_kwh("electricity"))


# the owner's own figures


def own(case: HouseCase | None = None, **changes: object) -> LineUp:
    kind = kinds()["own_figures"]
    one = Chosen("own", "Own", kind, kind.inputs.model_validate(INPUTS["own_figures"] | changes))
    return LineUp(case or a_case(), (one,), a_simulator(), terms())


def test_own_figures_stand_in_the_sums_like_the_others() -> None:
    gain = dict(zip(_figures(), own().in_its_place(lambda share, doing: None)[0], strict=True))
    assert gain["drawn_kwh"] == pytest.approx(-365.0)
    assert gain["gas_kwh"] == pytest.approx(-380.0)
    assert gain["own_cents"] == -12_000.0
    assert gain["fuel_bill_cents"] < 0
    assert gain["power_bill_cents"] < 0
    together = (*chosen("air_sealing"), *own().chosen)
    parts = LineUp(a_case(), together, a_simulator(), terms()).fair_parts(lambda share, doing: None)
    assert parts[1, _figures().index("drawn_kwh")] == pytest.approx(-365.0)
    assert "a neighbor's bills" in beside("own_figures")


def test_no_more_is_saved_than_is_used_and_it_is_said() -> None:
    year = own(electricity_saved_kwh=90_000.0).year(1)
    assert year.energy.drawn_kwh == pytest.approx(0.0, abs=1e-6)
    assert any("more electricity than a month uses" in note for note in year.energy.notes)


def test_added_use_is_added() -> None:
    year = own(electricity_saved_kwh=-730.0, fuel_saved_by_month_kwh=[]).year(1)
    assert year.energy.drawn_kwh == pytest.approx(year_before().drawn_kwh + 730.0)
    assert np.all(year.energy.drawn_w >= year_before().drawn_w)


def test_year_and_months_are_not_told_twice() -> None:
    facts = INPUTS["own_figures"] | {"fuel_saved_kwh": 10.0}
    with pytest.raises(ValidationError, match="not both"):
        kinds()["own_figures"].inputs.model_validate(facts)


def _figures() -> tuple[str, ...]:
    from retrofit_desk.estimate.line_up import FIGURES

    return FIGURES


def test_wood_gives_back_at_its_end_what_it_stored_and_nothing_is_netted() -> None:
    # CAR-9: EN 15804+A2: +956.18 at the end against -956.18 at the start; the fossil sum does not know of it
    studs = MaterialUse("studs", "softwood", 584.1, mass_kg=584.1, volume_m3=1.29808)
    found = material_carbon((studs,), Tables())
    assert found.stored_kg == pytest.approx(956.18, rel=1e-4)
    assert found.store.balance_kg == 0.0
    assert found.end is not None
    assert found.end.given_back_kg == found.stored_kg
    assert found.end.kg == pytest.approx(584.1 * 0.022)  # EPA WARM 15 (from memory), table of ends
    assert found.end.low_kg < found.end.kg < found.end.high_kg
    bare = material_carbon((replace(studs, volume_m3=0.0),), Tables())
    assert bare.upfront_kg == found.upfront_kg


def test_a_material_whose_end_nobody_tells_is_unknown_and_not_zero() -> None:
    machine = MaterialUse("machine", "heat_pump_machine", 120.0, mass_kg=120.0)
    board = MaterialUse("board", "gypsum_board", 100.0, mass_kg=100.0)
    alone = material_carbon((machine,), Tables()).end
    assert alone is not None
    assert (alone.is_told, alone.unknown) == (False, ("machine",))
    assert material_carbon((), Tables()).end is None
    both = material_carbon((machine, board), Tables()).end
    assert both is not None
    assert both.unknown == ("machine",)
    assert both.kg == pytest.approx(2.2)
