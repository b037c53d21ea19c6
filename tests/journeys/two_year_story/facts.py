"""What the measures of the story are made of: the facts of the sample house, told through the forms."""

from __future__ import annotations

import tomllib
from typing import Any

from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.services.measure_inputs import FactValue

SAMPLE = {
    "sealing": "air-sealing",
    "den": "den-batts",
    "ground": "ground-heat",
    "water": "water-heater",
    "range": "induction",
    "gas": "gas-off",
}
"""Measure of the story: the same one in the sample house."""


def facts_of(measure: str) -> dict[str, FactValue]:
    """As the form records them."""
    path = shipped_folder("assets") / "sample_house" / "40_measures.toml"
    rows = tomllib.loads(path.read_text("utf-8"))["Measure"]
    inputs: dict[str, Any] = next(row["inputs"] for row in rows if row["key"] == SAMPLE[measure])
    return {name: _value(value) for name, value in inputs.items()}


def _value(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(_value(one) for one in value)
    if isinstance(value, dict):
        return {name: _value(one) for name, one in value.items()}
    return value
