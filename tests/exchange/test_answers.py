"""The answers of the command line as published: every key told, none more and none fewer."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from retrofit_desk.exchange.house_file import read_house
from retrofit_desk.exchange.house_schema import house_schema, unit_of
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.services.described_house import run_described
from retrofit_desk.services.year_words import described_data, house_data

ROOT = Path(__file__).parents[2]
ANSWERS = ROOT / "shared" / "answers"
EXAMPLES = sorted((ROOT / "assets" / "example_houses").glob("*.json"))
WITHOUT_UNIT = re.compile(
    r"share|ratio$|cop$|count$|hours$|repeats$|version$|value$|low$|high$|cents|^zones$|^surfaces$|^windows$"
    r"|_kg_co2e?$|cents_per_year$|kg_per_year$|kwh_per_year$"
)
Json = dict[str, Any]


def form(verb: str) -> Json:
    return json.loads((ANSWERS / f"{verb}.schema.json").read_text(encoding="utf-8"))


def keys(schema: Json) -> Iterator[tuple[str, Json]]:
    """Every key of a schema with what is told of it."""
    for key, told in schema.get("properties", {}).items():
        yield key, told
        yield from keys(told)
        yield from keys(told.get("items", {}))


def checked(verb: str, answer: Json) -> None:
    jsonschema.validate(json.loads(json.dumps({"schema": f"retrofit-desk/{verb}/1"} | answer)), form(verb))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_example_house_runs_and_its_answers_have_the_published_keys(path: Path) -> None:
    jsonschema.validate(json.loads(path.read_text()), json.loads(house_schema()))
    house = read_house(path)
    checked("check-house", {"house": str(path), "sound": True} | house_data(house))
    found = run_described(house, greensboro())
    assert found.year.unsettled_hours == 0
    assert abs(found.year.balance.residual_share) < 1e-9
    checked("run-year", described_data(found, hourly=False))


def test_a_key_more_or_less_is_noticed() -> None:
    answer = {"house": "x", "sound": True} | house_data(read_house(EXAMPLES[0]))
    with pytest.raises(jsonschema.ValidationError):
        checked("check-house", answer | {"more": 1})
    del answer["sound"]
    with pytest.raises(jsonschema.ValidationError):
        checked("check-house", answer)


@pytest.mark.parametrize("verb", ["check-house", "run-year", "savings"])
def test_every_key_of_an_answer_is_told_and_every_number_has_its_unit(verb: str) -> None:
    found = list(keys(form(verb)))
    assert [key for key, told in found if len(told.get("description", "")) < 5] == []
    numbers = [key for key, told in found if "number" in str(told.get("type"))]
    assert len(numbers) > 5
    assert [key for key in numbers if not unit_of(key) and not WITHOUT_UNIT.search(key)] == []


def test_every_key_of_a_house_is_told_with_its_unit_and_what_a_missing_one_means() -> None:
    schema = json.loads(house_schema())
    parts = {"House": schema, **schema["$defs"]}
    for name, part in parts.items():
        for key, told in part.get("properties", {}).items():
            words = told["description"]
            assert len(words) > 15, f"{name}.{key}"
            assert re.search(r"Needed|needed|[Ww]hen missing", words), f"{name}.{key}: {words}"
            if unit := unit_of(key):
                assert f"Unit: {unit}" in words, f"{name}.{key}"


@pytest.mark.parametrize(
    ("key", "unit"),
    [("u_value_w_m2k", "W/m2K"), ("area_m2", "m2"), ("loss_w_k", "W/K"), ("spread_k", "K"), ("name", "")],
)
def test_unit_is_read_from_the_end_of_the_name(key: str, unit: str) -> None:
    assert unit_of(key) == unit
