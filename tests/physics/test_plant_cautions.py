"""The cautions that go with a plant."""

from __future__ import annotations

from retrofit_desk.physics.plant_cautions import cautions
from retrofit_desk.physics.plant_description import PlantDescription
from tests.physics.plants import after_plant, before_plant


def said(plant: PlantDescription) -> str:
    return " ".join(cautions(plant))


def test_combustion_in_the_house_is_never_left_unsaid() -> None:
    assert "CO alarms" in said(before_plant())
    assert "CO alarms" not in said(after_plant())


def test_a_water_heater_left_alone_on_the_chimney_is_named() -> None:
    alone = before_plant().model_copy(update={"machines": (), "heating": (), "cooling": ()})
    assert "left alone on a large chimney" in said(alone)
    assert "left alone" not in said(before_plant())


def test_heavy_tanks_hot_water_and_refrigerant_are_named() -> None:
    text = said(after_plant())
    for word in (
        "engineer",
        "scalds",
        "legionella",
        "certified technician",
        "mildly flammable",
        "driller",
        "dew point",
    ):
        assert word in text
    # STO: 1 m3 = 264 gal at 8.34 lb/gal
    assert "2,203 lb" in text


def test_each_caution_stands_once() -> None:
    lines = cautions(after_plant())
    assert len(lines) == len(set(lines))
