"""The engine's year goes into the plant as it is."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from retrofit_desk.physics import plant_delivery as d
from retrofit_desk.physics import plant_description as p
from retrofit_desk.physics import plant_machines as m
from retrofit_desk.physics.engine import run_year
from retrofit_desk.physics.plant import run_plant
from retrofit_desk.physics.plant_results import loads_of
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
    aired = box(zone={"leakage": {"kind": "air_changes", "air_changes_per_h": 0.5}})
    year = run_year(house(aired), sunny_year())
    loads = loads_of(year, sunny_year())
    assert loads.dew_point_c is not None
    psychrolib.SetUnitSystem(psychrolib.SI)
    for hour in (10, 4000, 8000):
        ratio = float(year.zones[0].humidity_ratio_kg_kg[hour])
        dew = psychrolib.GetTDewPointFromHumRatio(25.0, ratio, float(sunny_year().pressure_pa[hour]))
        assert loads.dew_point_c[hour, 0] == pytest.approx(dew, abs=0.1)
    assert np.isfinite(loads.dew_point_c).all()
