"""What must be settled before work begins, by age, work and finds."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.services.hazards import BeforeWork, HazardService
from retrofit_desk.values.stated import Stated, StatedValue


@pytest.fixture
def reading(sample_folder: Path) -> Iterator[Project]:
    with Project.open(sample_folder) as project:
        yield project


def before(project: Project, key: str) -> BeforeWork | None:
    with project.session() as session:
        measure_id = session.scalars(select(m.Measure.id).where(m.Measure.key == key)).one()
    return HazardService(project).before_work(measure_id)


def names(found: BeforeWork | None) -> set[str]:
    assert found is not None
    return {one.name for one in found.to_look_for}


def test_a_house_of_1964_is_looked_through_for_what_its_walls_may_hide(reading: Project) -> None:
    asked = names(before(reading, "den-batts"))
    assert {"Lead paint", "Asbestos", "Damp or rot"} <= asked
    assert "Knob-and-tube wiring" not in asked  # the table asks for it before 1950


def test_lead_that_was_found_stops_the_work_there(reading: Project) -> None:
    found = before(reading, "casements")
    assert found is not None
    (sills,) = found.found
    assert (sills.state, sills.stops) == (HazardState.FOUND, True)
    assert "Lead dust harms children" in sills.caution
    assert "Lead paint" not in names(found)


def test_a_test_that_found_nothing_settles_it_for_that_measure_alone(reading: Project) -> None:
    assert "Asbestos" not in names(before(reading, "radiant-floors"))
    assert "Asbestos" in names(before(reading, "casements"))


def test_new_windows_by_a_paid_firm_ask_for_a_lead_safe_certificate(reading: Project) -> None:
    # 40 CFR 745.82 and 745.83: window replacement in housing from before 1978, whatever the area
    found = before(reading, "casements")
    assert found is not None
    assert found.lead_safe


def test_own_work_is_outside_the_certificate_and_still_cautioned(reading: Project) -> None:
    found = before(reading, "den-batts")
    assert found is not None
    assert not found.lead_safe
    assert "Lead paint" in names(found)


def test_a_year_that_is_not_known_counts_as_old(sample_project: Project) -> None:
    with sample_project.action("Forget the year") as work:
        work.session.scalars(select(m.Site)).one().set_stated("year_built", _unknown())
    assert "Knob-and-tube wiring" in names(before(sample_project, "den-batts"))


def test_what_was_found_elsewhere_is_told_and_settles_nothing_here(sample_project: Project) -> None:
    with sample_project.action("Note a find") as work:
        finding = m.HazardFinding(kind="asbestos", where="pipe wrap", state=HazardState.NOT_FOUND)
        work.session.add(finding)
    found = before(sample_project, "den-batts")
    assert found is not None
    assert [one.where for one in found.found] == ["pipe wrap"]
    assert "Asbestos" in names(found)


def test_work_that_is_in_place_has_nothing_before_it(reading: Project) -> None:
    assert before(reading, "air-sealing") is None


def _unknown() -> StatedValue[int]:
    return StatedValue(None, Stated.UNKNOWN)
