"""A person can describe the plant before and after, and mistakes are named by their place."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from retrofit_desk.physics.plant_description import PlantDescription
from tests.physics.plants import after_plant, before_plant


def test_before_and_after_survive_a_file() -> None:
    for plant in (before_plant(), after_plant()):
        assert PlantDescription.model_validate_json(plant.model_dump_json()) == plant


def test_zones_named_covers_attic_and_utility_room() -> None:
    assert set(before_plant().zones_named()) == {"living", "bedrooms", "attic", "utility"}


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"inverters": ()}, "arrays.0.inverter: nothing is called"),
        ({"bore_fields": ()}, "source.bore_field: nothing is called"),
        ({"stores": ()}, "heating.0.store: nothing is called"),
        ({"machines": ()}, "heating.0.machine: nothing is called"),
    ],
)
def test_a_missing_part_is_named_by_its_path(change: dict[str, object], says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        PlantDescription.model_validate(after_plant().model_dump() | change)


def test_a_floor_loop_needs_a_machine_that_heats_water() -> None:
    data = after_plant().model_dump()
    data["machines"][0]["heating"]["points"] = [{"source_c": 0.0, "capacity_w": 8000.0, "power_w": 2400.0}]
    data["machines"][0]["heating"]["low_speed_points"] = ()
    with pytest.raises(ValidationError, match="leaving water"):
        PlantDescription.model_validate(data)


def test_shares_of_a_zone_never_exceed_one() -> None:
    data = before_plant().model_dump()
    data["heating"] = [data["heating"][0], data["heating"][0] | {"name": "second"}]
    with pytest.raises(ValidationError, match="add up to 2"):
        PlantDescription.model_validate(data)


def test_unknown_keys_are_refused() -> None:
    with pytest.raises(ValidationError, match="Extra inputs"):
        PlantDescription.model_validate({"boiler": 1})
