"""A face with the measures: what is in place and what is still to come stay apart."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.face_changes import ALL, IN_PLACE, FaceChangesService
from retrofit_desk.services.house import NotRecorded
from retrofit_desk.services.packet_house import house_part


def face(project: Project, room: str, name: str) -> int:
    with project.session() as session:
        query = select(m.Surface.id).join(m.Surface.room).where(m.Room.name == room, m.Surface.name == name)
        return session.scalars(query).one()


def test_work_that_is_done_and_work_that_is_planned_stay_apart(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as project:
        changes = FaceChangesService(project)
        (vault,) = changes.of(face(project, "Living room", "South slope of the vault")).moments
        (wall,) = changes.of(face(project, "South bedroom", "South wall")).moments
        partition = changes.of(face(project, "South bedroom", "Wall to the bath"))
    assert vault.when == IN_PLACE
    assert "cellulose" in vault.made_of
    assert wall.when == ALL
    assert "wood fiber board" in wall.made_of
    assert [one.name for one in wall.glass] == ["South window"]
    assert partition.moments == ()


def test_the_window_and_the_packet_tell_the_same_u_value(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as project:
        (wall,) = FaceChangesService(project).of(face(project, "South bedroom", "South wall")).moments
        with project.session() as session:
            told = {line.u_after_w_m2k.value for line in house_part(session).elements}
    assert any(u_value == pytest.approx(wall.u_value_w_m2k) for u_value in told)


def test_a_measure_that_fits_no_more_is_told(sample_copy: Path) -> None:
    with Project.open(sample_copy) as project:
        wall = face(project, "South bedroom", "South wall")
        with project.action("Take the thickness back") as work:
            for layer in work.session.scalars(select(m.ConstructionLayer)):
                layer.thickness_m = None
                layer.resistance_m2k_w = None
        found = FaceChangesService(project).of(wall)
        with pytest.raises(NotRecorded):
            FaceChangesService(project).of(10_000)
    assert found.moments == ()
    assert found.cannot_say
