"""Storeys, rooms, faces and openings are added and taken out, each as one undo step, and reach the engine."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from retrofit_desk.estimate.from_records import case_of, house_of
from retrofit_desk.physics import description as d
from retrofit_desk.records.project import Project
from retrofit_desk.services.house import HouseService, NotRecorded, Tint
from retrofit_desk.services.house_dividing import Division, HouseDividingService
from retrofit_desk.services.house_faces import FaceService
from retrofit_desk.services.house_facts import CannotBe, RoomFacts, SurfaceFacts
from retrofit_desk.services.house_parts import HousePartService, StoreyFacts
from retrofit_desk.services.house_taking_out import HouseTakingOutService
from retrofit_desk.services.new_house import Foundation, describe_new_house
from retrofit_desk.services.plan_shapes import Rectangle, Side, covered_m2, rectangle_of, touching_m
from retrofit_desk.values.stated import Stated, StatedValue
from tests.services.test_house_edits import TAPE
from tests.services.test_new_house import answers

TODAY = date(2026, 11, 25)
L_SHAPE = ((0.0, 0.0), (6.0, 0.0), (6.0, 3.0), (3.0, 3.0), (3.0, 6.0), (0.0, 6.0))


@pytest.fixture
def new_house(tmp_path: Path) -> Iterator[Project]:
    """One room under an attic over a crawl space, as the first questions make it."""
    with describe_new_house(tmp_path / "Elm", answers(foundation=Foundation.CRAWL_SPACE), TODAY) as project:
        yield project


def engine_house(project: Project) -> d.House:
    with project.session() as session:
        return house_of(session)


def outdoor_area_m2(house: d.House) -> float:
    return sum(one.area_m2 for one in house.surfaces if one.boundary.kind == "outdoors")


def a_sunroom(project: Project, **changes: object) -> RoomFacts:
    storey = next(one for one in HousePartService(project).storeys() if one.facts.name == "Main level")
    west, south = HousePartService(project).free_corner(storey.id)
    facts = RoomFacts(
        name="Sunroom",
        kind="sunspace",
        outline=Rectangle(west, south, 4.0, 3.0).outline,
        floor_area_m2=12.0,
        height_m=2.4,
        is_heated=True,
        is_cooled=False,
        heating_set_point_c=18.0,
        heating_setback_c=None,
        cooling_set_point_c=None,
        internal_gain_w=StatedValue(0.0),
        air_changes_per_hour=StatedValue(None, Stated.NOT_STATED),
        notes="",
    )
    return replace(facts, **changes)  # type: ignore[arg-type]


def main_storey(project: Project) -> int:
    return next(one.id for one in HousePartService(project).storeys() if one.facts.name == "Main level")


def room_named(project: Project, name: str) -> int:
    return next(one.id for one in HousePartService(project).rooms() if one.name == name)


def test_an_added_room_stands_on_the_plan_with_the_faces_that_the_plan_tells(new_house: Project) -> None:
    added = HousePartService(new_house).add_room(
        main_storey(new_house), a_sunroom(new_house), TAPE, faces_by_plan=True
    )
    plan = HouseService(new_house).plan(Tint.HEAT_LOSS)
    marks = {mark.name: mark for storey in plan.storeys for mark in storey.rooms}
    assert rectangle_of(marks["Sunroom"].outline_m) is not None
    assert marks["Sunroom"].value is not None, plan.cannot_say
    faces = {face.name: face for face in HouseService(new_house).room(added).surfaces}
    assert set(faces) == {
        "South wall",
        "East wall",
        "North wall",
        "Wall to Main level",
        "Floor on the ground",
        "Roof",
    }
    assert faces["East wall"].area_m2 == pytest.approx(3.0 * 2.4)
    assert faces["Wall to Main level"].beyond == "to Main level"
    assert faces["East wall"].u_value_w_m2k is not None
    new_house.undo()
    with pytest.raises(NotRecorded):
        HouseService(new_house).room(added)


def test_an_added_room_reaches_the_engine(new_house: Project) -> None:
    before = engine_house(new_house)
    parts = HousePartService(new_house)
    added = parts.add_room(main_storey(new_house), a_sunroom(new_house), TAPE, faces_by_plan=False)
    wall = FaceService(new_house).sheet(HouseService(new_house).room(1).surfaces[0].id).facts
    face = parts.add_surface(added, replace(wall, name="Glass wall", area_m2=7.0, azimuth_deg=90.0), TAPE)
    window = FaceService(new_house).sheet(HouseService(new_house).room(1).surfaces[0].id).openings[0]
    parts.add_opening(face, replace(window.facts, name="Big window", count=1), TAPE)
    after = engine_house(new_house)
    assert {zone.name for zone in after.zones} - {zone.name for zone in before.zones} == {"sunroom"}
    (made,) = [one for one in after.surfaces if one.zone == "sunroom"]
    assert (made.area_m2, made.azimuth_deg, len(made.windows)) == (7.0, 90.0, 1)


def test_rooms_are_not_laid_on_each_other(new_house: Project) -> None:
    parts = HousePartService(new_house)
    there = a_sunroom(new_house, outline=Rectangle(1.0, 1.0, 2.0, 2.0).outline)
    with pytest.raises(CannotBe, match="would lie on Main level"):
        parts.add_room(main_storey(new_house), there, TAPE, faces_by_plan=True)
    assert "Sunroom" not in {one.name for one in parts.rooms()}


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"boundary": "outdoors", "azimuth_deg": None}, "looks somewhere"),
        ({"boundary": "room"}, "room behind it"),
        ({"other_room_id": 2}, "only where it says so"),
        ({"azimuth_deg": 400.0}, "between 0 and 360"),
        ({"tilt_deg": 200.0}, "between 0 and 180"),
        ({"area_m2": 0.0}, "more than 0"),
    ],
)
def test_a_face_that_cannot_be_is_not_added(
    new_house: Project, changes: dict[str, object], said: str
) -> None:
    wall = FaceService(new_house).sheet(HouseService(new_house).room(1).surfaces[0].id).facts
    facts: SurfaceFacts = replace(wall, name="Another", **changes)  # type: ignore[arg-type]
    before = new_house.undo_title
    with pytest.raises(CannotBe, match=said):
        HousePartService(new_house).add_surface(1, facts, TAPE)
    assert new_house.undo_title == before


def test_a_storey_goes_only_when_it_is_empty(new_house: Project) -> None:
    parts, out = HousePartService(new_house), HouseTakingOutService(new_house)
    added = parts.put_storey(None, StoreyFacts("Attic room level", 5.4, 2.2))
    assert parts.storeys()[0].facts.name == "Attic room level"
    parts.put_storey(added, StoreyFacts("Top", 5.6, 2.2))
    assert parts.storeys()[0].facts == StoreyFacts("Top", 5.6, 2.2)
    out.storey(added)
    assert "Top" not in {one.facts.name for one in parts.storeys()}
    with pytest.raises(CannotBe, match="Main level still stands on it"):
        out.storey(main_storey(new_house))


def test_what_the_record_leans_on_is_not_taken_out(new_house: Project) -> None:
    out = HouseTakingOutService(new_house)
    with pytest.raises(CannotBe, match=r"leads? to it|leans? on it"):
        out.room(room_named(new_house, "Attic"))
    with pytest.raises(CannotBe, match=r"leans? on it"):
        out.room(room_named(new_house, "Main level"))


def test_a_room_that_nothing_leans_on_goes_with_its_faces_and_comes_back(new_house: Project) -> None:
    parts, out = HousePartService(new_house), HouseTakingOutService(new_house)
    added = parts.add_room(main_storey(new_house), a_sunroom(new_house), TAPE, faces_by_plan=True)
    before = HouseService(new_house).room(added)
    out.room(added)
    assert "sunroom" not in {zone.name for zone in engine_house(new_house).zones}
    new_house.undo()
    assert HouseService(new_house).room(added) == before


def test_a_face_and_a_window_are_taken_out(new_house: Project) -> None:
    out, faces = HouseTakingOutService(new_house), FaceService(new_house)
    wall = HouseService(new_house).room(1).surfaces[0]
    out.opening(faces.sheet(wall.id).openings[0].id)
    assert faces.sheet(wall.id).openings == ()
    out.surface(wall.id)
    with pytest.raises(NotRecorded):
        faces.sheet(wall.id)
    new_house.undo()
    new_house.undo()
    assert len(faces.sheet(wall.id).openings) == 1


@pytest.mark.parametrize("side", list(Side))
def test_a_divided_room_loses_as_much_as_before(new_house: Project, side: Side) -> None:
    """What is outdoors, on the ground or under the attic is shared, never made more or less."""
    before = engine_house(new_house)
    old = HouseService(new_house).room(1)
    new_id = HouseDividingService(new_house).divide(1, Division("Kitchen", "kitchen", side, 3.0, 1.9))
    after = engine_house(new_house)
    assert outdoor_area_m2(after) == pytest.approx(outdoor_area_m2(before))
    assert sum(z.floor_area_m2 or 0.0 for z in after.zones) == pytest.approx(
        sum(z.floor_area_m2 or 0.0 for z in before.zones)
    )
    new, rest = HouseService(new_house).room(new_id), HouseService(new_house).room(1)
    assert old.facts.internal_gain_w.value == pytest.approx(
        (new.facts.internal_gain_w.value or 0.0) + (rest.facts.internal_gain_w.value or 0.0)
    )
    assert covered_m2(
        rectangle_of(new.facts.outline) or Rectangle(0, 0, 0, 0), rest.facts.outline
    ) == pytest.approx(0)
    between = next(one for one in new.surfaces if one.name == "Wall to Main level")
    assert FaceService(new_house).sheet(between.id).facts.passage_area_m2 == 1.9
    assert len(after.air_paths) == 1
    with new_house.session() as session:
        case_of(session)
    new_house.undo()
    assert HouseService(new_house).room(1) == old


def test_a_room_cannot_be_divided_to_nothing(new_house: Project) -> None:
    dividing = HouseDividingService(new_house)
    for wide in (0.0, 99.0):
        with pytest.raises(CannotBe):
            dividing.divide(1, Division("Kitchen", "kitchen", Side.EAST, wide))


def test_shapes_of_the_plan() -> None:
    room = Rectangle(0.0, 0.0, 4.0, 3.0)
    assert rectangle_of(room.outline) == room
    assert rectangle_of(L_SHAPE) is None
    assert covered_m2(Rectangle(2.0, 2.0, 4.0, 4.0), L_SHAPE) == pytest.approx(4.0 + 3.0)
    assert touching_m(Rectangle(6.0, -1.0, 2.0, 2.0), Side.WEST, L_SHAPE) == pytest.approx(1.0)
    assert touching_m(Rectangle(6.0, 3.5, 2.0, 2.0), Side.WEST, L_SHAPE) == 0.0
    assert room.cut(Side.NORTH, 1.0) == (Rectangle(0.0, 2.0, 4.0, 1.0), Rectangle(0.0, 0.0, 4.0, 2.0))
