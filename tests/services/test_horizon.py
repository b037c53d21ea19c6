"""The recorded horizon reaches the described house, and takes sun away but never adds any."""

import math

import numpy as np
import pytest

from retrofit_desk.estimate.from_records import house_of
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.skyline import skyline
from retrofit_desk.records.project import Project
from retrofit_desk.services.horizon import HorizonService
from retrofit_desk.services.house_facts import CannotBe
from retrofit_desk.services.trees import TreeFacts, TreeService


def test_a_horizon_is_all_or_nothing_and_never_raises_the_sun(sample_project: Project) -> None:
    horizon = HorizonService(sample_project)
    nothing: tuple[float | None, ...] = (None,) * 8
    assert horizon.altitudes_deg() == nothing
    with pytest.raises(CannotBe, match="some directions are missing"):
        horizon.change((10.0, *nothing[1:]))
    hills = (0.0, 0.0, 10.0, 20.0, 30.0, 20.0, 10.0, 0.0)
    horizon.change(hills)
    assert horizon.altitudes_deg() == hills
    with sample_project.session() as session:
        site = house_of(session).site
    assert tuple(one.altitude_deg for one in site.horizon) == hills
    left = skyline(site, 90.0, 180.0, greensboro())
    for share in (left.beam, left.sky, left.horizon):
        assert np.min(share) >= 0.0
        assert np.max(share) <= 1.0
    assert np.mean(left.beam) < 1.0
    sample_project.undo()
    assert horizon.altitudes_deg() == nothing


def test_hills_and_trees_take_hours_of_the_sun_by_the_season(sample_project: Project) -> None:
    horizon, trees = HorizonService(sample_project), TreeService(sample_project)
    june, equinox, december = horizon.sun_courses()
    # day length 2/15 acos(-tan lat tan dec): Duffie & Beckman, par. 1.6 (from memory), to the quarter hour
    for course, declination in ((june, 23.45), (equinox, -0.4), (december, -23.45)):
        cosine = -math.tan(math.radians(36.1)) * math.tan(math.radians(declination))
        assert course.hours_up == pytest.approx(2.0 / 15.0 * math.degrees(math.acos(cosine)), abs=0.25)
        assert course.hours_left == course.hours_up
        assert course.noon_azimuth_deg == 180.0
    all_around = TreeFacts("Oaks", 0.0, 359.0, 89.0, 0.2, 0.6, 4, 10, "made up")
    trees.add(all_around)
    in_leaf, _, bare = horizon.sun_courses()
    assert in_leaf.hours_left == pytest.approx(0.2 * june.hours_up)
    assert bare.hours_left == pytest.approx(0.6 * december.hours_up)
    horizon.change((80.0,) * 8)
    assert [one.hours_left for one in horizon.sun_courses()] == [0.0, 0.0, 0.0]
