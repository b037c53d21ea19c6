"""The house as the window asks for it, on the sample house."""

import pytest

from retrofit_desk.records.project import Project
from retrofit_desk.services.equipment import EquipmentService
from retrofit_desk.services.house import HouseService, NotRecorded, Tint
from retrofit_desk.services.house_faces import FaceService


def test_every_room_of_the_sample_is_on_the_plan(sample_project: Project) -> None:
    plan = HouseService(sample_project).plan(Tint.HEAT_LOSS)
    rooms = [room for storey in plan.storeys for room in storey.rooms]
    assert len(rooms) == 10
    assert all(len(room.outline_m) >= 4 for room in rooms)
    assert plan.cannot_say == ""
    levels = [storey.level_m for storey in plan.storeys]
    assert levels == sorted(levels, reverse=True)


def test_heated_rooms_have_a_heat_loss_and_unheated_ones_say_so(sample_project: Project) -> None:
    plan = HouseService(sample_project).plan(Tint.HEAT_LOSS)
    for storey in plan.storeys:
        for room in storey.rooms:
            assert (room.value is not None) == room.is_conditioned
            assert room.words == ("" if room.is_conditioned else "not heated")


def test_summer_peak_is_not_shown_before_it_is_worked_out(sample_project: Project) -> None:
    house = HouseService(sample_project)
    assert "not been worked out" in house.plan(Tint.SUMMER_PEAK).cannot_say
    plan = house.plan(Tint.SUMMER_PEAK, {1: 40.0})
    den = next(room for storey in plan.storeys for room in storey.rooms if room.id == 1)
    assert den.value == 40.0


def test_measures_in_place_are_counted_by_room_without_dropped_ones(sample_project: Project) -> None:
    plan = HouseService(sample_project).plan(Tint.IN_PLACE)
    attic = next(room for storey in plan.storeys for room in storey.rooms if room.name == "Attic")
    assert attic.words == "2 of 3"
    assert attic.value == pytest.approx(2 / 3)


def test_rooms_load_adds_up_to_the_house(sample_project: Project) -> None:
    house = HouseService(sample_project)
    plan = house.plan(Tint.HEAT_LOSS)
    sheets = [house.room(room.id) for storey in plan.storeys for room in storey.rooms]
    loads = [sheet.load.total_w - sheet.load.to_neighbors_w for sheet in sheets if sheet.load is not None]
    assert sum(loads) == pytest.approx(house.load().heating_w)


def test_a_room_lists_faces_recorded_from_either_side(sample_project: Project) -> None:
    den = HouseService(sample_project).room(1)
    beyond = {(face.name, face.beyond) for face in den.surfaces}
    assert ("North wall", "outdoors, faces north") in beyond
    assert ("Floor over the den", "to South bedroom") in beyond
    assert {touch.found.title for touch in den.measures} >= {"Wood-fiber batts in the den walls"}


def test_a_room_that_is_gone_is_told(sample_project: Project) -> None:
    with pytest.raises(NotRecorded):
        HouseService(sample_project).room(999)


def test_a_wall_has_one_face_more_than_layers_and_the_noon_sun_of_three_days(sample_project: Project) -> None:
    sheet = FaceService(sample_project).sheet(1)
    assert len(sheet.faces) == len(sheet.layers) + 1
    assert sheet.resistance is not None
    assert sheet.resistance.isothermal_planes_m2k_w < sheet.resistance.parallel_path_m2k_w
    (door, window) = sheet.openings
    assert [noon.day for noon in door.noon] == ["June 21", "Equinox", "December 21"]
    assert window.is_glass


def test_layers_without_vapor_data_still_show_temperatures(sample_project: Project) -> None:
    sheet = FaceService(sample_project).sheet(15)  # an empty stud bay, its vapor resistance is not known
    assert "dew points" in sheet.faces_cannot_say
    assert all(face.dew_point_c is None for face in sheet.faces)
    temps = [face.temp_c for face in sheet.faces]
    assert temps == sorted(temps)


def test_machines_in_use_come_before_removed_ones(sample_project: Project) -> None:
    machines = EquipmentService(sample_project).machines()
    statuses = [one.status for one in machines]
    assert statuses.index("removed") > statuses.index("in use")
    heat_pump = next(one for one in machines if one.name.startswith("Ground-source"))
    assert heat_pump.measure is not None
    assert heat_pump.ratings[0].name == "COP"


def test_summer_peak_is_worked_out_for_the_cooled_rooms_and_can_be_stopped(sample_project: Project) -> None:
    house = HouseService(sample_project)
    told: list[float] = []
    peaks = house.summer_peaks(lambda share, _doing: told.append(share))
    assert set(peaks) == {1, 4, 5, 6, 7, 8, 9}
    assert all(10.0 < peak < 150.0 for peak in peaks.values())  # W/m2, common practice
    assert told == sorted(told)

    def stop(_share: float, _doing: str) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        house.summer_peaks(stop)
