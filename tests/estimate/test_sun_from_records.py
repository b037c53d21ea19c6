"""Trees, shades by the clock and the coating of the glass reach the described house as they are recorded."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from retrofit_desk.estimate.from_records import house_of
from retrofit_desk.exchange.house_file import parse_house
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.description import House, Site, Window
from retrofit_desk.physics.elements import Blind, GainAtAngle, GlazingByLabel
from retrofit_desk.physics.schedules import hourly
from retrofit_desk.physics.sun_on_house import SunOnHouse, SunOnWindow, sun_on_house
from retrofit_desk.physics.weather import HOUR_OF_DAY, MONTH_OF_HOUR
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.values.errors import CannotSay

SOUTH = "living-south-window"
OAKS: dict[str, Any] = {
    "name": "Oaks",
    "from_azimuth_deg": 135.0,
    "to_azimuth_deg": 225.0,
    "altitude_deg": 35.0,
    "share_in_leaf": 0.2,
    "share_bare": 0.6,
    "leaf_from_month": 4,
    "leaf_to_month": 10,
}
SHUTTER: dict[str, Any] = {
    "shade": m.ShadeKind.SHUTTER,
    "shade_solar_factor": 0.15,
    "shade_rule": "drawn by the clock",
    "shade_from_hour": 9,
    "shade_to_hour": 17,
}


def described(project: Project, *trees: dict[str, Any], **window: Any) -> House:
    with project.action("Describe") as work:
        work.session.add_all(m.TreeStand(**one) for one in trees)
        row = work.session.query(m.Opening).filter_by(key=SOUTH).one()
        for column, value in window.items():
            setattr(row, column, value)
    with project.session() as session:
        return house_of(session)


def window_of(house: House) -> Window:
    return next(one for surface in house.surfaces for one in surface.windows if one.name == SOUTH)


def glass_of(house: House) -> GlazingByLabel:
    found = next(one for one in house.glazings if one.name == window_of(house).glazing)
    assert isinstance(found, GlazingByLabel)
    return found


def sun_through(house: House) -> SunOnWindow:
    found: SunOnHouse = sun_on_house(house.surfaces, house.glazings, house.site, greensboro())
    names = [one.name for surface in house.surfaces for one in surface.windows]
    return found.windows[names.index(SOUTH)]


def test_trees_let_through_one_share_in_leaf_and_another_bare(sample_project: Project) -> None:
    (trees,) = described(sample_project, OAKS).site.trees
    assert trees.monthly_transmittance == (*(0.6,) * 3, *(0.2,) * 7, *(0.6,) * 2)
    assert (trees.from_azimuth_deg, trees.to_azimuth_deg, trees.altitude_deg) == (135.0, 225.0, 35.0)


def test_leaves_may_stay_over_the_turn_of_the_year_or_all_of_it(sample_project: Project) -> None:
    over = OAKS | {"leaf_from_month": 10, "leaf_to_month": 3}
    pines = OAKS | {"name": "Pines", "leaf_from_month": None, "leaf_to_month": None, "share_bare": None}
    southern, evergreen = described(sample_project, over, pines).site.trees
    assert southern.monthly_transmittance == (*(0.2,) * 3, *(0.6,) * 6, *(0.2,) * 3)
    assert evergreen.monthly_transmittance == (0.2,) * 12


@pytest.mark.parametrize(
    ("from_hour", "to_hour", "drawn"),
    [
        (9, 17, tuple(range(9, 17))),
        (22, 6, (*range(6), 22, 23)),
        (0, 24, tuple(range(24))),
        (8, 8, tuple(range(24))),
    ],
)
def test_a_shade_is_drawn_in_the_hours_of_the_clock(
    sample_project: Project, from_hour: int, to_hour: int, drawn: tuple[int, ...]
) -> None:
    hours = {"shade_from_hour": from_hour, "shade_to_hour": to_hour}
    blind = window_of(described(sample_project, **SHUTTER | hours)).blind
    assert isinstance(blind, Blind)
    assert (blind.side, blind.solar_factor) == ("exterior", 0.15)
    assert tuple(np.flatnonzero(hourly(blind.drawn, off=0.0)[:24])) == drawn


def test_in_its_hours_and_months_the_shade_leaves_its_share_and_else_all(sample_project: Project) -> None:
    bare = sun_through(described(sample_project, shade=m.ShadeKind.NONE))
    house = described(sample_project, **SHUTTER, shade_from_month=5, shade_to_month=9)
    found = sun_through(house)
    drawn = (HOUR_OF_DAY >= 9) & (HOUR_OF_DAY < 17) & (MONTH_OF_HOUR >= 4) & (MONTH_OF_HOUR <= 8)
    assert found.transmitted_w[drawn] == pytest.approx(bare.transmitted_w[drawn] * 0.15)
    assert found.transmitted_w[~drawn] == pytest.approx(bare.transmitted_w[~drawn])
    assert bare.transmitted_w[drawn].max() > 100.0


@pytest.mark.parametrize("missing", ["shade_from_hour", "shade_to_hour", "shade_solar_factor"])
def test_a_clock_without_its_hours_or_a_shade_without_its_share_is_asked_for(
    sample_project: Project, missing: str
) -> None:
    with pytest.raises(CannotSay, match="South window"):
        described(sample_project, **SHUTTER | {missing: None})


def test_the_coating_and_a_maker_s_course_go_with_the_glass(sample_project: Project) -> None:
    plain = glass_of(described(sample_project))
    assert (plain.coating, plain.shgc_by_angle) == (None, ())
    course = [[0.0, 0.58], [40.0, 0.55], [60.0, 0.45], [80.0, 0.15]]
    told = glass_of(described(sample_project, coating="low-e", shgc_by_angle=course))
    assert told.coating == "low-e"
    assert told.shgc_by_angle[2] == GainAtAngle(angle_deg=60.0, shgc=0.45)
    assert told.name != plain.name


def test_a_coated_window_takes_less_of_the_low_sun_than_an_uncoated_one(sample_project: Project) -> None:
    uncoated = sun_through(described(sample_project, coating="uncoated"))
    coated = sun_through(described(sample_project, coating="low-e"))
    assert (coated.transmitted_w <= uncoated.transmitted_w + 1e-9).all()
    assert coated.transmitted_w.sum() < 0.99 * uncoated.transmitted_w.sum()


def test_all_of_it_is_written_into_a_house_file_and_read_again(sample_project: Project) -> None:
    house = described(sample_project, OAKS, **SHUTTER, coating="low-e", shade_from_month=5, shade_to_month=9)
    again = parse_house(house.model_dump_json(), where="house")
    assert again == house
    assert again.site != Site()


def test_a_shade_drawn_by_night_keeps_in_what_is_recorded_and_takes_no_sun(sample_project: Project) -> None:
    curtain = {"shade": m.ShadeKind.CURTAIN, "shade_solar_factor": 0.7, "shade_rule": "drawn by night"}
    keeps = {"shade_added_resistance_m2k_w": 0.12}
    blind = window_of(described(sample_project, **curtain, **keeps)).blind
    assert blind == Blind(
        side="interior", solar_factor=1.0, added_resistance_m2k_w=0.12, by_night=True, drawn=0.0
    )
    unknown = window_of(described(sample_project, **curtain, shade_added_resistance_m2k_w=None)).blind
    assert unknown is not None
    assert unknown.added_resistance_m2k_w == 0.0


def test_limits_of_the_sun_rule_are_the_owner_s_where_told(sample_project: Project) -> None:
    screen = {"shade": m.ShadeKind.OUTSIDE_SCREEN, "shade_solar_factor": 0.2}
    rule = {"shade_rule": "drawn in summer sun and by night"}
    limits = {"shade_sun_above_w_m2": 120.0, "shade_outdoor_above_c": 16.0}
    told = window_of(described(sample_project, **screen, **rule, **limits)).blind
    assert told is not None
    assert (told.sun_above_w_m2, told.outdoor_above_c, told.by_night, told.drawn) == (120.0, 16.0, True, None)
    usual = window_of(described(sample_project, shade_sun_above_w_m2=None, shade_outdoor_above_c=None)).blind
    assert usual is not None
    assert (usual.sun_above_w_m2, usual.outdoor_above_c) == (200.0, 20.0)
