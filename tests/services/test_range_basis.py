"""The savings sum takes the fit to the bills where one holds, and says which house it stands on."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.bills_fit import BillsFitService, Errors, FitToBills
from retrofit_desk.services.kept_results import KeptResults


@pytest.fixture
def fitted(fitted_folder: Path, tmp_path: Path) -> Iterator[Project]:
    with Project.open(Path(shutil.copytree(fitted_folder, tmp_path / fitted_folder.name))) as project:
        yield project


def test_without_a_fit_the_house_is_as_described(sample_project: Project) -> None:
    belief = BillsFitService(sample_project).belief()
    assert not belief.is_fitted
    assert set(belief.center) == {0.0}
    assert set(belief.spread) == {1.0}
    assert "not fitted" in belief.words


def test_a_fit_that_holds_makes_traits_surer_and_moves_the_house(fitted: Project) -> None:
    belief = BillsFitService(fitted).belief()
    assert belief.is_fitted
    assert max(belief.spread) <= 1.0
    assert min(belief.spread) < 0.5
    assert any(belief.center)
    assert "as fitted to its bills on" in belief.words


def test_a_fit_that_is_out_of_date_does_not_count(fitted: Project) -> None:
    with fitted.action("Correct a bill") as work:
        bill = work.session.scalars(select(m.Bill)).first()
        assert bill is not None
        assert bill.quantity is not None
        bill.quantity += 5.0
    belief = BillsFitService(fitted).belief()
    assert not belief.is_fitted
    assert "out of date" in belief.words


def test_a_fit_that_misses_the_limits_does_not_count(fitted: Project) -> None:
    service = BillsFitService(fitted)
    found = service.latest()
    assert found is not None
    wide = replace(found.fuels[0], fitted=Errors(0.16, 0.0))  # MV-1: ASHRAE Guideline 14, monthly 15 %
    kept = KeptResults(fitted, "fit", FitToBills)
    kept.keep(replace(found, fuels=(wide, *found.fuels[1:])), service._ask().parts)
    belief = service.belief()
    assert not belief.is_fitted
    assert "Guideline 14" in belief.words
