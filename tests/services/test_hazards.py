"""What must be settled before work begins, by age, work and finds."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.hazard_entry import HazardEntryService, HazardUnclear, Settlement, WrittenFind
from retrofit_desk.services.hazards import BeforeWork, HazardService
from retrofit_desk.services.holds import HoldService
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


class TestFinds:
    """Finds recorded by the owner: what they stop, and what frees it."""

    def entry(self, project: Project) -> HazardEntryService:
        return HazardEntryService(project)

    def blocked(self, project: Project, word: str) -> list[str]:
        return [one.sentence for one in HoldService(project).blocking() if word in one.sentence]

    def find(self, kind: str, measure_id: int | None = None) -> WrittenFind:
        return WrittenFind(kind, "attic", HazardState.FOUND, date(2026, 11, 19), measure_id)

    def test_a_find_shuts_every_work_it_touches_as_one_undo_step(self, sample_project: Project) -> None:
        # NEC 1987 and later bar insulation in contact with knob-and-tube (state weatherization note)
        effect = self.entry(sample_project).record(self.find("knob_and_tube"))
        held = self.blocked(sample_project, "licensed electrician")
        assert held
        assert any("don't cover anything of Wood-fiber batts in the den walls" in one for one in held)
        assert any("don't remove anything of Wood-fiber batts in the den walls" in one for one in held)
        assert any(
            "licensed electrician" in one.sentence for one in AtHandService(sample_project).look().not_yet
        )
        assert effect.frees == ()
        sample_project.undo()
        assert self.blocked(sample_project, "licensed electrician") == []

    def test_work_not_begun_may_not_start_until_the_clearance_is_filed(
        self, sample_project: Project, tmp_path: Path
    ) -> None:
        with sample_project.session() as session:
            tank = session.scalars(select(m.Measure.id).where(m.Measure.key == "casements")).one()
        entry = self.entry(sample_project)
        entry.record(self.find("load_bearing", tank))
        (held,) = self.blocked(sample_project, "structural engineer")
        assert held.startswith("Not yet: don't start Casements instead of sliders until")
        with sample_project.session() as session:
            find = max(session.scalars(select(m.HazardFinding.id)))
        day = date(2026, 11, 20)
        with pytest.raises(HazardUnclear, match="only a paper"):
            entry.settle(find, Settlement(HazardState.CLEARED, day, "A. Engineer, license 12"))
        letter = tmp_path / "letter.pdf"
        letter.write_bytes(b"%PDF-1.4 letter")
        with pytest.raises(HazardUnclear, match="nobody is named"):
            entry.settle(find, Settlement(HazardState.CLEARED, day, "", letter))
        effect = entry.settle(find, Settlement(HazardState.CLEARED, day, "A. Engineer, license 12", letter))
        assert any("start Casements instead of sliders" in one for one in effect.frees)
        assert self.blocked(sample_project, "structural engineer") == []

    def test_what_does_not_stop_work_makes_no_hold(self, sample_project: Project) -> None:
        count = len(HoldService(sample_project).all())
        find = WrittenFind("scalding", "bath", HazardState.FOUND, date(2026, 11, 19), stops_work=False)
        self.entry(sample_project).record(find)
        assert len(HoldService(sample_project).all()) == count

    def test_a_test_that_finds_nothing_needs_its_paper(self, sample_project: Project) -> None:
        find = WrittenFind("asbestos", "glue", HazardState.NOT_FOUND, date(2026, 11, 19))
        with pytest.raises(HazardUnclear, match="only a paper"):
            self.entry(sample_project).record(find)

    def test_every_hazard_names_the_licensed_people_who_clear_it(self) -> None:
        for one in Tables().hazards:
            assert one.clearance, one.key
            assert one.caution, one.key


def test_insulation_laid_over_an_attic_floor_is_asked_for_what_may_lie_under_it(oil_folder: Path) -> None:
    with Project.open(oil_folder) as project:
        asked = names(before(project, "attic-cellulose"))
        assert {"Vermiculite in the attic", "Flue gas drawn into the house"} <= asked
        found = before(project, "attic-cellulose")
    assert found is not None
    assert [one.name for one in found.found if one.stops] == ["Knob-and-tube wiring"]


def test_refrigerant_that_was_found_holds_the_new_heat_pump_until_it_is_recovered(
    sample_project: Project,
) -> None:
    assert "Refrigerant in an old machine" in names(before(sample_project, "ground-heat"))
    find = WrittenFind("refrigerant", "Air conditioner in the yard", HazardState.FOUND, date(2026, 11, 19))
    HazardEntryService(sample_project).record(find)
    waiting = [one.sentence for one in AtHandService(sample_project).look().not_yet]
    assert any(
        "Ground-source heat pump" in one and "a certified technician has recovered it" in one
        for one in waiting
    )
