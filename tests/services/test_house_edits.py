"""Changes to the described house are one step each, and say how they are known."""

from dataclasses import replace

import pytest

from retrofit_desk.estimate.from_records import house_of
from retrofit_desk.physics.elements import Fin
from retrofit_desk.records.project import Project
from retrofit_desk.services.house import HouseService
from retrofit_desk.services.house_edits import HouseEditService
from retrofit_desk.services.house_faces import FaceService, SurfaceSheet
from retrofit_desk.services.house_facts import (
    Because,
    CannotBe,
    Certainty,
    LayerFacts,
)
from retrofit_desk.values.stated import Stated, StatedValue

TAPE = Because(Certainty.MEASURED, "tape")


def layer_facts(sheet: SurfaceSheet) -> tuple[LayerFacts, ...]:
    return tuple(
        LayerFacts(
            layer.name,
            layer.material_key,
            layer.thickness_m,
            layer.conductivity_w_mk,
            layer.stated_resistance_m2k_w,
            layer.framing_fraction,
            layer.framing_material_key,
        )
        for layer in sheet.layers
    )


def test_a_changed_area_says_who_measured_it_and_is_one_undo_step(sample_project: Project) -> None:
    house, edits = HouseService(sample_project), HouseEditService(sample_project)
    before = house.room(1)
    edits.change_room(1, replace(before.facts, floor_area_m2=40.0), TAPE)
    after = house.room(1)
    assert after.facts.floor_area_m2 == 40.0
    assert [(one.column, one.certainty, one.source) for one in after.sources] == [
        ("floor_area_m2", Certainty.MEASURED, "tape")
    ]
    assert sample_project.undo_title == "Change Den"
    sample_project.undo()
    assert house.room(1) == before


def test_nothing_changed_leaves_no_step(sample_project: Project) -> None:
    before = sample_project.undo_title
    sheet = HouseService(sample_project).room(1)
    HouseEditService(sample_project).change_room(1, sheet.facts, TAPE)
    assert sample_project.undo_title == before


@pytest.mark.parametrize("word", [Stated.UNKNOWN, Stated.NOT_STATED, Stated.EXCLUDED])
def test_a_u_value_can_be_each_of_the_four(sample_project: Project, word: Stated) -> None:
    faces = FaceService(sample_project)
    door = faces.sheet(1).openings[0]
    missing = StatedValue[float](None, word)
    HouseEditService(sample_project).change_opening(door.id, replace(door.facts, u_value_w_m2k=missing), TAPE)
    assert faces.sheet(1).openings[0].facts.u_value_w_m2k == missing


def test_windows_larger_than_their_wall_are_refused_and_nothing_is_kept(sample_project: Project) -> None:
    faces, edits = FaceService(sample_project), HouseEditService(sample_project)
    before = faces.sheet(1)
    with pytest.raises(CannotBe, match="larger than the face"):
        edits.change_opening(before.openings[0].id, replace(before.openings[0].facts, width_m=30.0), TAPE)
    with pytest.raises(CannotBe, match="larger than the face"):
        edits.change_surface(1, replace(before.facts, area_m2=1.0), TAPE)
    assert faces.sheet(1) == before


def test_new_layers_reach_every_face_that_is_made_this_way(sample_project: Project) -> None:
    faces = FaceService(sample_project)
    sheet = faces.sheet(1)
    board = LayerFacts("Wood-fiber board", "wood_fiber_board", StatedValue(0.06), 0.04, None, 0.0, "")
    HouseEditService(sample_project).change_layers(1, (board, *layer_facts(sheet)), TAPE, only_here=False)
    for surface_id in (1, 2):
        after = faces.sheet(surface_id)
        assert after.resistance is not None
        assert sheet.resistance is not None
        assert after.resistance.isothermal_planes_m2k_w == pytest.approx(
            sheet.resistance.isothermal_planes_m2k_w + 0.06 / 0.04
        )
    sample_project.undo()
    assert faces.sheet(1) == sheet


def test_an_air_space_resists_by_its_thickness_its_faces_and_how_it_lies(sample_project: Project) -> None:
    # ENV-4, ENV-5: ISO 6946 (from memory): 25 mm in a wall .18, 20 mm with a face of .05 .664 m2K/W
    sheet = FaceService(sample_project).sheet(1)
    good = layer_facts(sheet)
    empty = replace(
        good[0], name="air", conductivity_w_mk=None, resistance_m2k_w=None, framing_fraction=0.0,
        material_key="air_space", thickness_m=StatedValue(0.025),
    )  # fmt: skip
    foil = replace(empty, name="foil", material_key="air_space_foil", thickness_m=StatedValue(0.020))
    HouseEditService(sample_project).change_layers(1, (empty, foil, *good), TAPE, only_here=True)
    rows = FaceService(sample_project).sheet(1).layers
    assert rows[0].resistance_m2k_w == pytest.approx(0.1831, abs=5e-5)
    assert rows[1].resistance_m2k_w == pytest.approx(0.6640, abs=5e-5)


def test_an_air_space_deeper_than_a_layer_is_not_taken_for_one(sample_project: Project) -> None:
    good = layer_facts(FaceService(sample_project).sheet(1))[0]
    deep = replace(
        good, name="attic", conductivity_w_mk=None, resistance_m2k_w=None, framing_fraction=0.0,
        material_key="air_space", thickness_m=StatedValue(0.5),
    )  # fmt: skip
    with pytest.raises(CannotBe, match=r"attic.*deeper"):
        HouseEditService(sample_project).change_layers(1, (deep,), TAPE, only_here=True)


def test_new_layers_for_one_face_leave_the_others(sample_project: Project) -> None:
    faces = FaceService(sample_project)
    one, other = faces.sheet(1), faces.sheet(2)
    HouseEditService(sample_project).change_layers(1, layer_facts(one)[1:], TAPE, only_here=True)
    assert faces.sheet(1).shared_by == 1
    assert len(faces.sheet(1).layers) == len(one.layers) - 1
    assert faces.sheet(2).layers == other.layers


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"name": ""}, "no name"),
        ({"thickness_m": StatedValue(-0.1)}, "thickness must be more than 0"),
        ({"framing_fraction": 0.97}, "framing"),
        ({"framing_fraction": 0.2, "framing_material_key": ""}, "no material"),
        ({"framing_fraction": 0.2, "thickness_m": StatedValue(None, Stated.UNKNOWN)}, "depth"),
    ],
)
def test_impossible_layers_are_refused(sample_project: Project, change: dict, said: str) -> None:  # type: ignore[type-arg]
    good = LayerFacts("Gypsum board", "gypsum_board", StatedValue(0.0127), 0.21, None, 0.0, "softwood")
    with pytest.raises(CannotBe, match=said):
        HouseEditService(sample_project).change_layers(1, (replace(good, **change),), TAPE, only_here=True)


def test_what_moves_and_stands_before_a_window_reaches_the_engine(sample_project: Project) -> None:
    faces = FaceService(sample_project)
    window = faces.sheet(1).openings[1]
    facts = replace(
        window.facts,
        operation="casement",
        hinge="left",
        left_fin_depth_m=0.5,
        left_fin_gap_m=0.1,
        shade="awning",
        shade_solar_factor=0.25,
        shade_rule="drawn in summer sun",
    )
    HouseEditService(sample_project).change_opening(window.id, facts, TAPE)
    seen = faces.sheet(1).openings[1]
    assert (seen.facts.operation, seen.facts.hinge, seen.facts.shade) == ("casement", "left", "awning")
    with sample_project.session() as session:
        house = house_of(session)
    part = next(
        one for surface in house.surfaces for one in surface.windows if one.name.endswith("south-window")
    )
    assert part.blind is not None
    assert (part.blind.side, part.blind.solar_factor) == ("exterior", 0.25)
    wall = next(surface for surface in house.surfaces if part in surface.windows)
    assert any(isinstance(plate, Fin) and plate.depth_m == 0.5 for plate in wall.plates)
    sample_project.undo()
    assert faces.sheet(1).openings[1] == window


def test_a_summer_shade_without_what_it_lets_through_is_refused(sample_project: Project) -> None:
    window = FaceService(sample_project).sheet(1).openings[1]
    facts = replace(window.facts, shade="awning", shade_solar_factor=None, shade_rule="drawn in summer sun")
    with pytest.raises(CannotBe, match="share of the sun"):
        HouseEditService(sample_project).change_opening(window.id, facts, TAPE)


CLOCK = {
    "shade": "shutter",
    "shade_solar_factor": 0.15,
    "shade_rule": "drawn by the clock",
    "shade_from_hour": 9,
    "shade_to_hour": 17,
}
COURSE = ((0.0, 0.58), (40.0, 0.55), (60.0, 0.45))


def test_glass_and_the_clock_of_a_shade_are_recorded_in_one_undo_step(sample_project: Project) -> None:
    faces, edits = FaceService(sample_project), HouseEditService(sample_project)
    before = faces.sheet(1).openings[1]
    facts = replace(before.facts, **CLOCK, coating="low-e", shgc_by_angle=COURSE, shade_from_month=5)
    facts = replace(facts, shade_to_month=9)
    edits.change_opening(before.id, facts, TAPE)
    after = faces.sheet(1).openings[1]
    assert after.facts == facts
    assert {"coating", "shgc_by_angle", "shade_from_hour"} <= {one.column for one in after.sources}
    edits.change_opening(before.id, replace(facts, shgc_by_angle=(), coating=""), TAPE)
    assert faces.sheet(1).openings[1].facts.shgc_by_angle == ()
    sample_project.undo()
    assert faces.sheet(1).openings[1] == after
    sample_project.undo()
    assert faces.sheet(1).openings[1] == before


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"shade_from_hour": None}, "needs its hours"),
        ({"shade_to_hour": 25}, "between 0 and 24"),
        ({"shade_solar_factor": None}, "needs the share"),
        ({"shade_from_month": 5}, "other month is missing"),
        ({"shgc_by_angle": ((40.0, 0.5), (60.0, 0.4))}, "begins with 0 degrees"),
        ({"shgc_by_angle": ((0.0, 0.5), (95.0, 0.4))}, "less than or equal to 90"),
        ({"shgc_by_angle": ((0.0, 0.5), (60.0, 1.4))}, "less than or equal to 1"),
    ],
    ids=str,
)
def test_a_clock_or_a_course_that_cannot_be_is_refused(
    sample_project: Project, wrong: dict[str, object], says: str
) -> None:
    window = FaceService(sample_project).sheet(1).openings[1]
    facts = replace(window.facts, **CLOCK | wrong)  # type: ignore[arg-type]
    with pytest.raises(CannotBe, match=says):
        HouseEditService(sample_project).change_opening(window.id, facts, TAPE)
    assert FaceService(sample_project).sheet(1).openings[1] == window
