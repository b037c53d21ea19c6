"""The shipped reference tables are whole, sourced, and replaceable by the project's own."""

from __future__ import annotations

import csv
import tomllib
from collections import defaultdict
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from retrofit_desk.estimate.measures import kinds
from retrofit_desk.money.bills import bill_year
from retrofit_desk.money.tariff import EnergyCharge
from retrofit_desk.records.models.papers import PaperKind
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.tables import NotInTable, TableDamaged, Tables
from retrofit_desk.records.tariff_files import TariffDamaged
from retrofit_desk.rules.holds import HoldAction, NeedKind
from retrofit_desk.rules.programme_amounts import WorkFacts, WorkItem
from retrofit_desk.rules.programmes import evaluate
from retrofit_desk.rules.schedule import only_steps, plan
from retrofit_desk.services.programme_facts import WHOLE_HOUSE
from retrofit_desk.values.origin import Origin

TABLES = Tables()
SHARED = shipped_folder("shared")


def test_every_row_names_its_source_its_day_and_how_sure_it_is() -> None:
    rows = [
        *TABLES.fuels,
        *TABLES.grid,
        *TABLES.potentials("AR4").potentials,
        *TABLES.refrigerants,
        *TABLES.leakage,
        *TABLES.material_carbon,
        *TABLES.material_ends,
        *TABLES.prices,
        *TABLES.lifetimes,
        *TABLES.renewals,
        *TABLES.deposit_limits,
        *TABLES.waiver_forms,
        *TABLES.tariffs,
        *TABLES.permit_templates,
        *TABLES.hold_templates,
        *TABLES.usual_scopes,
        *TABLES.test_kinds,
        *TABLES.hazards,
    ]
    assert len(rows) > 200
    for row in rows:
        origin = row.origin
        assert isinstance(origin, Origin), row
        assert origin.source, row
        assert origin.confidence, row
    for programme in TABLES.programmes:
        for version in programme.versions:
            assert version.source.title, programme.key
            assert version.source.confidence, programme.key


@pytest.mark.parametrize("table", ["step_templates", "hold_templates", "hazards", "packet_needs"])
def test_what_a_template_is_for_is_a_kind_of_measure_that_exists(table: str) -> None:
    text = (SHARED / f"{table}.toml").read_text(encoding="utf-8")
    rows = [row for part in tomllib.loads(text).values() if isinstance(part, list) for row in part]
    named = {kind for row in rows for key in ("measures", "before_measures") for kind in row.get(key, [])}
    assert "induction_range" in named
    assert named <= set(kinds())


def test_every_programme_lists_work_that_can_be_recorded() -> None:
    for programme in TABLES.programmes:
        listed = {kind for version in programme.versions for kind in version.kinds}
        assert listed & {*kinds(), WHOLE_HOUSE}, programme.key


def _is_sourced(fields: Mapping[str, Any]) -> bool:
    """Who says it, and how sure that is, on a day that has come; an edition may be blank, never left out."""
    told = [str(fields.get(name) or "").strip() for name in ("source", "confidence")]
    day = date.fromisoformat(str(fields.get("date") or "9999-12-31"))
    return all(told) and "edition" in fields and day <= datetime.now(UTC).date()


@pytest.mark.parametrize("path", sorted(SHARED.glob("*.csv")), ids=lambda path: path.name)
def test_no_table_file_holds_a_row_without_its_source(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    assert rows
    assert [row for row in rows if not _is_sourced(row)] == []


@pytest.mark.parametrize("path", sorted(SHARED.glob("*.toml")), ids=lambda path: path.name)
def test_no_list_is_without_its_source(path: Path) -> None:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    of_rows = [row for rows in table.values() if isinstance(rows, list) for row in rows]
    assert _is_sourced(table) or (of_rows and all(_is_sourced({"edition": "", **row}) for row in of_rows))


@pytest.mark.parametrize("lacking", ["source", "confidence", "date", "edition"])
def test_a_row_that_lacks_a_part_of_its_source_is_found(lacking: str) -> None:
    row = {"source": "A handbook", "edition": "", "date": "2026-11-25", "confidence": "published"}
    assert _is_sourced(row)
    assert not _is_sourced({name: told for name, told in row.items() if name != lacking})


def test_material_ranges_hold_their_value_and_keys_are_unique() -> None:
    keys = [row.key for row in TABLES.material_carbon]
    assert len(keys) == len(set(keys))
    for row in TABLES.material_carbon:
        assert 0 < row.kg_co2e_low <= row.kg_co2e <= row.kg_co2e_high, row.key


def test_the_end_of_a_material_has_its_unit_and_its_value_within_its_range() -> None:
    units = {row.key: row.unit for row in TABLES.material_carbon}
    for row in TABLES.material_ends:
        assert units[row.key] == row.unit, row.key
        assert 0 < row.kg_co2e_low <= row.kg_co2e <= row.kg_co2e_high, row.key
    # EPA WARM 15 (from memory): landfilling of inert material 0.02 t CO2e per short ton of 907.185 kg
    gypsum = TABLES.material_end("gypsum_board")
    assert gypsum.kg_co2e == pytest.approx(0.02 * 1000 / 907.18474, abs=0.0005)
    # RICS Whole life carbon assessment 2017 (from memory): 0.013 kg for a kilogram of inert waste disposed of
    assert gypsum.kg_co2e_low <= 0.013 <= gypsum.kg_co2e_high
    told = {row.key for row in TABLES.material_ends}
    assert "xps_hfc" not in told  # what its blowing agent does at the end nobody tells


def test_the_usual_life_lies_between_its_bounds() -> None:
    for row in TABLES.lifetimes:
        assert 0 < row.years_low <= row.years <= row.years_high, row.key


def test_lives_are_those_of_the_published_tables() -> None:
    # LIFE-1, LIFE-2: ASHRAE equipment life chart and NAHB component life study, second-hand
    years = {row.key: (row.years, row.years_low, row.years_high) for row in TABLES.lifetimes}
    assert years["air_source_heat_pump"][0] == 15
    assert years["furnace"][0] == 18
    assert years["boiler"] == (35, 24, 35)
    assert years["ducts"][0] == 30
    assert years["radiant_floor"][0] == 25
    assert years["water_heater_gas"][1:] == (11, 13)
    assert years["water_heater_electric"][1:] == (10, 14)
    assert years["range_gas"][1:] == (15, 19)


def test_lives_without_a_published_table_are_those_of_the_trade() -> None:
    # LIFE-3: common practice, no source
    bounds = {row.key: (row.years_low, row.years_high) for row in TABLES.lifetimes}
    assert bounds["heat_pump_water_heater"] == (13, 15)
    assert bounds["pv_module"] == (25, 30)
    assert bounds["inverter"] == bounds["battery"] == (10, 15)
    assert bounds["panel"] == (30, 40)
    assert bounds["bore_field"][0] == 50


def test_the_parts_of_each_kind_of_measure_have_a_life_and_make_its_price() -> None:
    shares: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for row in TABLES.renewals:
        assert row.kind in kinds(), row
        assert row.role in ("own", "instead"), row
        assert not row.part or TABLES.lifetime(row.part), row
        shares[row.kind, row.role] += row.cost_share
    assert set(shares.values()) == {Decimal(1)}
    silent = set(kinds()) - {row.kind for row in TABLES.renewals}
    assert silent == {"own_figures"}  # whatever the owner makes of it


@pytest.mark.parametrize("key", ["carraway-residential", "carraway-time-of-day"])
def test_the_windows_of_a_tariff_cover_each_hour_once(key: str) -> None:
    tariff = TABLES.tariff(key)
    year = bill_year(tariff, np.ones(8760))
    energy = {charge.name for charge in tariff.charges if isinstance(charge, EnergyCharge)}
    units = sum(line.quantity for bill in year.months for line in bill.lines if line.name in energy)
    assert units == Decimal(8760)


def test_each_state_has_a_grid_of_its_own() -> None:
    # EPA eGRID2022 subregion map, from memory: which subregion serves most of a state
    states = {row.place for row in TABLES.prices if row.place != "US"}
    found = {state: TABLES.grid_of_state(state).region for state in states}
    assert (found["NC"], found["ME"], found["WA"], found["TX"]) == ("SRVC", "NEWE", "NWPP", "ERCT")
    with pytest.raises(NotInTable, match="no grid subregion of 'ZZ'"):
        TABLES.grid_of_state("ZZ")


def test_every_kind_of_work_that_firms_are_asked_for_has_its_usual_lines() -> None:
    known = set(kinds())
    named = {kind for one in TABLES.usual_scopes for kind in one.measures}
    assert named <= known
    own_work = {"own_figures", "heating_controls"}
    assert known - named <= own_work
    assert all(one.lines for one in TABLES.usual_scopes)
    assert any("Permits" in line for one in TABLES.usual_scopes if not one.measures for line in one.lines)


def test_hold_templates_speak_the_words_of_the_engine() -> None:
    for hold in TABLES.hold_templates:
        assert HoldAction(hold.action)
        assert hold.needs
        for need in hold.needs:
            assert NeedKind(need.kind)
            assert need.count >= 1


def test_permits_name_kinds_of_work_that_there_are() -> None:
    named = {kind for one in TABLES.permit_templates for kind in one.measures}
    assert named <= set(kinds())
    assert {"photovoltaics", "panel_work", "ground_source_heat_pump"} <= named


def test_work_that_can_hurt_carries_its_caution() -> None:
    risky = {"energize_circuit", "energize_solar", "close_gas_account", "remove_old_heat", "lead_safe_start"}
    assert all(one.caution for one in TABLES.hold_templates if one.key in risky)
    assert all(one.caution for one in TABLES.hazards)
    assert all(one.caution for one in TABLES.refrigerants)
    assert "oxygen" in TABLES.test_kind("gas_piping_pressure").caution


def test_the_usual_order_waits_where_it_must() -> None:
    # PER-5, PER-6: common practice; IRC R109.1.2, R109.1.4, R109.4 for what is covered
    steps = [one.step for one in TABLES.step_templates]
    found = plan(steps, date(2026, 3, 2))
    for visit in ("rough_electrical_visit", "rough_piping_visit", "framing_visit", "insulation_visit"):
        assert found.of("close_walls").start >= found.of(visit).end
    assert found.of("framing_visit").start >= found.of("rough_piping_visit").end
    assert found.of("remove_old_heat").start >= found.of("new_heat_proven").end
    assert found.of("cap_gas").start >= found.of("remove_old_heat").end
    holds = {one.key for one in TABLES.hold_templates}
    assert {one.hold for one in TABLES.step_templates if one.hold} <= holds


def test_steps_left_out_hand_their_needs_on() -> None:
    steps = [one.step for one in TABLES.step_templates]
    some = only_steps(steps, frozenset({"hazard_survey", "reservation", "sign"}))
    assert [need.key for need in some[1].after] == ["hazard_survey"]  # the load calculation was left out
    assert plan(some, date(2026, 3, 2)).of("sign").start >= plan(some, date(2026, 3, 2)).of("reservation").end


def test_the_closeout_set_names_its_papers() -> None:
    # PER-7: common practice
    keys = {one.key for one in TABLES.closeout}
    assert {"finals", "as_built", "test_sheets", "manuals", "warranties", "final_waivers", "photos"} <= keys
    kinds = {kind.value for kind in PaperKind}
    assert all(set(one.papers) <= kinds for one in TABLES.closeout)


def test_a_projects_own_table_takes_the_place_of_the_shipped_one(tmp_path: Path) -> None:
    (tmp_path / "gwp.csv").write_text(
        "gas,gwp_set,gwp100,source,edition,date,confidence\nr32,OWN,700,My sheet,1,2026-11-01,mine\n"
    )
    own = Tables(tmp_path)
    assert own.potentials("OWN").of("r32") == 700
    assert own.fuel("natural_gas") == TABLES.fuel("natural_gas")


HOURS = ",".join(f"h{hour:02d}" for hour in range(1, 25))


def hours_of_a_grid(folder: Path, months: int) -> Tables:
    """An own table of the hours of one grid: 2 before noon, 1 after it."""
    rows = [
        f"SRVC,{month},{'2,' * 12}{'1,' * 12}My utility,1,2026-11-01,mine" for month in range(1, months + 1)
    ]
    head = f"region,month,{HOURS},source,edition,date,confidence"
    (folder / "grid_hours.csv").write_text("\n".join([head, *rows]) + "\n")
    return Tables(folder)


def test_the_hours_of_a_grid_are_the_owners_where_they_have_a_table(tmp_path: Path) -> None:
    assert TABLES.grid_hours("SRVC") is None
    found = hours_of_a_grid(tmp_path, 12).grid_hours("SRVC")
    assert found is not None
    assert found.shape.mean() == pytest.approx(1.5)
    assert found.origin.source == "My utility"


def test_hours_of_a_grid_that_miss_a_month_are_told(tmp_path: Path) -> None:
    with pytest.raises(TableDamaged, match="SRVC: needs 12 months of 24 hours"):
        hours_of_a_grid(tmp_path, 11).grid_hours("SRVC")


def test_the_shipped_hours_stand_for_grids_that_have_a_yearly_rate() -> None:
    with (SHARED / "grid_hours.csv").open(encoding="utf-8") as table:
        regions = {row["region"] for row in csv.DictReader(table)}
    for region in regions:
        hours = TABLES.grid_hours(region)
        assert TABLES.grid_region(region).region == region
        assert hours is not None
        assert hours.shape.mean() == pytest.approx(1.0, abs=0.05)
        assert "low" in hours.origin.confidence


def test_a_damaged_table_names_the_line(tmp_path: Path) -> None:
    (tmp_path / "gwp.csv").write_text(
        "gas,gwp_set,gwp100,source,edition,date,confidence\nr32,OWN,many,My sheet,1,2026-11-01,mine\n"
    )
    with pytest.raises(TableDamaged, match=r"gwp\.csv, line 2.*'many'"):
        Tables(tmp_path).potentials("OWN")


@pytest.mark.parametrize(
    ("name", "text", "look", "told"),
    [
        (
            "gwp",
            "gas,gwp_set,gwp100\nr32,OWN,700,in May",
            lambda own: own.potentials("OWN"),
            "date: 'in May'",
        ),
        (
            "refrigerants",
            "key,name,parts\nr1,R-1,half,2026-11-01",
            lambda own: own.refrigerants,
            "parts: 'half'",
        ),
        ("waiver_forms", "state,kind\nZZ,oral,2026-11-01", lambda own: own.waiver_forms, "kind: 'oral'"),
    ],
)
def test_a_wrong_cell_of_an_own_table_is_one_line_that_says_what_would_do(
    name: str, text: str, look: Callable[[Tables], object], told: str, tmp_path: Path
) -> None:
    headings, row = text.splitlines()
    told_by = "My sheet,1,mine"
    (tmp_path / f"{name}.csv").write_text(f"{headings},date,source,edition,confidence\n{row},{told_by}\n")
    with pytest.raises(TableDamaged) as trouble:
        look(Tables(tmp_path))
    assert str(trouble.value).startswith(f"{name}.csv, line 2, {told}")
    assert trouble.value.do


def test_a_damaged_tariff_names_the_entry(tmp_path: Path) -> None:
    folder = tmp_path / "tariffs"
    folder.mkdir()
    (folder / "mine.toml").write_text('key = "mine"\nname = "Mine"\n')
    with pytest.raises(TariffDamaged, match=r"mine\.toml: unit"):
        _ = Tables(tmp_path).tariffs


def test_programme_rules_of_the_sample_give_what_was_reserved() -> None:
    # the sample's reservations: 20 % of $7,260; capped at $3,000; three tons at $1,500; a flat $800
    rows = [
        ("triad-warm-walls", WorkItem("insulation_cavity", 726_000), 145_200),
        ("triad-warm-walls", WorkItem("continuous_insulation", 2_085_000), 300_000),
        ("carraway-ground-heat", WorkItem("ground_source_heat_pump", 4_185_000, units=Decimal(3)), 450_000),
        ("carraway-water-heating", WorkItem("heat_pump_water_heater", 311_000), 80_000),
    ]
    for key, work, cents in rows:
        found = evaluate(TABLES.programme(key), WorkFacts((work,)), date(2026, 11, 20))
        assert found.amount_cents.value == cents, key
