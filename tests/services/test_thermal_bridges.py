"""Thermal bridges count in the design load and in the described house, and never without a source."""

from dataclasses import replace
from itertools import chain

import pytest

from retrofit_desk.estimate.from_records import house_of
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house import HouseService
from retrofit_desk.services.house_facts import CannotBe
from retrofit_desk.services.thermal_bridges import BridgeFacts, ThermalBridgeService

EAVE = BridgeFacts("Eave", 12.0, 0.08, "calculation by ISO 10211")


@pytest.fixture
def wall(sample_project: Project) -> m.Surface:
    with sample_project.session() as session:
        return next(
            one
            for one in session.query(m.Surface).order_by(m.Surface.id)
            if one.boundary is m.Boundary.OUTDOORS and one.room.is_heated and one.room.heating_set_point_c
        )


def test_a_bridge_adds_its_length_by_psi_to_the_design_load(sample_project: Project, wall: m.Surface) -> None:
    # ENV-16: form of ISO 13789, H = sum U A + sum psi l (from memory)
    house, bridges = HouseService(sample_project), ThermalBridgeService(sample_project)
    before = house.load()
    inside_c = house.room(wall.room_id).facts.heating_set_point_c
    assert inside_c is not None
    bridges.add(wall.id, EAVE)
    after = house.load()
    added = 12.0 * 0.08 * (inside_c - before.outside_c)
    assert after.heating_w - before.heating_w == pytest.approx(added, abs=1e-6)
    with sample_project.session() as session:
        described = next(one for one in house_of(session).surfaces if one.name == wall.key)
    (bridge,) = described.bridges
    assert bridge.name == "Eave"
    assert bridge.loss_w_k == pytest.approx(0.96)


def test_change_take_out_and_undo(sample_project: Project, wall: m.Surface) -> None:
    bridges = ThermalBridgeService(sample_project)
    assert bridges.of_face(wall.id) == ()
    bridges.add(wall.id, EAVE)
    (row,) = bridges.of_face(wall.id)
    bridges.change(row.id, replace(EAVE, length_m=10.0))
    assert bridges.of_face(wall.id)[0].facts.length_m == 10.0
    bridges.take_out(row.id)
    assert bridges.of_face(wall.id) == ()
    sample_project.undo()
    assert bridges.of_face(wall.id)[0].facts == replace(EAVE, length_m=10.0)


@pytest.mark.parametrize(
    "wrong", [{"length_m": 0.0}, {"psi_w_mk": -1.1}, {"psi_w_mk": 30.0}, {"source": ""}], ids=str
)
def test_what_cannot_be_is_refused(
    sample_project: Project, wall: m.Surface, wrong: dict[str, float | str]
) -> None:
    bridges = ThermalBridgeService(sample_project)
    with pytest.raises(CannotBe):
        bridges.add(wall.id, replace(EAVE, **wrong))  # type: ignore[arg-type]
    assert bridges.of_face(wall.id) == ()


ISO_14683 = (
    # ISO 14683:2007, annex A, by outside and by inside dimensions, W/mK (from memory; no table of it is kept
    # with the project): outside corners C1 to C4, inside corners C5 to C8, roof edges R1 and R9, floor GF1,
    # the most that it gives, balcony B1 by overall inside dimensions
    (-0.05, 0.15), (-0.10, 0.10), (-0.20, 0.05), (-0.15, 0.10),
    (0.05, -0.15), (0.15, -0.10), (0.15, -0.05), (0.10, -0.10),
    (0.55, 0.75), (-0.05, 0.15), (0.65, 0.80), (0.95, 1.05),
)  # fmt: skip
ISO_13370_EDGE = -0.463065  # SLAB-5: ISO 13370:2017, 60 mm of edge insulation to 0.6 m, computed


@pytest.mark.parametrize("psi_w_mk", sorted({*chain.from_iterable(ISO_14683), ISO_13370_EDGE}))
def test_every_default_of_the_standards_can_be_recorded(
    sample_project: Project, wall: m.Surface, psi_w_mk: float
) -> None:
    house, bridges = HouseService(sample_project), ThermalBridgeService(sample_project)
    before = house.load().heating_w
    bridges.add(wall.id, replace(EAVE, length_m=2.0, psi_w_mk=psi_w_mk))
    assert bridges.of_face(wall.id)[0].loss_w_k == pytest.approx(2.0 * psi_w_mk)
    assert (house.load().heating_w > before) is (psi_w_mk > 0.0)


def test_bridges_take_away_no_more_than_half_of_the_face_s_own_loss(
    sample_project: Project, wall: m.Surface
) -> None:
    bridges = ThermalBridgeService(sample_project)
    corner = replace(EAVE, name="Corner", length_m=2.4, psi_w_mk=-0.2)
    bridges.add(wall.id, corner)
    with pytest.raises(CannotBe, match="more than half"):
        bridges.add(wall.id, replace(corner, name="Another", length_m=200.0))
    (row,) = bridges.of_face(wall.id)
    with pytest.raises(CannotBe, match="more than half"):
        bridges.change(row.id, replace(corner, length_m=200.0))
    assert bridges.of_face(wall.id) == (row,)


def test_a_face_between_rooms_has_none(sample_project: Project) -> None:
    with sample_project.session() as session:
        inner = session.query(m.Surface).filter(m.Surface.other_room_id.is_not(None)).first()
        assert inner is not None
    bridges = ThermalBridgeService(sample_project)
    assert not bridges.may_be_at(inner.id)
    with pytest.raises(CannotBe, match="leads outdoors"):
        bridges.add(inner.id, EAVE)
