"""The files of a simulated year."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.exchange.year_report import CannotWrite, summary, write_report
from retrofit_desk.physics.engine import run_year
from tests.physics.houses import box, house


def test_tables_add_up_to_the_summary(tmp_path: Path) -> None:
    year = run_year(house(box(window_m2=2.0)), greensboro())
    paths = write_report(year, summary(year), (), tmp_path / "out")
    assert [p.name for p in paths] == ["summary.json", "zone-01-room.csv", "year.png", "sun.csv"]
    told = json.loads(paths[0].read_text())
    with paths[1].open() as handle:
        rows = list(csv.DictReader(handle))
    assert len(rows) == 8760
    assert (rows[0]["hour_ending"], rows[-1]["hour_ending"]) == ("01-01 01:00", "12-31 24:00")
    heating = sum(float(r["heating_w"]) for r in rows) / 1000
    assert heating == pytest.approx(told["annual"]["heating_kwh"], rel=1e-5)
    assert sum(told["monthly"]["heating_kwh"]) == pytest.approx(told["annual"]["heating_kwh"], rel=1e-9)
    account = told["heat_account"]
    into = ("sun_and_sky_kwh", "boundaries_kwh", "outdoor_air_kwh", "gains_kwh", "heating_kwh")
    stored = sum(account[key] for key in into) - account["cooling_kwh"]
    assert stored == pytest.approx(account["stored_kwh"], abs=1e-5)
    south = next(s for s in told["surfaces"] if s["name"] == "south")
    with paths[3].open() as handle:
        sun = [float(r["south incident_w_m2"]) for r in csv.DictReader(handle)]
    assert sum(sun) / 1000 == pytest.approx(south["incident_sun_kwh_m2"], rel=1e-4)


def test_folder_that_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    year = run_year(house(box()), greensboro())
    with pytest.raises(CannotWrite) as caught:
        write_report(year, summary(year), (), tmp_path / "file")
    assert "\n" not in caught.value.line()
