"""The sum that ships with a sample house is that of the sample as it is now."""

from __future__ import annotations

from pathlib import Path

import pytest

from retrofit_desk.estimate.scenario import Simulator
from retrofit_desk.estimate.work_out import summary
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import WorthService
from tests.services.small_house import a_recorded_house

AGAIN = "run .venv/bin/python tests/services/make_sample_sum.py"


@pytest.mark.parametrize("folder", ["sample_folder", "oil_folder"])
def test_a_sample_shows_its_worth_at_once_and_it_is_up_to_date(
    folder: str, request: pytest.FixtureRequest
) -> None:
    with Project.open(request.getfixturevalue(folder), read_only=True) as project:
        service = WorthService(project)
        found = service.latest()
        assert found is not None, AGAIN
        assert service.changed_since() == (), AGAIN
        # the engine itself is no part of the fingerprint: one year of it is run to see that it still agrees
        ask = service.asked()
        now = summary(ask.line_up(Simulator(ask.weather)).year(0), ask.terms)
        assert found.before.total_cents == pytest.approx(now.total_cents, rel=1e-3), AGAIN
        assert found.before.fuel_kwh() == pytest.approx(now.fuel_kwh(), rel=1e-3), AGAIN


def test_a_sum_of_another_house_is_not_taken(sample_folder: Path, tmp_path: Path) -> None:
    with Project.open(sample_folder, read_only=True) as project:
        told = WorthService(project).exported()
    with a_recorded_house(tmp_path / "house") as other:
        assert not WorthService(other).take(told)
        assert WorthService(other).latest() is None
