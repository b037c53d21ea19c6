"""The log of a machine's controller: filed with it, held against its tests, told on its page."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.exchange.readings_file import BadReadings
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.machine_page import MachinePageService
from retrofit_desk.services.machine_trend import MachineTrendService, TrendPoint, TrendSheet
from retrofit_desk.services.papers import PaperService
from retrofit_desk.services.read_in import CannotReadIn, kind_of, look_into, read_in, recognized
from retrofit_desk.values.quantity import Units

HEAD = "Time,Supply (F),Return (F),Power (W)\n"


def machine(project: Project, word: str) -> int:
    return next(row for row, name in MachinePageService(project).machines() if word in name)


def a_log(folder: Path, on_min: int, off_min: int, return_f: float = 95.0, hours: int = 6) -> Path:
    """One reading a minute; it runs `on_min`, rests `off_min`."""
    lines = []
    for minute in range(hours * 60):
        runs = minute % (on_min + off_min) < on_min
        day = f"2026-12-18 {6 + minute // 60:02d}:{minute % 60:02d}"
        lines.append(f"{day},104.0,{return_f if runs else 103.8},{2100 if runs else 35}\n")
    path = folder / "pump.csv"
    path.write_text(HEAD + "".join(lines), encoding="utf-8")
    return path


def point(sheet: TrendSheet, word: str) -> TrendPoint:
    return next(one for one in sheet.points if word in one.title)


def test_the_sample_water_heater_is_held_against_its_own_test(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as project:
        (filed,) = MachineTrendService(project).filed(machine(project, "Heat-pump water heater"))
        page = MachinePageService(project).page(machine(project, "Heat-pump water heater"))
    tank = point(filed.sheet, "Tank")
    assert "at least 120.2°F, at most 140°F" in tank.words.replace(" °F", "°F")
    assert "tested Oct 8, 2026; Maker's start-up sheet" in tank.words
    assert tank.is_fault is False  # a few readings right after the showers
    assert point(filed.sheet, "Room").is_fault is None  # no limit is not "kept"
    assert point(filed.sheet, "Starts").is_fault is False
    assert page.part("Logs of its controller")[0].startswith("Oct 14, 2026 to Oct 15, 2026, 576 readings")


def test_a_log_is_looked_at_kept_in_one_step_and_undone(sample_project: Project, tmp_path: Path) -> None:
    trends, pump = MachineTrendService(sample_project), machine(sample_project, "Ground-source heat pump")
    path = a_log(tmp_path, 50, 10)
    seen = trends.look(path, pump)
    assert trends.filed(pump) == ()
    paper = trends.keep(path, pump)
    (filed,) = trends.filed(pump)
    assert (filed.paper_id, filed.sheet.points) == (paper, seen.points)
    sheet = PaperService(sample_project).sheet(paper)
    assert {one.title for one in sheet.used_for} >= {"Ground-source heat pump, water to water"}
    sample_project.undo()
    assert trends.filed(pump) == ()


def test_limits_of_the_table_hold_until_a_test_states_its_own(
    sample_project: Project, tmp_path: Path
) -> None:
    # NEED-19: 3 to 8 K is common practice for heat pumps, no source; the log says 5 K
    trends, pump = MachineTrendService(sample_project), machine(sample_project, "Ground-source heat pump")
    path = a_log(tmp_path, 50, 10)
    good = point(trends.look(path, pump, Units.SI), "Supply and return apart")
    assert good.is_fault is False
    assert "5 K" in good.words
    assert "common practice for heat pumps" in good.words
    with sample_project.action("A stricter sheet") as work:
        row = work.session.get_one(m.Equipment, pump)
        assert row.measure_id is not None
        entry = work.session.scalars(
            select(m.WorkEntry).where(
                m.WorkEntry.measure_id == row.measure_id, m.WorkEntry.is_draft.is_(False)
            )
        ).first()
        assert entry is not None
        test = m.CommissioningTest(
            kind="temperature_difference",
            quantity="Temperature difference",
            unit="K",
            low_limit=6.0,
            high_limit=8.0,
            limit_source="Maker's sheet 4",
        )
        entry.tests.append(test)
    strict = point(trends.look(path, pump, Units.SI), "Supply and return apart")
    assert strict.is_fault is True
    assert "Maker's sheet 4" in strict.words
    assert "outside for 100%" in strict.words.replace(" %", "%")


def test_a_machine_that_starts_too_often_is_told(sample_project: Project, tmp_path: Path) -> None:
    # NEED-19: 6 starts an hour, common practice, no source
    trends, pump = MachineTrendService(sample_project), machine(sample_project, "Ground-source heat pump")
    short = trends.look(a_log(tmp_path, 4, 4), pump)
    cycling = point(short, "starts too often")
    assert cycling.is_fault is True
    assert "most 8 in one hour" in cycling.words
    assert not [one for one in trends.look(a_log(tmp_path, 50, 10), pump).points if one.is_fault]


def test_a_file_that_is_no_log_is_refused_and_nothing_is_filed(
    sample_project: Project, tmp_path: Path
) -> None:
    trends, pump = MachineTrendService(sample_project), machine(sample_project, "Ground-source heat pump")
    path = tmp_path / "pump.csv"
    path.write_text("Time,Supply,Return\n" + "2026-12-18 06:00,104,95\n" * 12)
    before = sample_project.undo_title
    with pytest.raises(BadReadings, match="without its unit"):
        trends.keep(path, pump)
    assert sample_project.undo_title == before
    assert trends.filed(pump) == ()


def test_the_picture_keeps_gaps_and_the_units_shown(sample_project: Project, tmp_path: Path) -> None:
    trends, pump = MachineTrendService(sample_project), machine(sample_project, "Ground-source heat pump")
    path = tmp_path / "pump.csv"
    lines = [f"2026-12-18 06:{at:02d},{104 if at < 5 or at > 9 else ''},95,2100\n" for at in range(20)]
    path.write_text(HEAD + "".join(lines))
    us, si = trends.look(path, pump), trends.look(path, pump, Units.SI)
    (supply, _) = us.drawn
    assert [at for at, value in enumerate(supply.values) if value is None] == [5, 6, 7, 8, 9]
    assert (supply.values[0], us.unit, si.unit) == (pytest.approx(104.0), "°F", "°C")
    assert si.drawn[0].values[0] == pytest.approx(40.0)


def test_a_log_is_told_from_its_headings_and_read_in_like_any_file(
    sample_project: Project, tmp_path: Path
) -> None:
    path, name = a_log(tmp_path, 50, 10), "Ground-source heat pump, water to water"
    assert kind_of(path) == "log"
    with pytest.raises(CannotReadIn, match=name):
        read_in(sample_project, path)
    seen = look_into(sample_project, path, machine=name)
    assert seen.line == f"Holds 360 readings of the controller of {name}"
    pump = machine(sample_project, name)
    assert MachineTrendService(sample_project).filed(pump) == ()
    assert read_in(sample_project, path, machine=name).line.startswith("Kept 360 readings")
    assert len(MachineTrendService(sample_project).filed(pump)) == 1


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Start,Usage (kWh)", "readings"),
        ("Start,Usage (kWh),Outdoor (F)", "readings"),  # a meter that knows the weather
        ("Start time,Usage (kWh),Power (kW),Outdoor (F)", "readings"),  # and its power
        ("Date,Mean (F)", "temperatures"),
        ("Name,Price", None),
    ],
)
def test_other_tables_are_no_logs(tmp_path: Path, heading: str, kind: str | None) -> None:
    path = tmp_path / "table.csv"
    rows = "".join(f"2026-01-05 {hour:02d}:00{',1.5' * heading.count(',')}\n" for hour in range(24))
    path.write_text(f"{heading}\n{rows}", encoding="utf-8")
    assert recognized(path) == kind
