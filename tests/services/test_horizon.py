"""The recorded horizon reaches the described house, and takes sun away but never adds any."""

import numpy as np
import pytest

from retrofit_desk.estimate.from_records import house_of
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.skyline import skyline
from retrofit_desk.records.project import Project
from retrofit_desk.services.horizon import HorizonService
from retrofit_desk.services.house_edits import CannotBe


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
