"""Readings of a meter in a project: looked at, kept as a paper in one step, read back, held against bills."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import select

from retrofit_desk.exchange.readings_file import BadReadings
from retrofit_desk.records import models as m
from retrofit_desk.records.errors import PaperLost
from retrofit_desk.records.project import Project
from retrofit_desk.services.meter_readings import MeterReadingsService
from retrofit_desk.services.outside_temps import outside_temps_in_use
from retrofit_desk.services.read_in import kind_of, look_into, read_in
from retrofit_desk.services.weather import weather_in_use
from tests.services.small_house import a_recorded_house, add_bills

NEW_YORK = ZoneInfo("America/New_York")
FIRST = date(2026, 3, 1)
DAYS = 30


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with a_recorded_house(tmp_path / "house") as made:
        put_in_zone(made, "America/New_York")
        yield made


def put_in_zone(project: Project, name: str) -> None:
    with project.action("Say the time zone") as work:
        work.session.scalars(select(m.Site)).one().time_zone = name


def write(path: Path, use: Callable[[datetime], float], unit: str = "kWh", days: int = DAYS) -> Path:
    """Hourly readings of local days, among them one of 23 hours."""
    start = datetime(FIRST.year, FIRST.month, FIRST.day, tzinfo=NEW_YORK).astimezone(UTC)
    last = FIRST + timedelta(days=days)
    end = datetime(last.year, last.month, last.day, tzinfo=NEW_YORK).astimezone(UTC)
    lines = [f"Start,Usage ({unit})"]
    while start < end:
        there = start.astimezone(NEW_YORK)
        lines.append(f"{there:%Y-%m-%d %H:%M},{use(there):.3f}")
        start += timedelta(hours=1)
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def meter_id(project: Project, fuel: m.Fuel) -> int:
    with project.session() as session:
        return session.scalars(select(m.Meter.id).where(m.Meter.fuel == fuel)).one()


def test_a_look_keeps_nothing_and_tells_what_there_is(project: Project, tmp_path: Path) -> None:
    (found,) = MeterReadingsService(project).look(write(tmp_path / "r.csv", lambda at: at.hour / 10))
    assert (found.first, found.last, found.readings) == (FIRST, date(2026, 3, 30), DAYS * 24 - 1)
    assert found.clock_days == ((date(2026, 3, 8), 23),)  # FMT-3
    assert found.largest_in_hour == pytest.approx(2.3)
    assert found.gaps == 0
    assert "Mar 8, 2026 has 23 hours" in " ".join(found.lines())
    assert MeterReadingsService(project).sheet(found.meter_id) is None
    with project.session() as session:
        assert not session.scalars(select(m.Paper)).all()


def test_a_house_without_a_time_zone_is_told(project: Project, tmp_path: Path) -> None:
    put_in_zone(project, "")
    (found,) = MeterReadingsService(project).look(write(tmp_path / "r.csv", lambda at: 1.0))
    assert "time zone is not stated" in " ".join(found.notes)


def test_what_is_kept_is_one_paper_and_one_step(project: Project, tmp_path: Path) -> None:
    path = write(tmp_path / "r.csv", lambda at: 1.0)
    told = read_in(project, path)
    assert (told.kind, told.rows) == ("readings", DAYS * 24 - 1)
    assert told.about
    power = meter_id(project, m.Fuel.ELECTRICITY)
    sheet = MeterReadingsService(project).sheet(power)
    assert sheet is not None
    assert sheet.files == ("r.csv",)
    assert sheet.summary.used == pytest.approx(DAYS * 24 - 1)
    assert project.undo_title == "Read in readings from r.csv"
    with project.session() as session:
        paper = session.scalars(select(m.Paper)).one()
        assert project.papers.read(paper.sha256) == path.read_bytes()
    project.undo()
    assert MeterReadingsService(project).sheet(power) is None
    project.redo()
    assert MeterReadingsService(project).sheet(power) == sheet


def test_two_files_are_one_meter_and_the_later_counts(project: Project, tmp_path: Path) -> None:
    service = MeterReadingsService(project)
    service.keep(write(tmp_path / "first.csv", lambda at: 1.0))
    service.keep(write(tmp_path / "second.csv", lambda at: 2.0, days=10))
    sheet = service.sheet(meter_id(project, m.Fuel.ELECTRICITY))
    assert sheet is not None
    assert sheet.files == ("first.csv", "second.csv")
    assert sheet.summary.used == pytest.approx(2.0 * (240 - 1) + 1.0 * 480)


def test_readings_are_held_against_the_bills_of_the_same_days(project: Project, tmp_path: Path) -> None:
    add_bills(project, "power", FIRST, [100.0, 120.0, 300.0], 10)
    (found,) = MeterReadingsService(project).look(write(tmp_path / "r.csv", lambda at: 0.5, days=25))
    # the third bill ends after the readings do
    assert found.against_bills == (pytest.approx(220.0), pytest.approx(0.5 * (480 - 1)), 2)
    assert "+8.9%" in " ".join(found.lines())


def test_gas_by_volume_becomes_therms_of_the_meter(project: Project, tmp_path: Path) -> None:
    (found,) = MeterReadingsService(project).look(write(tmp_path / "g.csv", lambda at: 0.1, unit="CCF"))
    # 40 CFR 98, table C-1: 0.1026 MMBtu a CCF; a therm is a tenth of an MMBtu
    assert found.unit == "therm"
    assert found.used == pytest.approx(0.1 * 1.026 * found.readings)
    assert "1.026" in " ".join(found.notes)


def test_two_meters_of_one_fuel_must_be_told_apart(project: Project, tmp_path: Path) -> None:
    with project.action("Add a meter") as work:
        work.session.add(m.Meter(key="shed", name="Shed", fuel=m.Fuel.ELECTRICITY, unit=m.EnergyUnit.KWH))
    path = write(tmp_path / "r.csv", lambda at: 1.0)
    with pytest.raises(BadReadings, match="cannot tell which meter"):
        MeterReadingsService(project).keep(path)
    (found,) = MeterReadingsService(project).keep(path, "Shed")
    assert found.meter == "Shed"
    with pytest.raises(BadReadings, match="no such meter"):
        MeterReadingsService(project).keep(path, "Barn")


def test_a_filed_file_that_is_gone_is_said(project: Project, tmp_path: Path) -> None:
    MeterReadingsService(project).keep(write(tmp_path / "r.csv", lambda at: 1.0))
    with project.session() as session:
        stored = project.papers.path(session.scalars(select(m.Paper.sha256)).one())
    stored.chmod(0o644)
    stored.unlink()
    with pytest.raises(PaperLost):
        MeterReadingsService(project).sheet(meter_id(project, m.Fuel.ELECTRICITY))


def test_mean_days_show_when_the_house_uses_most(project: Project, tmp_path: Path) -> None:
    path = write(tmp_path / "r.csv", lambda at: 3.0 if at.astimezone(UTC).hour == 12 else 1.0)
    MeterReadingsService(project).keep(path)
    sheet = MeterReadingsService(project).sheet(meter_id(project, m.Fuel.ELECTRICITY))
    assert sheet is not None
    newest = sheet.days[-1]
    assert newest.name == "last 28 days"
    assert newest.values[7] == pytest.approx(3.0)  # noon in UTC is 7 in the standard time of New York
    assert newest.values[8] == pytest.approx(1.0)


# what kind of file it is


@pytest.mark.parametrize(
    ("name", "text", "kind"),
    [
        ("a.csv", "period_start,period_end,quantity,unit,cost\n", "bills"),
        ("a.csv", "date,mean\n2026-01-01,40\n", "temperatures"),
        ("a.csv", "Name,Maren\nStart,Usage (kWh)\n2026-01-01 00:00,1\n", "readings"),
        ("a.csv", "what,ever\n1,2\n", "bills"),
        ("a.xml", "<feed/>", "readings"),
        ("a.epw", "", "weather"),
        ("a.txt", "", None),
    ],
)
def test_a_file_is_told_by_its_ending_and_headings(
    name: str, text: str, kind: str | None, tmp_path: Path
) -> None:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    assert kind_of(path) == kind


def test_daily_temperatures_are_kept_and_used_for_their_days(project: Project, tmp_path: Path) -> None:
    path = tmp_path / "days.csv"
    lines = [f"{FIRST + timedelta(days=at)},{40 + at / 2}" for at in range(60)]
    path.write_text("date,mean (°F)\n" + "\n".join(lines), encoding="utf-8")
    look = look_into(project, path)
    assert (look.kind, look.rows) == ("temperatures", 60)
    read_in(project, path)
    with project.session() as session:
        temps = outside_temps_in_use(project, session, weather_in_use(project, session))
    assert temps.of(FIRST, FIRST + timedelta(days=2)) == pytest.approx([40.0, 40.5])
    assert temps.is_measured(FIRST, FIRST + timedelta(days=30))
    project.undo()
    with project.session() as session:
        assert not outside_temps_in_use(project, session, weather_in_use(project, session)).actual_f


def test_the_sample_houses_hours_add_up_to_its_bills(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as sample:
        sheet = MeterReadingsService(sample).sheet(meter_id(sample, m.Fuel.ELECTRICITY))
    assert sheet is not None
    assert sheet.summary.against_bills is not None
    billed, read, bills = sheet.summary.against_bills
    assert bills == 12
    assert read == pytest.approx(billed, rel=1e-3)
    assert [hours for _, hours in sheet.summary.clock_days] == [23, 25]
    assert sheet.summary.gaps == 0
    assert [day.name for day in sheet.days] == ["winter", "summer", "last 28 days"]
