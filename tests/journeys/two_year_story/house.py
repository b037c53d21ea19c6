"""The house of the two-year story: the sample house as it was found, before anybody had an idea."""

from __future__ import annotations

import csv
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

from retrofit_desk.records import models as m
from retrofit_desk.records.clock import Clock
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.services.sample_house.story import Story

FILES = ("10_house", "11_surfaces", "20_equipment", "21_energy", "30_people")
BILLS = {"gas-meter": "gas_bills.csv", "electric-meter": "electric_bills.csv"}
OF_LATER = ("measure", "added_by_measure", "after_measure")
"""Keys of rows that a measure brought."""
ALWAYS_THERE = ("removed_by_measure", "story_date", "removed_on", "status", "case_number")
"""Columns that tell of what came later on rows that were there before."""


def found_house(folder: Path, clock: Clock) -> Project:
    """The house with its machines, meters, firms and the bills of the year before; no measure yet."""
    story = Story().tell([_as_found(name) for name in FILES])
    _read_bills(story, clock().date())
    project = Project.create(folder, clock=clock)
    with project.action("Describe the house as found", kind=m.ActionKind.GIVEN) as work:
        work.session.connection().exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        work.session.add_all(told.row for told in story.told)
    return project


def _as_found(name: str) -> dict[str, Any]:
    path = shipped_folder("assets") / "sample_house" / f"{name}.toml"
    return _without_later(tomllib.loads(path.read_text("utf-8")))


def _without_later(table: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in table.items():
        if key in ALWAYS_THERE:
            continue
        if isinstance(value, list) and value and isinstance(value[0], dict):
            found[key] = [_without_later(row) for row in value if not any(word in row for word in OF_LATER)]
        else:
            found[key] = value
    return found


def _read_bills(story: Story, until: date) -> None:
    for meter, name in BILLS.items():
        path = shipped_folder("assets") / "sample_house" / name
        with path.open(newline="", encoding="utf-8") as file:
            for line in csv.DictReader(file):
                start, end = (date.fromisoformat(line[key]) for key in ("period_start", "period_end"))
                if end <= until:
                    cents = round(float(line["cost"]) * 100)
                    row = m.Bill(meter_id=story.id_of("meter", meter), period_start=start, period_end=end)
                    row.quantity, row.cost_cents = float(line["quantity"]), cents
                    story.add(row)
