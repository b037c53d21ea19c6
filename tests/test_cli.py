"""The command line: what each verb answers, in words and as data, and the one line of every refusal."""

from __future__ import annotations

import errno
import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from copy import deepcopy
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from sqlalchemy import select

from retrofit_desk.cli import PACKET_KINDS, main
from retrofit_desk.estimate.from_records import case_of
from retrofit_desk.estimate.scenario import Simulator
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.records import models as m
from retrofit_desk.records.database import database_of
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import WorthService
from retrofit_desk.services.worth_years import WorthYearsService
from tests.physics.houses import box

ROOT = Path(__file__).parents[1]
VERBS = {
    "open",
    "sample",
    "savings",
    "fit",
    "did-it-work",
    "against-battery",
    "run-year",
    "check-house",
    "packet",
    "read-in",
    "write-out",
    "backup",
    "check-files",
}
NEEDS_A_PROJECT = (
    "savings",
    "fit",
    "did-it-work",
    "against-battery",
    "packet",
    "read-in",
    "write-out",
    "backup",
    "check-files",
)
BILLS = "period_start,period_end,quantity,unit,cost\n2026-11-04,2026-12-04,455,kWh,75.20\n"


class Desk:
    """Runs a verb as the shell would, and looks at what it printed."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def answer(self, *words: object) -> str:
        """What a verb that succeeds prints."""
        self._capsys.readouterr()
        code = main([str(word) for word in words])
        out, err = self._capsys.readouterr()
        assert (code, err) == (0, "")
        return out

    def data(self, *words: object) -> dict[str, Any]:
        """The same with --json."""
        found: dict[str, Any] = json.loads(self.answer(*words, "--json"))
        assert found["schema"] == f"retrofit-desk/{words[0]}/1"
        return found

    def refusal(self, *words: object, code: int = 2) -> str:
        """The one line of a verb that refuses; with --json the same line inside one object."""
        self._capsys.readouterr()
        assert main([str(word) for word in words]) == code
        out, line = self._capsys.readouterr()
        assert out == ""
        assert line.count("\n") == 1
        assert "Traceback" not in line
        assert main([*(str(word) for word in words), "--json"]) == code
        told = json.loads(self._capsys.readouterr().err)
        assert set(told) == {"schema", "error", "kind"}
        assert told["error"] == line.rstrip("\n")
        return line


@pytest.fixture
def desk(capsys: pytest.CaptureFixture[str]) -> Desk:
    return Desk(capsys)


@pytest.fixture(scope="session")
def greensboro_file() -> Path:
    return Path(str(resources.files("pvlib") / "data" / "723170TYA.CSV"))


@pytest.fixture
def house_file(tmp_path: Path) -> Path:
    return write_house_file(tmp_path, airy_box())


def airy_box(window_m2: float = 3.0) -> dict[str, Any]:
    """The box with all that a file has to state."""
    described = deepcopy(box(window_m2=window_m2, zone={"leakage": {"air_changes_per_h": 0.5}}))
    for surface in described["surfaces"]:
        surface.setdefault("tilt_deg", 90)
    return described


def write_house_file(folder: Path, described: dict[str, Any]) -> Path:
    path = folder / "house.json"
    path.write_text(json.dumps(described), encoding="utf-8")
    return path


# what every verb does


def test_help_names_every_verb_and_every_exit_code(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    told = capsys.readouterr().out
    assert {word for word in VERBS if f"\n    {word}" in told} == VERBS
    assert all(code in told for code in ("0 done", "2 something", "3 the disk", "70 a fault", "130 stopped"))


@pytest.mark.parametrize("verb", sorted(VERBS))
def test_the_help_of_a_verb_is_a_sentence_and_offers_json(
    verb: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main([verb, "--help"])
    assert ended.value.code == 0
    told = capsys.readouterr().out
    first = told.split("\n\n")[1]
    assert first[0].isupper()
    assert first.endswith(".")
    assert "--json" in told


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("demolish",),
        ("savings",),
        ("savings", "a.retrofit", "b.retrofit"),
        ("packet", "a.retrofit", "neighbor"),
        ("run-year", "house.json"),
    ],
)
def test_a_mistyped_command_is_one_line(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert ended.value.code == 2
    line = capsys.readouterr().err
    assert line.count("\n") == 1
    assert line.startswith("retrofit-desk")
    assert "--help" in line


def test_a_module_run_from_a_shell_answers_without_loading_the_window(house_file: Path) -> None:
    program = (
        "import sys; from retrofit_desk.cli import main; code = main(sys.argv[1:]); "
        "sys.exit(code or ('PySide6' in sys.modules) or ('sqlalchemy' in sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, "check-house", str(house_file)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")


# a described house


def test_run_year_tells_a_house_in_words_and_as_data(
    desk: Desk, house_file: Path, greensboro_file: Path
) -> None:
    words = ("run-year", house_file, "--weather", greensboro_file)
    told = desk.answer(*words)
    found = desk.data(*words)
    assert set(found) == {
        "schema",
        "report_version",
        "house",
        "weather",
        "annual",
        "monthly",
        "zones",
        "surfaces",
        "windows",
        "heat_account",
        "start",
        "unsettled_hours",
        "weather_source",
        "taken_values",
        "plant",
        "carbon",
    }
    assert set(found["annual"]) == {
        "heating_kwh",
        "cooling_kwh",
        "peak_heating_w",
        "peak_heating_hour_ending",
        "peak_cooling_w",
        "peak_cooling_hour_ending",
    }
    assert f"{found['annual']['heating_kwh']:,.0f} kWh" in told
    assert found["zones"][0]["heating_kwh"] == pytest.approx(found["annual"]["heating_kwh"])
    assert len(found["monthly"]["heating_kwh"]) == 12
    assert sum(found["monthly"]["heating_kwh"]) == pytest.approx(found["annual"]["heating_kwh"])
    assert abs(found["heat_account"]["residual_share"]) < 1e-9


def test_run_year_runs_the_plant_and_bills_it(desk: Desk, greensboro_file: Path, tmp_path: Path) -> None:
    house = ROOT / "assets" / "example_houses" / "two_storeys.json"
    tariff = f"electricity={ROOT / 'shared' / 'tariffs' / 'carraway-residential.toml'}"
    words = ("run-year", house, "--weather", greensboro_file, "--tariff", tariff)
    found = desk.data(*words, "--hourly", "--out", tmp_path / "out")
    cents = found["plant"]["bills"][0]["annual_cents"]
    assert f"${cents / 100:,.0f} a year by Carraway" in desk.answer(*words)
    assert len(found["hourly"]["zones"][0]["air_c"]) == 8760
    head, *rows = (tmp_path / "out" / "plant.csv").read_text().splitlines()
    assert len(rows) == 8760
    drawn = head.split(",").index("drawn_w")
    total = sum(float(row.split(",")[drawn]) for row in rows) / 1000
    assert total == pytest.approx(found["plant"]["electricity"]["drawn_kwh"], rel=1e-4)
    gone = f"gas={tmp_path / 'gone.toml'}"
    assert "gone.toml" in desk.refusal(*words[:4], "--tariff", gone)
    assert "Write FUEL=FILE" in desk.refusal(*words[:4], "--tariff", "electricity")


def test_run_year_writes_the_hours_of_every_zone(
    desk: Desk, house_file: Path, greensboro_file: Path, tmp_path: Path
) -> None:
    out = tmp_path / "not" / "there yet"
    told = desk.answer("run-year", house_file, "--weather", greensboro_file, "--out", out)
    names = {path.name for path in out.iterdir()}
    assert names == {"summary.json", "zone-01-room.csv", "year.png", "sun.csv"}
    assert all(f"Wrote {out / name}" in told for name in names)
    assert len((out / "zone-01-room.csv").read_text().splitlines()) == 8761


def test_a_house_without_windows_has_a_year_too(desk: Desk, tmp_path: Path, greensboro_file: Path) -> None:
    house = write_house_file(tmp_path, airy_box(window_m2=0.0))
    assert "windows             none" in desk.answer("check-house", house)
    found = desk.data("run-year", house, "--weather", greensboro_file)
    assert found["windows"] == []
    assert found["annual"]["heating_kwh"] > 0


def test_check_house_counts_what_is_described(desk: Desk, house_file: Path) -> None:
    found = desk.data("check-house", house_file)
    assert found["house"] == str(house_file)
    assert (found["sound"], found["zones"], found["surfaces"]) == (True, 1, 6)
    assert "the description is sound" in desk.answer("check-house", house_file)


def changed(at: str, value: object) -> dict[str, Any]:
    """The box with one value put at a dotted path."""
    house = airy_box()
    *way, last = at.split(".")
    place: Any = house
    for step in way:
        place = place[int(step)] if isinstance(place, list) else place[step]
    place[int(last) if isinstance(place, list) else last] = value
    return house


@pytest.mark.parametrize(
    ("at", "value", "told"),
    [
        ("constructions.0.layers.0.thickness_m", -0.1, "must be more than 0, is -0.1"),
        ("constructions.0.layers.0.thickness_in", 4, "constructions.0.layers.0.thickness_in: unknown key"),
        ("zones.0.volume_m3", "2650 ft3", "zones.0.volume_m3: "),
        ("surfaces.0.colour", "red", "surfaces.0.colour: unknown key"),
        ("surfaces.0.windows.0.width_m", 40.0, "glass"),
        (
            "constructions.0.layers.1",
            {"kind": "massless", "name": "nothing", "resistance_m2k_w": 0},
            "constructions.0.layers.1.resistance_m2k_w: must be more than 0",
        ),
        ("surfaces.0.area_m2", float("nan"), "surfaces.0.area_m2: must be a finite number"),
        ("surfaces.0.zone", "attic", "attic"),
    ],
)
@pytest.mark.parametrize("verb", ["check-house", "run-year"])
def test_a_house_that_cannot_be_is_refused_by_its_key(
    desk: Desk, tmp_path: Path, greensboro_file: Path, verb: str, at: str, value: object, told: str
) -> None:
    house = write_house_file(tmp_path, changed(at, value))
    weather = ("--weather", greensboro_file) if verb == "run-year" else ()
    line = desk.refusal(verb, house, *weather)
    assert line.startswith(f"{house}: ")
    assert told in line


@pytest.mark.parametrize("content", ["", "{", "[]", "null", '{"name": "a house"}', "\udcff"])
def test_a_file_that_is_no_house_is_one_line(desk: Desk, tmp_path: Path, content: str) -> None:
    path = tmp_path / "house.json"
    path.write_bytes(content.encode("utf-8", "surrogateescape"))
    assert desk.refusal("check-house", path).startswith(str(path))


# weather


def test_a_weather_file_with_faults_is_refused_by_its_row(
    desk: Desk, house_file: Path, greensboro_file: Path, tmp_path: Path
) -> None:
    lines = greensboro_file.read_text(encoding="utf-8").splitlines()
    holed = lines[502].split(",")
    holed[31] = "-9900"
    day = [line.replace("02/28/", "02/29/", 1).replace(line[6:10], "1988", 1) for line in lines[2:]]
    leap = [line for line in day if line.startswith("02/29/")]
    march = next(row for row, line in enumerate(lines) if line.startswith("03/01/"))
    faults = {
        "row 503 (01-21 21:00): Dry bulb": [*lines[:502], ",".join(holed), *lines[503:]],
        "8,760 hours, this file has 8,759": lines[:100] + lines[101:],
        "29 February": lines[:march] + leap + lines[march:],
        "not a weather file": ["hello"],
    }
    path = tmp_path / "weather.csv"
    for told, rows in faults.items():
        path.write_text("\n".join(rows) + "\n", encoding="utf-8")
        line = desk.refusal("run-year", house_file, "--weather", path)
        assert told.casefold() in line.casefold()
        assert str(path) in line


# missing files and folders


def test_a_missing_file_is_one_line(
    desk: Desk, tmp_path: Path, house_file: Path, greensboro_file: Path, sample_copy: Path
) -> None:
    gone = tmp_path / "gone.csv"
    for words in (
        ("check-house", gone),
        ("run-year", gone, "--weather", greensboro_file),
        ("run-year", house_file, "--weather", gone),
        ("read-in", sample_copy, gone),
        ("read-in", sample_copy, gone.with_suffix(".epw")),
    ):
        assert str(gone.with_suffix("")) in desk.refusal(*words)


@pytest.mark.parametrize("verb", NEEDS_A_PROJECT)
def test_a_folder_that_is_no_project_is_one_line(desk: Desk, tmp_path: Path, verb: str) -> None:
    more = {"packet": ("rebate",), "read-in": ("bills.csv",), "write-out": ("house.json",)}.get(verb, ())
    for folder in (tmp_path / "Elm Street.retrofit", tmp_path):
        line = desk.refusal(verb, folder, *more)
        assert line.startswith(f"{folder}: there is no project here.")
        assert "NAME.retrofit" in line
        assert list(tmp_path.iterdir()) == []


# projects


def test_sample_makes_a_project_and_never_touches_one_that_is_there(desk: Desk, tmp_path: Path) -> None:
    found = desk.data("sample", tmp_path / "Elm Street")
    path = tmp_path / "Elm Street.retrofit"
    assert found["project"] == str(path)
    assert (path / "project.sqlite").is_file()
    line = desk.refusal("sample", tmp_path / "Elm Street")
    assert line.startswith(f"{path}: the folder is already there. Nothing in it was touched.")


def test_savings_are_told_in_words_and_as_data(
    desk: Desk, sample_copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Project.open(sample_copy) as project, project.action("Look at one measure alone") as work:
        for measure in work.session.scalars(select(m.Measure)):
            measure.in_line_up = measure.kind == "air_sealing"
    found = desk.data("savings", sample_copy)
    # the sum is kept now: what is known is not worked out again
    monkeypatch.delattr(WorthService, "savings")
    told = desk.answer("savings", sample_copy)
    every = desk.data("savings", sample_copy, "--all-sets")
    (alone,) = every["measures"]
    assert every["every_set_was_run"]
    assert [one["measures"] for one in every["sets"]] == [[], ["air-sealing"]]
    assert every["sets"][1]["money_saved_cents_per_year"] == pytest.approx(
        alone["alone"]["money_saved_cents"]
    )
    assert "; fair part $" in desk.answer("savings", sample_copy)
    assert found["measures"][0]["fair_part"] is None
    assert alone["fair_part"] == pytest.approx(alone["alone"])
    assert set(found) == {
        "schema",
        "made_at",
        "fingerprint",
        "weather",
        "range_basis",
        "before",
        "after",
        "whole",
        "measures",
        "rooms",
        "moves_most",
        "sources",
        "notes",
        "edition",
        "over_years",
        "carbon",
        "comfort",
        "every_set_was_run",
        "sets",
        "best_for_the_money",
    }
    jsonschema.validate(found, json.loads((ROOT / "shared" / "answers" / "savings.schema.json").read_text()))
    assert [one["key"] for one in found["measures"]] == ["air-sealing"]
    assert (found["schema"], found["edition"]) == ("retrofit-desk/savings/1", 4)
    tells_the_years(found, sample_copy)
    fuel = found["whole"]["fuel_removed_kwh_per_year"]
    assert fuel["low"] < fuel["value"] < fuel["high"]
    before, after = (
        sum(bill["total_cents"] for bill in found[year]["bills"]) for year in ("before", "after")
    )
    assert found["whole"]["money_saved_cents_per_year"]["value"] == pytest.approx(before - after)
    assert all(one["source"] for one in found["sources"])
    assert "1. Air sealing: fuel removed" in told
    assert "likely range" in told


def tells_the_years(found: dict[str, Any], folder: Path) -> None:
    """The same as the window reads: money by year adds up, carbon by stage and year, what is unknown."""
    with Project.open(folder, read_only=True) as project:
        kept = WorthService(project).latest()
        assert kept is not None
        years = WorthYearsService(project).of(kept)
    told, money = found["over_years"], found["over_years"]["whole"]
    assert money["npv_cents"] == years.reserved.net_present_cents
    rate = told["outlook"]["discount_rate_share_per_year"]
    present = sum(cents / (1 + rate) ** year for year, cents in enumerate(money["flows_by_year_cents"]))
    assert money["npv_cents"] == pytest.approx(present, abs=1)
    assert len(told["cash_own_by_year_cents"]) == told["outlook"]["study_years"] + 1
    assert told["npv_low_cents"] <= told["npv_median_cents"] <= told["npv_high_cents"]
    (sealing,) = told["measures"]
    assert (sealing["upkeep_cents_per_year"], sealing["upkeep_is"]) == (None, "unknown")
    assert money["upkeep_is_complete"] is False
    assert sealing["parts"][0]["life_source"]
    assert told["loan"]["payment_cents"] > 0
    stages, by_year = found["carbon"]["by_stage"], found["carbon"]["by_year"]
    assert "C1 taking out" in stages["left_out"]
    assert len(by_year) == told["outlook"]["study_years"]
    saved = found["carbon"]["put_in_at_start_kg"] - sum(one["saved_in_use_kg"] for one in by_year)
    left = saved + sum(one["refrigerant_lost_kg_co2e"] for one in by_year)
    assert by_year[-1]["put_in_not_yet_saved_kg"] == pytest.approx(left)
    assert found["comfort"]["waking_hours_per_year"] == 16 * 365


def test_each_number_that_was_added_to_the_answer_has_its_unit_in_its_name() -> None:
    schema = json.loads((ROOT / "shared" / "answers" / "savings.schema.json").read_text())
    units = ("cents", "dollars", "years", "year", "months", "hours", "kg", "kg_co2", "kg_co2e", "share")
    units += ("ratio", "percent")
    rates = ("_per_year", "_per_kwh")
    names: list[str] = []

    def walk(node: dict[str, Any]) -> None:
        for name, one in node.get("properties", {}).items():
            kinds = one["type"] if isinstance(one["type"], list) else [one["type"]]
            items = one.get("items", {})
            if {"number", "integer"} & {*kinds, items.get("type", "")}:
                names.append(name)
            walk(one)
            walk(items)

    for part in ("over_years", "carbon", "comfort"):
        walk({"properties": {part: schema["properties"][part]}})
    assert len(names) > 60
    for name in names:
        bare = name
        for rate in rates:
            bare = bare.removesuffix(rate)
        assert (
            bare.endswith((*units, "dollars", "months", "by_year_cents")) or name == "bought_again_in_years"
        ), name


@pytest.mark.parametrize("kind", PACKET_KINDS)
def test_a_packet_is_written_where_it_was_asked_for(
    desk: Desk, sample_copy: Path, tmp_path: Path, kind: str
) -> None:
    out = tmp_path / "for them.pdf"
    found = desk.data("packet", sample_copy, kind, "--out", out)
    assert set(found) == {"schema", "packet", "path", "pages", "sha256", "readiness", "open"}
    assert (found["packet"], found["path"]) == (kind, str(out))
    assert set(found["readiness"]) == {"have", "missing", "out_of_date", "does_not_match"}
    assert out.read_bytes()[:5] == b"%PDF-"
    with Project.open(sample_copy, read_only=True) as project, project.session() as session:
        assert len(session.scalars(select(m.SentPacket)).all()) >= 1


def test_bills_are_read_into_the_only_meter_that_counts_in_their_unit(
    desk: Desk, sample_copy: Path, tmp_path: Path
) -> None:
    bills = tmp_path / "bills.csv"
    bills.write_text(BILLS, encoding="utf-8")
    found = desk.data("read-in", sample_copy, bills)
    assert {key: found[key] for key in ("file", "kind", "rows")} == {
        "file": str(bills),
        "kind": "bills",
        "rows": 1,
    }
    with Project.open(sample_copy) as project:
        assert project.undo_title == "Read in bills from bills.csv"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("kWh", "BTU"), "row 2: unit 'BTU' is not known"),
        (("455", "many"), "'many' is not a number"),
        (("2026-12-04", "2026-08-02"), "not after its start"),
        (("quantity", "amount"), "no column quantity"),
        (("kWh", "cord"), "cannot tell which meter"),
        (("75.20", "75.205"), "parts of a cent"),
        (("75.20", "1e999"), "'1e999' is no figure of a bill"),
        (("455", "nan"), "'nan' is no figure of a bill"),
        ((",kWh,75.20", ""), "cannot tell which meter"),
    ],
)
def test_bills_with_a_fault_are_refused_and_nothing_is_read_in(
    desk: Desk, sample_copy: Path, tmp_path: Path, change: tuple[str, str], told: str
) -> None:
    bills = tmp_path / "bills.csv"
    bills.write_text(BILLS.replace(*change), encoding="utf-8")
    line = desk.refusal("read-in", sample_copy, bills)
    assert told in line
    assert "othing was read in" in line


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00bills", b'period_start,"'])
def test_a_file_that_holds_no_bills_is_one_line(
    desk: Desk, sample_copy: Path, tmp_path: Path, content: bytes
) -> None:
    bills = tmp_path / "bills.csv"
    bills.write_bytes(content)
    assert "bills.csv" in desk.refusal("read-in", sample_copy, bills)


def test_a_file_of_an_unknown_kind_is_not_guessed_at(desk: Desk, sample_copy: Path, tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("walls and roofs", encoding="utf-8")
    assert "--kind" in desk.refusal("read-in", sample_copy, path)
    path.write_text(BILLS, encoding="utf-8")
    assert desk.data("read-in", sample_copy, path, "--kind", "bills")["rows"] == 1


def test_weather_read_in_becomes_the_weather_of_the_sums(
    desk: Desk, sample_copy: Path, greensboro_file: Path
) -> None:
    found = desk.data("read-in", sample_copy, greensboro_file, "--kind", "weather")
    assert (found["kind"], found["rows"]) == ("weather", 8760)
    with Project.open(sample_copy, read_only=True) as project, project.session() as session:
        choice = session.scalars(select(m.WeatherChoice).where(m.WeatherChoice.in_use)).one()
        assert choice.kind is m.WeatherKind.FILE


def test_the_recorded_house_written_out_runs_on_its_own(
    desk: Desk, sample_copy: Path, tmp_path: Path, greensboro_file: Path
) -> None:
    out = tmp_path / "out.json"
    assert desk.data("write-out", sample_copy, out)["path"] == str(out)
    assert desk.data("check-house", out)["zones"] >= 7
    found = desk.data("run-year", out, "--weather", greensboro_file)
    assert abs(found["heat_account"]["residual_share"]) < 1e-9
    with Project.open(sample_copy, read_only=True) as project, project.session() as session:
        case = case_of(session)
    of_record = Simulator(greensboro()).year(case)
    by_fuel = {one["fuel"]: one["annual_kwh"] for one in found["plant"]["fuels"]}
    assert by_fuel == pytest.approx({fuel: of_record.fuel_kwh(fuel) for fuel in ("gas", "electricity")})


@pytest.mark.parametrize("name", ["tables.xlsx", "dates.ics"])
def test_tables_and_dates_are_written_out(desk: Desk, sample_copy: Path, tmp_path: Path, name: str) -> None:
    assert f"Wrote {tmp_path / name}" in desk.answer("write-out", sample_copy, tmp_path / name)
    assert (tmp_path / name).stat().st_size > 500
    assert ".docx" in desk.refusal("write-out", sample_copy, tmp_path / "tables.docx")


def test_a_backup_is_made_and_checked(desk: Desk, sample_copy: Path) -> None:
    folder = Path(desk.data("backup", sample_copy)["backup"])
    assert folder.parent == sample_copy / "backups"
    assert (folder / "project.sqlite").is_file()


def test_check_files_names_the_paper_that_was_changed(desk: Desk, sample_copy: Path) -> None:
    assert desk.data("check-files", sample_copy)["sound"] is True
    paper = next(path for path in sorted((sample_copy / "papers").rglob("*")) if path.is_file())
    paper.chmod(0o644)
    paper.write_bytes(b"another paper")
    found = desk.data("check-files", sample_copy)
    assert set(found) == {"schema", "whole", "gone", "changed", "unknown_files", "sound"}
    assert found["sound"] is False
    assert len(found["changed"]) == 1
    assert "Changed since it was filed" in desk.answer("check-files", sample_copy)


def test_a_project_that_is_open_elsewhere_is_left_alone(
    desk: Desk, sample_copy: Path, tmp_path: Path
) -> None:
    with Project.open(sample_copy):
        line = desk.refusal("backup", sample_copy)
        assert "is open in another program since" in line
        assert "Nothing was changed." in line
        desk.answer("write-out", sample_copy, tmp_path / "dates.ics")  # reading is no trouble to anybody


def test_a_project_of_a_newer_version_is_left_alone(desk: Desk, sample_copy: Path) -> None:
    connection = sqlite3.connect(database_of(sample_copy))
    with connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    before = database_of(sample_copy).read_bytes()
    line = desk.refusal("check-files", sample_copy)
    assert "made by a newer version of Retrofit Desk. Nothing was changed. Update the program" in line
    assert "newer version" in desk.refusal("savings", sample_copy)
    assert database_of(sample_copy).read_bytes() == before


@pytest.mark.parametrize("fault", ["no database", "cut short", "holes"])
@pytest.mark.parametrize("verb", ["backup", "check-files"])
def test_a_damaged_record_is_one_line_that_keeps_the_papers(
    desk: Desk, sample_copy: Path, fault: str, verb: str
) -> None:
    desk.answer("backup", sample_copy)
    database = database_of(sample_copy)
    content = bytearray(database.read_bytes())
    if fault == "no database":
        content = bytearray(b"this was a record once" * 500)
    elif fault == "cut short":
        del content[len(content) // 2 :]
    else:
        content[4096 : len(content) // 2] = os.urandom(len(content) // 2 - 4096)
    database.write_bytes(content)
    line = desk.refusal(verb, sample_copy)
    assert "The papers and backups were not touched. Restore the backup" in line


# disk and folders that say no


def no_space(*_words: object, **_more: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize(
    ("words", "where"),
    [
        (("backup",), "retrofit_desk.records.backup.copy_database"),
        (("read-in", "{bills}"), "retrofit_desk.records.history.write_down"),
        (("write-out", "{folder}/out.json"), "os.replace"),
        (("write-out", "{folder}/out.ics"), "os.replace"),
        (("write-out", "{folder}/out.xlsx"), "os.replace"),
        (("packet", "rebate", "--out", "{folder}/out.pdf"), "pypdf.PdfWriter.write"),
    ],
)
def test_a_full_disk_is_one_line_and_leaves_nothing_half_done(
    desk: Desk,
    sample_copy: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
    where: str,
) -> None:
    bills = tmp_path / "bills.csv"
    bills.write_text(BILLS, encoding="utf-8")
    before = sorted(path.name for path in tmp_path.iterdir())
    verb, *rest = (word.format(bills=bills, folder=tmp_path) for word in words)
    monkeypatch.setattr(where, no_space)
    line = desk.refusal(verb, sample_copy, *rest, code=3)
    assert "isk is full" in line or "o space left" in line
    assert sorted(path.name for path in tmp_path.iterdir()) == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_an_answer_that_finds_no_space_is_one_line(house_file: Path) -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "retrofit_desk.cli", "check-house", str(house_file)],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 3
    assert done.stderr.startswith("the disk is full.")
    assert done.stderr.count("\n") == 1


def test_a_folder_that_may_not_be_written_is_one_line(
    desk: Desk, sample_copy: Path, tmp_path: Path, house_file: Path, greensboro_file: Path
) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    bills = tmp_path / "bills.csv"
    bills.write_text(BILLS, encoding="utf-8")
    with not_to_be_written(closed):
        lines = [
            desk.refusal("sample", closed / "Elm Street", code=3),
            desk.refusal("write-out", sample_copy, closed / "out.ics", code=3),
            desk.refusal("packet", sample_copy, "rebate", "--out", closed / "out.pdf", code=3),
            desk.refusal("run-year", house_file, "--weather", greensboro_file, "--out", closed / "a", code=3),
        ]
    with not_to_be_written(sample_copy):
        lines += [
            desk.refusal("backup", sample_copy, code=3),
            desk.refusal("read-in", sample_copy, bills, code=3),
        ]
        assert desk.data("check-files", sample_copy)["sound"] is True
    assert [line for line in lines if "be written" not in line] == []


@contextmanager
def not_to_be_written(folder: Path) -> Iterator[None]:
    """Takes the right to write from a folder and all in it."""
    inside = [
        folder,
        *(path for path in folder.rglob("*") if path.is_dir() or path.name.startswith("project.")),
    ]
    rights = {path: path.stat().st_mode for path in inside}
    for path in inside:
        path.chmod(rights[path] & ~0o222)
    try:
        if os.access(folder, os.W_OK):
            pytest.skip("a superuser may write anywhere")
        yield
    finally:
        for path, mode in rights.items():
            path.chmod(mode)


def test_a_folder_that_refuses_writing_is_one_line_whoever_asks(
    desk: Desk, sample_copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_words: object, **_more: object) -> None:
        raise PermissionError(errno.EROFS, os.strerror(errno.EROFS), str(tmp_path))

    monkeypatch.setattr("retrofit_desk.records.lock.WriteLock.__init__", refuse)
    assert "this folder cannot be written to" in desk.refusal("backup", sample_copy, code=3)
    monkeypatch.setattr("pathlib.Path.write_bytes", refuse)
    line = desk.refusal("write-out", sample_copy, tmp_path / "out.ics", code=3)
    assert line.startswith(f"{tmp_path}: this place cannot be written or read.")


# our own faults


def test_a_fault_of_the_program_is_logged_whole_and_told_in_one_line(
    house_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(_path: Path) -> None:
        raise ZeroDivisionError("in the middle of it")

    monkeypatch.setattr("retrofit_desk.exchange.house_file.read_house", fails)
    monkeypatch.setattr("platformdirs.user_log_dir", lambda _name: str(tmp_path / "log"))
    assert main(["check-house", str(house_file)]) == 70
    line = capsys.readouterr().err
    log = tmp_path / "log" / "faults.log"
    assert line.count("\n") == 1
    assert line.startswith("This is a fault of the program, not yours.")
    assert line.rstrip().endswith(str(log))
    assert "ZeroDivisionError: in the middle of it" in log.read_text()
    (tmp_path / "log").rename(tmp_path / "elsewhere")
    (tmp_path / "log").write_text("a file where the folder should be")
    assert main(["check-house", str(house_file)]) == 70
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_stopping_a_verb_ends_it_with_its_own_code(
    house_file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(_path: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("retrofit_desk.exchange.house_file.read_house", stopped)
    assert main(["check-house", str(house_file)]) == 130
    assert capsys.readouterr().err == "Stopped. What was recorded before is kept.\n"


STOPPED_AT_WORK = """
import sys, time
from retrofit_desk import cli
from retrofit_desk.estimate.all_cores import on_all_cores

def stop(done):
    raise KeyboardInterrupt

cli._tell = lambda answer, args: on_all_cores([[1]], lambda item: time.sleep(60), stop)
sys.argv[1:] = ["check-house", sys.argv[1]]
sys.exit(cli.main())
"""


def test_a_stopped_process_does_not_wait_for_its_threads(house_file: Path) -> None:
    ended = subprocess.run(
        [sys.executable, "-c", STOPPED_AT_WORK, str(house_file)],
        capture_output=True,
        check=False,
        text=True,
        timeout=45,
    )
    assert ended.returncode == 130
    assert ended.stderr == "Stopped. What was recorded before is kept.\n"


# the window, from a shell


def test_the_window_needs_a_display_and_a_project_that_opens(
    desk: Desk, sample_copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[list[str]] = []

    def window(words: list[str]) -> int:
        opened.append(words)
        return 0

    monkeypatch.setattr("retrofit_desk.desk.app.main", window)
    monkeypatch.setattr("sys.platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert "no display" in desk.refusal("open", sample_copy, code=3)
    monkeypatch.setenv("DISPLAY", ":7")
    assert "there is no project here" in desk.refusal("open", tmp_path / "nowhere.retrofit")
    assert desk.answer("open", sample_copy) == ""
    assert opened == [[str(sample_copy)]]
