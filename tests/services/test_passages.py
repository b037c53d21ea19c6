"""A face that stands open to the next room, recorded by the owner."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house_edits import HouseEditService
from retrofit_desk.services.house_faces import FaceService
from retrofit_desk.services.house_facts import Because, CannotBe, Certainty


def test_a_face_between_rooms_stands_open_and_another_does_not(sample_project: Project) -> None:
    edits, faces = HouseEditService(sample_project), FaceService(sample_project)
    with sample_project.session() as session:
        wall = session.scalars(select(m.Surface).where(m.Surface.key == "living-kitchen-wall")).one().id
        slab = session.scalars(select(m.Surface).where(m.Surface.key == "den-slab")).one().id
    told = faces.sheet(wall).facts
    because = Because(Certainty.MEASURED, "tape")
    edits.change_surface(wall, replace(told, passage_area_m2=1.9), because)
    assert (faces.sheet(wall).facts.passage_area_m2, faces.sheet(wall).facts.other_room_id is not None) == (
        1.9,
        True,
    )
    with pytest.raises(CannotBe, match="as large as its face"):
        edits.change_surface(wall, replace(told, passage_area_m2=told.area_m2), because)
    with pytest.raises(CannotBe, match="only a face between two rooms"):
        edits.change_surface(slab, replace(faces.sheet(slab).facts, passage_area_m2=1.0), because)
    sample_project.undo()
    assert faces.sheet(wall).facts.passage_area_m2 is None
