"""The published reference tables that travel with the program, as typed rows with their source.

A project may hold its own `tables/` folder; a file there takes the place of the shipped one of the same name.
Rules of programmes that the owner took in stand in the record, before any file of the same programme.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.carbon.fuels import FuelFactor, SupplyLeak
from retrofit_desk.carbon.gases import GasPotential, LeakShares, PotentialSet, Refrigerant
from retrofit_desk.carbon.grid import GridFactor, GridHours
from retrofit_desk.carbon.materials import EndFactor, MaterialFactor
from retrofit_desk.money.energy_prices import EnergyPrice
from retrofit_desk.money.rounding import to_cents
from retrofit_desk.money.tariff import Tariff
from retrofit_desk.records.models.programmes import RuleFile
from retrofit_desk.records.rule_files import read_programme, recorded_programme, rule_files
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.table_rows import (
    CloseoutItem,
    HoldTemplate,
    LeakRow,
    Lifetime,
    NotInTable,
    Renewal,
    Row,
    StepOrder,
    StepTemplate,
    TableDamaged,
    UsualScope,
    WindowFrame,
    gas_parts,
    hazard_of,
    hold_template,
    holiday_of,
    named,
    permit_template,
    step_template,
    test_kind_of,
    toml_file,
    usual_scope,
)
from retrofit_desk.records.tariff_files import read_tariff
from retrofit_desk.rules.days_off import Holiday
from retrofit_desk.rules.hazards import HazardKind
from retrofit_desk.rules.permits import PermitTemplate
from retrofit_desk.rules.programme_file import Programme
from retrofit_desk.rules.quotes import DepositLimit, DepositRule
from retrofit_desk.rules.site_tests import TestKind
from retrofit_desk.rules.waivers import LienWindow, WaiverForm, WaiverKind

if TYPE_CHECKING:
    from retrofit_desk.records.project import Project

__all__ = ["NotInTable", "TableDamaged", "Tables", "tables_in", "tables_of"]


def tables_of(project: Project) -> Tables:
    """Those that count for a project: the shipped ones, its own files, the rules in its record."""
    with project.session() as session:
        return tables_in(session)


def tables_in(session: Session) -> Tables:
    """The same as one look at the record, or one unit of work, sees them."""
    rules = session.execute(select(RuleFile.programme_key, RuleFile.text).order_by(RuleFile.programme_key))
    return Tables(session.info["own_tables"], {key: text for key, text in rules})


class Tables:
    """All tables; each file is read once, when first asked for. `rules`: texts of rule files by programme."""

    def __init__(self, own_folder: Path | None = None, rules: Mapping[str, str] | None = None) -> None:
        self._rules = rules or {}
        shipped = shipped_folder("shared")
        self._folders = (own_folder, shipped) if own_folder and own_folder.is_dir() else (shipped,)

    @cached_property
    def fuels(self) -> tuple[FuelFactor, ...]:
        return tuple(
            FuelFactor(
                row.text("key"),
                row.text("name"),
                row.text("unit"),
                row.number("mmbtu_per_unit"),
                row.number("co2_kg_per_mmbtu"),
                row.number("ch4_kg_per_mmbtu"),
                row.number("n2o_kg_per_mmbtu"),
                row.text("is_biogenic") == "yes",
                row.origin,
            )
            for row in self._csv("fuels.csv")
        )

    def fuel(self, key: str) -> FuelFactor:
        return named(self.fuels, "key", key, "fuels.csv")

    @cached_property
    def grid(self) -> tuple[GridFactor, ...]:
        return tuple(
            GridFactor(
                row.text("region"),
                row.text("name"),
                row.number("co2_lb_mwh"),
                row.number("ch4_lb_mwh"),
                row.number("n2o_lb_mwh"),
                row.origin,
            )
            for row in self._csv("grid_factors.csv")
        )

    def grid_region(self, region: str) -> GridFactor:
        return named(self.grid, "region", region, "grid_factors.csv")

    def grid_of_state(self, state: str) -> GridFactor:
        """The factor of the subregion that serves most of a state. Raises `NotInTable`."""
        for row in self._csv("grid_of_state.csv"):
            if row.text("state") == state:
                return self.grid_region(row.text("region"))
        raise NotInTable(f"no grid subregion of '{state}'", where="grid_of_state.csv")

    def grid_hours(self, region: str) -> GridHours | None:
        """The hours of a subregion; None where the table has none. Raises `TableDamaged`."""
        rows = [row for row in self._csv("grid_hours.csv") if row.text("region") == region]
        if not rows:
            return None
        by_month = {int(row.number("month")): row for row in rows}
        hours = tuple(
            tuple(row.number(f"h{hour:02d}") for hour in range(1, 25)) for _, row in sorted(by_month.items())
        )
        try:
            return GridHours(region, hours, rows[0].origin)
        except ValueError as error:
            raise TableDamaged(
                str(error), where="grid_hours.csv", do="give each month of the region one row"
            ) from None

    def potentials(self, gwp_set: str = "AR5") -> PotentialSet:
        """The named set; raises `NotInTable` for another name."""
        rows = tuple(one for one in self._potentials if one.gwp_set == gwp_set)
        if not rows:
            raise NotInTable(f"no set of warming potentials '{gwp_set}'", where="gwp.csv")
        return PotentialSet(gwp_set, rows)

    @cached_property
    def _potentials(self) -> tuple[GasPotential, ...]:
        return tuple(
            GasPotential(
                row.text("gas"),
                row.text("gwp_set"),
                row.number("gwp100"),
                row.maybe_number("gwp20"),
                row.origin,
            )
            for row in self._csv("gwp.csv")
        )

    @cached_property
    def supply_leaks(self) -> tuple[SupplyLeak, ...]:
        return tuple(
            SupplyLeak(
                row.text("fuel"),
                row.number("share"),
                row.number("share_low"),
                row.number("share_high"),
                row.origin,
            )
            for row in self._csv("upstream_methane.csv")
        )

    @cached_property
    def refrigerants(self) -> tuple[Refrigerant, ...]:
        return tuple(
            Refrigerant(row.text("key"), row.text("name"), gas_parts(row), row.text("caution"), row.origin)
            for row in self._csv("refrigerants.csv")
        )

    def refrigerant(self, key: str) -> Refrigerant:
        return named(self.refrigerants, "key", key, "refrigerants.csv")

    @cached_property
    def leakage(self) -> tuple[LeakRow, ...]:
        return tuple(
            LeakRow(
                row.text("kind"),
                LeakShares(row.number("installing"), row.number("yearly"), row.number("recovered")),
                row.number("yearly_low"),
                row.number("yearly_high"),
                row.number("life_years"),
                row.origin,
            )
            for row in self._csv("leakage.csv")
        )

    def leak_row(self, kind: str) -> LeakRow:
        return named(self.leakage, "kind", kind, "leakage.csv")

    @cached_property
    def material_carbon(self) -> tuple[MaterialFactor, ...]:
        return tuple(
            MaterialFactor(
                row.text("key"),
                row.text("name"),
                row.text("unit"),
                row.maybe_number("density_low_kg_m3"),
                row.maybe_number("density_high_kg_m3"),
                row.number("kg_co2e"),
                row.number("kg_co2e_low"),
                row.number("kg_co2e_high"),
                row.maybe("note"),
                row.origin,
            )
            for row in self._csv("material_carbon.csv")
        )

    def material_factor(self, key: str) -> MaterialFactor:
        return named(self.material_carbon, "key", key, "material_carbon.csv")

    @cached_property
    def material_ends(self) -> tuple[EndFactor, ...]:
        return tuple(
            EndFactor(
                row.text("key"),
                row.text("unit"),
                row.text("way"),
                row.number("kg_co2e"),
                row.number("kg_co2e_low"),
                row.number("kg_co2e_high"),
                row.maybe("note"),
                row.origin,
            )
            for row in self._csv("material_end.csv")
        )

    def material_end(self, key: str) -> EndFactor:
        return named(self.material_ends, "key", key, "material_end.csv")

    @cached_property
    def prices(self) -> tuple[EnergyPrice, ...]:
        return tuple(
            EnergyPrice(
                row.text("fuel"),
                row.text("place"),
                int(row.text("year")),
                row.number("dollars_per_unit"),
                row.text("unit"),
                row.origin,
            )
            for row in self._csv("prices.csv")
        )

    @cached_property
    def window_frames(self) -> tuple[WindowFrame, ...]:
        return tuple(
            WindowFrame(
                row.text("frame"),
                row.number("u_value_w_m2k"),
                row.number("width_m"),
                row.number("psi_uncoated_w_mk"),
                row.number("psi_coated_w_mk"),
                row.number("psi_uncoated_warm_edge_w_mk"),
                row.number("psi_coated_warm_edge_w_mk"),
                row.origin,
            )
            for row in self._csv("window_frames.csv")
        )

    def window_frame(self, frame: str) -> WindowFrame:
        return named(self.window_frames, "frame", frame, "window_frames.csv")

    @cached_property
    def lifetimes(self) -> tuple[Lifetime, ...]:
        return tuple(
            Lifetime(
                row.text("key"),
                row.text("name"),
                row.number("years"),
                row.number("years_low"),
                row.number("years_high"),
                row.origin,
            )
            for row in self._csv("lifetimes.csv")
        )

    def lifetime(self, key: str) -> Lifetime:
        return named(self.lifetimes, "key", key, "lifetimes.csv")

    @cached_property
    def renewals(self) -> tuple[Renewal, ...]:
        return tuple(
            Renewal(
                row.text("kind"),
                row.text("role"),
                row.maybe("part"),
                row.exact("cost_share"),
                row.maybe("note"),
                row.origin,
            )
            for row in self._csv("renewals.csv")
        )

    def renewals_of(self, kind: str, role: str) -> tuple[Renewal, ...]:
        """What wears out of a kind of measure, `own` or `instead`; none where the table is silent."""
        return tuple(row for row in self.renewals if row.kind == kind and row.role == role)

    @cached_property
    def deposit_limits(self) -> tuple[DepositLimit, ...]:
        return tuple(
            DepositLimit(
                row.text("state"),
                row.choice("kind", DepositRule),
                row.exact("share"),
                to_cents(row.exact("flat_dollars")) if row.maybe("flat_dollars") else None,
                to_cents(row.exact("applies_above_dollars")) if row.maybe("applies_above_dollars") else None,
                row.text("text"),
                row.origin,
            )
            for row in self._csv("deposit_limits.csv")
        )

    @cached_property
    def lien_windows(self) -> tuple[LienWindow, ...]:
        return tuple(
            LienWindow(row.text("state"), int(row.number("days")), row.text("text"), row.origin)
            for row in self._csv("lien_windows.csv")
        )

    @cached_property
    def waiver_forms(self) -> tuple[WaiverForm, ...]:
        return tuple(
            WaiverForm(
                row.text("state"),
                row.choice("kind", WaiverKind),
                row.text("name"),
                row.text("statute"),
                row.origin,
            )
            for row in self._csv("waiver_forms.csv")
        )

    @cached_property
    def tariffs(self) -> tuple[Tariff, ...]:
        return tuple(read_tariff(path) for path in self._files("tariffs", ".toml"))

    def tariff(self, key: str) -> Tariff:
        return named(self.tariffs, "key", key, "tariffs")

    @cached_property
    def programmes(self) -> tuple[Programme, ...]:
        """One per key: the record's rule before a file of the project's folder, that before a shipped one."""
        shipped_first = [path for place in reversed(self._folders) for path in rule_files(place)]
        found = {rule.key: rule for rule in map(read_programme, shipped_first)}
        found |= {key: recorded_programme(key, text) for key, text in self._rules.items()}
        return tuple(found[key] for key in sorted(found))

    def programme(self, key: str) -> Programme:
        return named(self.programmes, "key", key, "programmes")

    @cached_property
    def permit_templates(self) -> tuple[PermitTemplate, ...]:
        return tuple(permit_template(row) for row in self._toml("permit_templates.toml", "permit"))

    @cached_property
    def hold_templates(self) -> tuple[HoldTemplate, ...]:
        return tuple(hold_template(row) for row in self._toml("hold_templates.toml", "hold"))

    @cached_property
    def test_kinds(self) -> tuple[TestKind, ...]:
        return tuple(test_kind_of(row) for row in self._toml("test_limits.toml", "test"))

    def test_kind(self, key: str) -> TestKind:
        return named(self.test_kinds, "key", key, "test_limits.toml")

    @cached_property
    def hazards(self) -> tuple[HazardKind, ...]:
        return tuple(hazard_of(row) for row in self._toml("hazards.toml", "hazard"))

    @cached_property
    def step_templates(self) -> tuple[StepTemplate, ...]:
        head = Row("step_templates.toml", toml_file(self._place("step_templates.toml")))
        return tuple(step_template(row, head.origin) for row in self._toml("step_templates.toml", "step"))

    @cached_property
    def usual_scopes(self) -> tuple[UsualScope, ...]:
        return tuple(usual_scope(row) for row in self._toml("scope_templates.toml", "scope"))

    @cached_property
    def holidays(self) -> tuple[Holiday, ...]:
        return tuple(holiday_of(row) for row in self._toml("days_off.toml", "day"))

    @cached_property
    def step_orders(self) -> tuple[StepOrder, ...]:
        """What waits for what between measures."""
        return tuple(
            StepOrder(
                row.text("before"), row.words("before_measures"), row.text("step"), row.words("measures")
            )
            for row in self._toml("step_templates.toml", "across")
        )

    @cached_property
    def closeout(self) -> tuple[CloseoutItem, ...]:
        return tuple(
            CloseoutItem(row.text("key"), row.text("label"), row.words("papers"))
            for row in self._toml("step_templates.toml", "closeout")
        )

    def _place(self, name: str) -> Path:
        return next((folder / name for folder in self._folders if (folder / name).exists()), Path(name))

    def _csv(self, name: str) -> Iterator[Row]:
        with self._place(name).open(encoding="utf-8", newline="") as table:
            for row in (reader := csv.DictReader(table)):
                yield Row(f"{name}, line {reader.line_num}", row)

    def _toml(self, name: str, table: str) -> Iterator[Row]:
        for at, fields in enumerate(toml_file(self._place(name)).get(table, []), 1):
            yield Row(f"{name}, {table} {at}", fields)

    def _files(self, folder: str, ending: str) -> list[Path]:
        """Every file of a folder; the project's own ones take the place of shipped ones by name."""
        found: dict[str, Path] = {}
        for place in reversed(self._folders):
            found |= {path.name: path for path in (place / folder).glob(f"*{ending}")}
        return [found[name] for name in sorted(found)]
