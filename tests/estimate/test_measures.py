import pytest
from pydantic import ValidationError

from retrofit_desk.estimate.case import DoesNotFit, HouseCase
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.physics.built_layers import built_u_w_m2k
from retrofit_desk.physics.description import House
from retrofit_desk.physics.elements import GlazingByLabel, Schedule
from retrofit_desk.physics.films import HeatFlow
from retrofit_desk.physics.layer_parts import FramedLayerPart, LayerPart, SolidLayerPart
from tests.estimate.builders import a_case
from tests.estimate.measure_inputs import INPUTS


def done(key: str, case: HouseCase | None = None, **changes: object) -> HouseCase:
    kind = kinds()[key]
    return kind.apply(case or a_case(), kind.inputs.model_validate(INPUTS[key] | changes))


def layers_of(house: House, surface_name: str) -> list[str]:
    surface = next(one for one in house.surfaces if one.name == surface_name)
    return [
        layer.name for layer in next(c for c in house.constructions if c.name == surface.construction).layers
    ]


NO_ENERGY = {"panel_work"}


def with_needs(key: str) -> HouseCase:
    case = a_case()
    for need in kinds()[key].needs:
        case = done(min(need), case)
    return case


def test_every_kind_has_facts_here_and_changes_the_house() -> None:
    assert set(INPUTS) == set(kinds())
    for key in set(kinds()) - NO_ENERGY:
        case = with_needs(key)
        assert done(key, case) != case, key


def test_panel_work_changes_no_energy_and_says_so() -> None:
    kind = kinds()["panel_work"]
    inputs = kind.inputs.model_validate(INPUTS["panel_work"])
    assert kind.apply(a_case(), inputs) == a_case()
    assert "circuits and money only" in kind.beside(a_case(), inputs)[0]


def test_sealing_goes_down_to_the_tested_flow_and_never_up() -> None:
    door = done("air_sealing").house.blower_door
    assert door is not None
    assert door.flow_at_50_pa_m3_s == 0.2
    still = done("air_sealing", flow_50pa_m3_s=0.9).house.blower_door
    assert still is not None
    assert still.flow_at_50_pa_m3_s == 0.3


def test_windows_never_stop_more_than_the_house_leaks() -> None:
    with pytest.raises(DoesNotFit, match="seal more than the house leaks"):
        done("casement_windows", flow_50pa_reduction_m3_s=0.29)


def test_an_empty_slope_is_filled_and_its_cellulose_weighed() -> None:
    case = done("insulation_cavity")
    layers = ["siding", "air space", "board", "cellulose blown between framing"]
    assert layers_of(case.house, "slope") == layers
    kind = kinds()["insulation_cavity"]
    (use,) = kind.materials(a_case(), kind.inputs.model_validate(INPUTS["insulation_cavity"]))
    assert use.mass_kg == pytest.approx(34.0 * 0.14 * 0.9 * 55.0)


def test_batts_fill_the_bays_of_one_wall_and_leave_the_framing_and_the_other_walls() -> None:
    case = done("insulation_batts")
    north = next(one for one in case.house.surfaces if one.name == "north wall")
    studs = next(c for c in case.house.constructions if c.name == north.construction).layers[1]
    assert isinstance(studs, FramedLayerPart)
    assert (studs.cavity.name, studs.framing.name) == ("wood fiber", "pine")
    assert layers_of(case.house, "east wall") == ["siding", "studs", "board"]
    assert next(one for one in case.house.surfaces if one.name == "east wall").construction == "wall"


def test_outside_insulation_lies_under_the_siding() -> None:
    assert layers_of(done("continuous_insulation").house, "south wall") == [
        "siding",
        "wood fiber",
        "studs",
        "board",
    ]


def test_new_glass_and_an_overhang_over_each_window() -> None:
    case = done("glazing_and_shading")
    south = next(one for one in case.house.surfaces if one.name == "south wall")
    (glass,) = case.house.glazings
    assert isinstance(glass, GlazingByLabel)
    assert glass.u_value_w_m2k == 1.3
    assert [(plate.height_m, plate.from_x_m, plate.to_x_m) for plate in south.plates] == [  # type: ignore[union-attr]
        pytest.approx((2.3, 0.8, 2.0)),
        pytest.approx((2.3, 3.5, 4.7)),
    ]
    again = done("glazing_and_shading", case, overhang_depth_m=0.9)
    plates = next(one for one in again.house.surfaces if one.name == "south wall").plates
    assert [plate.depth_m for plate in plates] == [0.9, 0.9]


def test_bought_glass_keeps_its_coating_and_the_course_of_its_sheet() -> None:
    course = [{"angle_deg": 0.0, "shgc": 0.5}, {"angle_deg": 60.0, "shgc": 0.4}]
    told = done("glazing_and_shading", coating="low-e", shgc_by_angle=course)
    left = done("casement_windows", told, coating="uncoated", shgc_by_angle=course)
    glass = {one.name: one for one in left.house.glazings}
    south = next(one for one in left.house.surfaces if one.name == "south wall")
    by_window = {window.name: glass[window.glazing] for window in south.windows}
    assert [by_window[name].coating for name in ("left", "right")] == ["uncoated", "low-e"]  # type: ignore[union-attr]
    # facts that nobody stated are not written, so that kept answers stay as they are
    plain = kinds()["glazing_and_shading"].inputs.model_validate(INPUTS["glazing_and_shading"])
    assert not {"coating", "shgc_by_angle"} & set(plain.model_dump())


def test_shades_follow_the_clock_all_year_or_in_its_months() -> None:
    def drawn(**clock: list[int]) -> Schedule:
        case = done("window_shades", None, **clock)
        south = next(one for one in case.house.surfaces if one.name == "south wall")
        blind = south.windows[0].blind
        assert blind is not None
        assert isinstance(blind.drawn, Schedule)
        return blind.drawn

    day = tuple(1.0 if 10 <= hour < 16 else 0.0 for hour in range(24))
    hours = list(range(10, 16))
    assert drawn(drawn_hours=hours).hours == day
    by_month = drawn(drawn_hours=hours, drawn_months=[6, 7, 8]).by_month
    assert [row == day for row in by_month] == [month in (6, 7, 8) for month in range(1, 13)]
    with pytest.raises(ValidationError, match="beside the hours"):
        done("window_shades", drawn_months=[6])


def test_a_shade_takes_the_place_of_one_on_its_own_side_only() -> None:
    outside = done("window_shades", solar_factor=0.2)
    both = done("window_shades", outside, side="interior", solar_factor=0.6)
    again = done("window_shades", both, side="interior", solar_factor=0.5)
    hung = [
        sorted((one.side, one.solar_factor) for one in case.house.surfaces[at].windows[0].blinds)
        for case in (outside, both, again)
        for at, surface in enumerate(case.house.surfaces)
        if surface.name == "south wall"
    ]
    assert hung == [
        [("exterior", 0.2)],
        [("exterior", 0.2), ("interior", 0.6)],
        [("exterior", 0.2), ("interior", 0.5)],
    ]


def test_hours_of_shades_are_hours() -> None:
    with pytest.raises(ValidationError, match="drawn_hours"):
        done("window_shades", drawn_hours=[24])


def test_a_casement_opens_nearly_all_of_its_sash_on_its_hinge() -> None:
    (opening,) = done("casement_windows").house.zones[0].openings
    assert (opening.hinge, opening.area_m2) == ("left", pytest.approx(1.2 * 1.2 * 0.9))


def test_the_heat_pump_takes_the_place_of_furnace_and_air_conditioner() -> None:
    plant = done("ground_source_heat_pump").plant
    assert [machine.name for machine in plant.machines] == ["ground-source heat pump"]
    assert plant.heating[0].delivery.kind == "water_emitters"


def test_floor_loops_take_over_the_heat_and_share_the_cold_and_the_store_joins_them() -> None:
    case = done("thermal_storage", done("radiant_floor", done("ground_source_heat_pump")))
    heating, cooling = case.plant.heating, case.plant.cooling
    assert [system.delivery.kind for system in heating] == ["radiant_floors"]
    assert [system.delivery.kind for system in cooling] == ["water_emitters", "radiant_floors"]
    assert [system.serves[0].share for system in cooling] == pytest.approx([0.7, 0.3])
    assert [system.store for system in case.plant.systems] == ["storage tank", None, None]
    room = case.house.zones[0]
    assert (room.heating.kind, room.cooling.kind) == ("floor", "ideal")
    # under a finish of 0.1 m2K/W the floor stays at 7 K over the room: EN 1264-2, 8.92 * 7^1.1 W/m2
    assert room.heating.capacity_w == pytest.approx(26.0 * 75.9, rel=1e-3)


def test_a_heated_floor_is_held_through_the_night() -> None:
    case = a_case()
    night = Schedule(hours=tuple(17.0 if hour < 6 else 20.5 for hour in range(24)))
    zone = case.house.zones[0]
    thermostat = zone.thermostat.model_copy(update={"heating_c": night})  # type: ignore[union-attr]
    set_back = case.with_house(zones=(zone.model_copy(update={"thermostat": thermostat}),))
    held = done("radiant_floor", done("ground_source_heat_pump", set_back)).house.zones[0].thermostat
    assert held is not None
    assert held.heating_c == 20.5


def test_a_measure_that_names_what_is_not_there_says_so() -> None:
    with pytest.raises(DoesNotFit, match="no surface called 'roof'"):
        done("continuous_insulation", surfaces=["roof"])
    with pytest.raises(DoesNotFit, match="has no layer called 'foam'"):
        done("continuous_insulation", outside_of_layer="foam")


def test_measures_may_be_applied_one_after_the_other_whatever_they_share() -> None:
    case = a_case()
    others = {"air_source_heat_pump", "water_source_heat_pump", "air_to_water_heat_pump"}
    together = set(kinds()) - others - {"indirect_water_tank"}
    for key in sorted(together, key=lambda key: kinds()[key].rank):
        case = done(key, case)
    assert case.closed_accounts == {"gas", "oil", "propane"}
    assert layers_of(case.house, "north wall") == ["cedar shingle", "wood fiber", "studs", "board"]


def test_heads_that_only_heat_leave_the_old_cooling_in_place() -> None:
    facts = {"cooling_capacity_w": None, "cooling_cop": None}
    plant = done("air_source_heat_pump", **facts).plant
    assert [machine.name for machine in plant.machines] == ["air-source heat pump", "old cooling"]
    assert plant.cooling == a_case().plant.cooling


def test_kinds_that_exclude_each_other_say_so_on_both_sides() -> None:
    for key, kind in kinds().items():
        for other in kind.excludes:
            assert key in kinds()[other].excludes


def test_coils_and_floors_share_one_exchanger_and_its_pump() -> None:
    source = done("ground_source_heat_pump", free_cooling_capacity_w=4000.0)
    parts = [system.free_cooling for system in done("radiant_floor", source).plant.cooling]
    assert [part.capacity_w for part in parts if part] == pytest.approx([2800.0, 1200.0])
    assert sum(part.pump_w for part in parts if part) == pytest.approx(150.0)


def test_screws_through_outside_insulation_cost_a_part_of_it() -> None:
    """ENV-13 form: ISO 6946:2017: .8 x 50 W/mK x section x count / depth x (R1/RT)^2 more U."""
    kind = kinds()["continuous_insulation"]
    facts = INPUTS["continuous_insulation"]
    glued, screwed = (
        kind.apply(a_case(), kind.inputs.model_validate(facts | more))
        for more in ({}, {"screws_to_a_square_meter": 8.0, "screw_diameter_m": 0.008})
    )
    name = facts["surfaces"][0]
    before, after = (_layers_of(case, name) for case in (glued, screwed))
    whole = [1.0 / built_u_w_m2k(one, HeatFlow.HORIZONTAL, 0.13, 0.04) for one in (before, after)]
    pierced = next(one for one in after if isinstance(one, SolidLayerPart) and one.fixings is not None)
    own = pierced.thickness_m / pierced.conductivity_w_mk
    through = 0.8 * 50.0 * 3.14159265 * 0.008**2 / 4.0 * 8.0 / pierced.thickness_m
    assert 1.0 / whole[1] == pytest.approx(1.0 / whole[0] + through * (own / whole[0]) ** 2, rel=1e-6)


def _layers_of(case: HouseCase, surface: str) -> tuple[LayerPart, ...]:
    named = next(one.construction for one in case.house.surfaces if one.name == surface)
    return next(one.layers for one in case.house.constructions if one.name == named)
