"""Do strips run? asked of a recorded house: since its heat pump went in, or why that cannot be said."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.degree_days import StraightMachine, bin_year
from retrofit_desk.physics.outside_temps import day_of_typical_year
from retrofit_desk.records import models as m
from retrofit_desk.records.models.equipment import EquipmentKind, EquipmentStatus
from retrofit_desk.records.project import Project
from retrofit_desk.services.read_in import read_in
from retrofit_desk.services.strip_heat import StripAnswer, StripHeatService
from tests.services.small_house import a_recorded_house

INSTALLED = date(2025, 11, 20)
FIRST, DAYS = date(2025, 10, 1), 200


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with a_recorded_house(tmp_path / "house") as made:
        with made.action("Say the time zone") as work:
            work.session.scalars(select(m.Site)).one().time_zone = "Etc/GMT+5"
        yield made


def install(project: Project, status: EquipmentStatus = EquipmentStatus.IN_USE) -> None:
    with project.action("Put a heat pump in") as work:
        work.session.add(
            m.Equipment(
                key="hp",
                kind=EquipmentKind.AIR_SOURCE_HEAT_PUMP,
                name="Heat pump",
                status=status,
                fuel=m.Fuel.ELECTRICITY,
                installed_on=INSTALLED,
            )
        )


def file_readings(project: Project, path: Path, *, strips: bool, colder_f: float = 0.0) -> None:
    """600 Btu/h F and a straight machine in the hours of the typical year; strips on cold mornings too."""
    machine = StraightMachine(17.0, 47.0, 17_000.0, 27_000.0, 2300.0, 2200.0)
    typical = greensboro().temp_c.reshape(-1, 24) * 1.8 + 32.0 - colder_f
    lines = ["Usage date,Unit," + ",".join(f"Hour {hour}" for hour in range(1, 25))]
    for number in range(DAYS):
        day = FIRST + timedelta(days=number)
        temps = typical[day_of_typical_year(day)]
        used = []
        for hour, temp in enumerate(temps):
            year = bin_year(((float(temp), 1.0),), 600.0, 60.0, machine)
            setback = 9.6 if strips and hour == 6 and temp < 40.0 else 0.0
            used.append(0.4 + year.machine_kwh + (year.backup_kwh if strips else 0.0) + setback)
        lines.append(f"{day},kWh," + ",".join(f"{one:.3f}" for one in used))
    path.write_text("\n".join(lines), encoding="utf-8")
    read_in(project, path)


def test_without_electric_heat_there_are_no_strips(project: Project) -> None:
    found = StripHeatService(project).look()
    assert found.sign is None
    assert "No heat pump or electric heater" in found.why_not
    install(project, EquipmentStatus.REMOVED)
    assert "No heat pump or electric heater" in StripHeatService(project).look().why_not


def test_without_readings_the_way_to_them_is_said(project: Project) -> None:
    install(project)
    assert "No readings by the hour" in StripHeatService(project).look().why_not


def test_strips_are_seen_since_the_machine_went_in(project: Project, tmp_path: Path) -> None:
    install(project)
    file_readings(project, tmp_path / "hours.csv", strips=True)
    found = StripHeatService(project).look()
    assert found.since == INSTALLED
    assert found.sign is not None
    assert found.sign.answer is StripAnswer.LIKELY
    assert found.sign.days <= DAYS - (INSTALLED - FIRST).days
    assert found.sign.step_kw == pytest.approx(9.6, abs=1.0)
    # DD: balance point of the straight machine, worked by hand: 26.43 F
    assert found.sign.knee_f == pytest.approx(26.4, abs=4.0)
    assert found.weather.startswith("the weather in use")


def test_a_pump_alone_shows_no_sign(project: Project, tmp_path: Path) -> None:
    install(project)
    file_readings(project, tmp_path / "hours.csv", strips=False)
    sign = StripHeatService(project).look().sign
    assert sign is not None
    assert sign.answer is StripAnswer.NO_SIGN


def test_temperatures_of_the_days_themselves_are_used_where_they_are_read_in(
    project: Project, tmp_path: Path
) -> None:
    install(project)
    file_readings(project, tmp_path / "hours.csv", strips=True, colder_f=5.0)
    blind = StripHeatService(project).look().sign
    typical = greensboro().temp_c.reshape(-1, 24).mean(axis=1) * 1.8 + 32.0
    days = [FIRST + timedelta(days=at) for at in range(DAYS)]
    rows = [f"{day},{typical[day_of_typical_year(day)] - 5.0:.2f}" for day in days]
    path = tmp_path / "days.csv"
    path.write_text("date,mean F\n" + "\n".join(rows), encoding="utf-8")
    read_in(project, path)
    found = StripHeatService(project).look()
    assert found.sign is not None
    assert blind is not None
    assert found.weather.startswith("the daily temperatures read in")
    assert found.sign.knee_f == pytest.approx(26.4, abs=4.0)
    assert found.sign.cold_days > blind.cold_days


def test_readings_that_end_before_the_machine_ran_say_so(project: Project, tmp_path: Path) -> None:
    with project.action("Put a heat pump in late") as work:
        work.session.add(
            m.Equipment(
                key="hp",
                kind=EquipmentKind.GROUND_SOURCE_HEAT_PUMP,
                name="Heat pump",
                fuel=m.Fuel.ELECTRICITY,
                installed_on=date(2026, 11, 1),
            )
        )
    file_readings(project, tmp_path / "hours.csv", strips=False)
    assert "end before Heat pump ran" in StripHeatService(project).look().why_not


def test_the_sample_house_has_no_electric_heat_yet(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as sample:
        found = StripHeatService(sample).look()
    assert found.sign is None
    assert "No heat pump" in found.why_not
