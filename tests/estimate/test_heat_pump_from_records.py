"""A recorded heat pump that is known by its seasonal ratings alone is usable, and marked so."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.heat_pump_from_records import air_machine, known_by, marked
from retrofit_desk.estimate.plant_from_records import plant_of
from retrofit_desk.estimate.seasonal_ratings import REGION, _region
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.description import House
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.heat_pump_ratings import W_PER_BTU_H, TestPoints, hspf2
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_machines import HeatPump
from retrofit_desk.physics.plant_results import loads_of
from retrofit_desk.records import models as m
from retrofit_desk.records.models import EquipmentKind as Kind
from retrofit_desk.records.project import Project
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import Stated, StatedValue
from tests.estimate.builders import a_case, a_house


def rating(name: str, value: float, **point: float) -> m.EquipmentRating:
    return m.EquipmentRating(name=name, value=value, **point)


def a_heat_pump(*ratings: m.EquipmentRating, cools_w: float | None = 10_000.0, **details: Any) -> m.Equipment:
    row = m.Equipment(
        key="pump",
        kind=Kind.AIR_SOURCE_HEAT_PUMP,
        name="Heat pump",
        fuel=m.Fuel.ELECTRICITY,
        refrigerant="R-410A",
        details=details,
        serves=[],
        ratings=list(ratings),
    )
    row.set_stated("heating_capacity_w", StatedValue(10_550.0))
    row.set_stated(
        "cooling_capacity_w",
        StatedValue(None, Stated.NOT_STATED) if cools_w is None else StatedValue(cools_w),
    )
    return row


def earned(machine: HeatPump, cooling_w: float) -> float:
    """HSPF2 of the points by the test procedure's own bins."""
    assert machine.heating is not None
    cold, warm = machine.heating.points
    points = TestPoints(
        warm.capacity_w / W_PER_BTU_H, warm.power_w, cold.capacity_w / W_PER_BTU_H, cold.power_w
    )
    return hspf2(points, _region(REGION), cooling_w / W_PER_BTU_H).hspf2


def test_its_points_earn_the_published_hspf2_by_the_test_procedure() -> None:
    # ASHP-2: 10 CFR 430 Subpart B App. M1 4.2.1, read backwards
    row = a_heat_pump(rating("HSPF2", 7.5), rating("SEER2", 14.3), capacity_at_minus_8c_w=6_300.0)
    machine = air_machine(row)
    assert earned(machine, 10_000.0) == pytest.approx(7.5, abs=1e-6)
    assert machine.heating is not None
    assert machine.cooling is not None
    assert (machine.heating.basis, machine.cooling.basis) == ("seasonal ratings", "seasonal ratings")
    assert machine.heating.points[0].capacity_w == pytest.approx(6_300.0)
    assert known_by(row) == ("HSPF2", "SEER2")
    assert marked(row).startswith("Worked back from HSPF2 and SEER2")
    assert "17 °F" not in marked(row)


def test_ratings_of_the_older_procedure_are_brought_to_the_newer() -> None:
    # the minima of 2023 by both procedures: HSPF 8.8 is HSPF2 7.5, SEER 15.0 is SEER2 14.3
    old, new = (
        air_machine(a_heat_pump(rating(heat, hot), rating(cold, cool)))
        for heat, hot, cold, cool in (("HSPF", 8.8, "SEER", 15.0), ("HSPF2", 7.5, "SEER2", 14.3))
    )
    assert earned(old, 10_000.0) == pytest.approx(7.5, abs=1e-6)
    assert "17 °F (−8 °C) is taken as 60%" in marked(a_heat_pump(rating("HSPF", 8.8), cools_w=None))
    assert old.cooling is not None
    assert new.cooling is not None
    assert old.cooling.points[0].power_w == pytest.approx(new.cooling.points[0].power_w)


def test_a_rating_is_known_however_it_is_spelled() -> None:
    row = a_heat_pump(rating("hspf2", 7.5), rating(" Seer2 ", 14.3))
    assert known_by(row) == ("HSPF2", "SEER2")
    assert earned(air_machine(row), 10_000.0) == pytest.approx(7.5, abs=1e-6)


def test_tested_points_come_before_seasonal_ratings() -> None:
    points = (
        rating("COP", 3.6, source_temp_c=8.33, capacity_w=10_550.0, power_w=2_930.0),
        rating("COP", 2.4, source_temp_c=-8.33, capacity_w=6_300.0, power_w=2_625.0),
    )
    row = a_heat_pump(rating("HSPF2", 7.5), *points, cools_w=None)
    machine = air_machine(row)
    assert machine.heating is not None
    assert {one.power_w for one in machine.heating.points} == {2_930.0, 2_625.0}
    assert machine.heating.basis == "published ratings"
    assert machine.cooling is None
    assert known_by(row) == ()


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (a_heat_pump(), "a COP with what it gives and takes in, or its HSPF2"),
        (a_heat_pump(rating("HSPF2", 7.5)), "its SEER2"),
        (a_heat_pump(rating("HSPF2", 24.0), cools_w=None), "an HSPF2 that its capacities can earn"),
    ],
)
def test_what_is_missing_is_said_in_one_line(row: m.Equipment, says: str) -> None:
    with pytest.raises(CannotSay, match=says) as told:
        air_machine(row)
    assert "\n" not in told.value.line()


def test_a_recorded_heat_pump_beside_a_furnace_shares_the_rooms_and_runs_a_year(
    sample_project: Project,
) -> None:
    def put(session: Session) -> None:
        session.add(a_heat_pump(rating("HSPF2", 7.5), rating("SEER2", 14.3), backup_w=5_000.0))

    plant = plant_with(sample_project, put)
    shares = {one.name: one.serves[0].share for one in (*plant.heating, *plant.cooling)}
    assert set(shares.values()) == {0.5}
    assert plant.heating[1].backup == "pump, backup"
    year = a_year_with(plant.machine("pump"))
    assert "pump: performance from seasonal ratings" in year.notes
    assert year.kwh("electricity") > 0.0


def plant_with(project: Project, change: Callable[[Session], None]) -> Any:
    with project.action("Change the plant") as work:
        change(work.session)
    with project.session() as session:
        return plant_of(session)


def a_year_with(machine: Any) -> Any:
    """The small house heated by it alone."""
    house: House = a_house()
    case, weather = a_case(), greensboro()
    serves = case.plant.heating[0].serves
    heating = case.plant.heating[0].model_copy(update={"machine": machine.name, "serves": serves})
    plant = case.plant.model_copy(update={"machines": (machine,), "heating": (heating,), "cooling": ()})
    return run_plant(plant, case.use, loads_of(run_year(house, weather), weather), weather)


def test_what_a_measure_must_tell_is_said(sample_project: Project) -> None:
    def put(session: Session) -> None:
        row = session.scalars(select(m.Equipment).where(m.Equipment.key == "heat-pump")).one()
        row.measure_id = None

    with pytest.raises(CannotSay, match="Needs the measure that brought it"):
        plant_with(sample_project, put)
