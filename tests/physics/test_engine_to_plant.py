"""The engine's year goes into the plant as it is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_machines as m
from retrofit_desk.physics.engine import run_loads, run_year
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_results import loads_of
from retrofit_desk.physics.psychrometrics import dew_point_c, relative_humidity_from_ratio
from tests.physics.houses import box, house
from tests.physics.plants import use
from tests.physics.years import sunny_year


def test_a_simulated_room_heated_by_a_stove() -> None:
    year = run_year(house(box()), sunny_year())
    loads = loads_of(year, sunny_year())
    stove = p.PlantDescription(
        machines=(m.Burner(name="stove", fuel="wood", capacity_w=50000.0, efficiency=0.7),),
        heating=(
            d.HeatingSystem(
                name="heat", machine="stove", serves=(d.ServedZone(zone="room"),), delivery=d.InRoom()
            ),
        ),
    )
    result = run_plant(stove, use(), loads, sunny_year())
    assert result.kwh("wood") == pytest.approx(year.heating_kwh / 0.7)
    assert result.unserved_cooling_w.sum() / 1000 == pytest.approx(year.cooling_kwh)


def test_dew_point_follows_the_moisture_of_the_room() -> None:
    year = run_year(house(box()), sunny_year())
    ratio = np.linspace(0.002, 0.016, 8760)
    damp = replace(year, zones=(replace(year.zones[0], humidity_ratio_kg_kg=ratio),))
    dew = loads_of(damp, sunny_year()).dew_point_c
    assert dew is not None
    for hour in (2000, 4000, 8000):  # against the psychrometric library
        humidity = relative_humidity_from_ratio(25.0, ratio[hour], sunny_year().pressure_pa[hour])
        assert dew[hour, 0] == pytest.approx(float(dew_point_c(25.0, humidity)), abs=0.1)


def test_a_room_without_moisture_takes_the_outdoor_dew_point() -> None:
    year = run_year(house(box()), sunny_year())
    dry = replace(year, zones=(replace(year.zones[0], humidity_ratio_kg_kg=np.full(8760, np.nan)),))
    dew = loads_of(dry, sunny_year()).dew_point_c
    assert dew is not None
    assert (dew[:, 0] == sunny_year().dew_point_c).all()


def test_the_loads_alone_are_those_of_the_whole_year() -> None:
    damp = house(box(zone={"leakage": {"air_changes_per_h": 0.5}, "gains": [{"power_w": 300.0}]}))
    whole, alone = loads_of(run_year(damp, sunny_year()), sunny_year()), run_loads(damp, sunny_year())
    assert alone.zone_names == whole.zone_names
    for name in ("heating_w", "cooling_w", "latent_w", "air_temp_c", "dew_point_c"):
        np.testing.assert_array_equal(getattr(alone, name), getattr(whole, name))
