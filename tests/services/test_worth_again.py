"""What is known is not run again: by calls of the physics, not by time. Parts of many measures are drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.desk.pages import worth_words as page_words
from retrofit_desk.estimate import line_up
from retrofit_desk.physics import engine, plant
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import WorthService
from retrofit_desk.services.worth_words import savings_data
from tests.services.small_house import a_recorded_house


class Stopped(Exception):
    """The owner asked the work to stop."""


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with a_recorded_house(tmp_path / "house") as made:
        yield made


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """One entry for each year of a house or a plant that is run."""
    counted: list[str] = []

    def count(owner: object, name: str) -> None:
        real: Callable[..., object] = getattr(owner, name)

        def counting(*given: object, **named: object) -> object:
            counted.append(name)
            return real(*given, **named)

        monkeypatch.setattr(owner, name, counting)

    count(engine, "step_year")
    count(plant, "run_plant")
    return counted


def change_tariff(project: Project, key: str) -> None:
    with project.action("Choose another tariff") as work:
        choice = work.session.scalars(
            select(m.TariffChoice).where(m.TariffChoice.tariff_key == "carraway-residential")
        ).one()
        choice.tariff_key = key


def test_another_tariff_and_another_cost_run_no_physics(project: Project, runs: list[str]) -> None:
    service = WorthService(project)
    first = service.savings()
    service.fair_parts()
    runs.clear()
    change_tariff(project, "carraway-time-of-day")
    with project.action("Type a cost") as work:
        work.session.scalars(select(m.Measure).where(m.Measure.key == "sealing")).one().cost_cents = 12_300
    assert service.is_out_of_date()
    second = service.savings()
    service.fair_parts()
    assert runs == []
    assert second.before.total_cents != first.before.total_cents
    assert second.before.uses == first.before.uses


def test_a_project_opened_again_in_one_session_runs_no_physics(project: Project, runs: list[str]) -> None:
    first = WorthService(project).savings()
    path = project.path
    project.close()
    runs.clear()
    with Project.open(path) as again:
        second = WorthService(again).savings()
    assert runs == []
    assert second.whole.money_saved == first.whole.money_saved


def test_a_changed_house_is_run_again(project: Project, runs: list[str]) -> None:
    service = WorthService(project)
    service.savings()
    runs.clear()
    with project.action("Warm the room") as work:
        work.session.scalars(select(m.Room)).first().heating_set_point_c = 20.75  # type: ignore[union-attr]
    service.savings()
    assert "step_year" in runs


def test_a_sum_that_was_stopped_goes_on_from_what_it_knows(project: Project, runs: list[str]) -> None:
    with project.action("Warm the room") as work:
        work.session.scalars(select(m.Room)).first().heating_set_point_c = 20.25  # type: ignore[union-attr]

    def stop(share: float, doing: str) -> None:
        if share > 0.7:
            raise Stopped

    with pytest.raises(Stopped):
        WorthService(project).savings(stop)
    before = len(runs)
    assert before > 0
    WorthService(project).savings()
    rest = len(runs) - before
    runs.clear()
    WorthService(project).savings()
    assert runs == []
    assert rest < before  # more than half was done when it was stopped


def test_parts_of_too_many_measures_are_drawn_with_their_error(
    project: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(line_up, "MOST_FOR_ALL_SETS", 1)  # two measures are then too many
    service = WorthService(project)
    service.savings()
    counted = service.fair_parts()
    for line in counted.lines:
        assert line.fair_part is not None
        assert line.fair_part_error_cents is not None
        assert line.fair_part_error_cents > 0.0
        assert " ± $" in page_words.fair_part_money(line)
        assert "drawn" in page_words.fair_part_hint(line)
    parts = [line.fair_part.money_saved_cents for line in counted.lines if line.fair_part]
    in_place = [line.in_its_place.money_saved_cents for line in counted.lines]
    assert sum(parts) == pytest.approx(sum(in_place))
    assert service.latest() == counted
    told = savings_data(counted)["measures"][0]
    assert told["fair_part_standard_error_cents_per_year"] == counted.lines[0].fair_part_error_cents


def test_parts_of_few_measures_are_exact_and_say_no_error(project: Project) -> None:
    service = WorthService(project)
    service.savings()
    for line in service.fair_parts().lines:
        assert line.fair_part_error_cents is None
        assert "±" not in page_words.fair_part_money(line)
