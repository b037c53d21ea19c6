"""The sample house for any test: made once, and a copy of it for whoever changes something."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from retrofit_desk.records.project import Project
from retrofit_desk.services.bills_fit import BillsFitService
from retrofit_desk.services.sample import SAND_POINT, make_sample

if TYPE_CHECKING:
    from tests.journeys.two_year_story import Story

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # no test needs a display


@pytest.fixture(scope="session")
def sample_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample house on disk. Open it for reading only, or take `sample_copy`."""
    with make_sample(tmp_path_factory.mktemp("sample") / "Sample house") as project:
        return project.path


@pytest.fixture(scope="session")
def oil_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The oil house on disk. Open it for reading only."""
    with make_sample(tmp_path_factory.mktemp("oil") / "Oil house", SAND_POINT) as project:
        return project.path


@pytest.fixture(scope="session")
def fitted_folder(sample_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample house with its model fitted to its bills. Open it for reading only, or copy it."""
    folder = Path(shutil.copytree(sample_folder, tmp_path_factory.mktemp("fitted") / sample_folder.name))
    with Project.open(folder) as project:
        BillsFitService(project).fit()
    return folder


@pytest.fixture(scope="session")
def two_years(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Story]:
    """The two-year story, played once; look at its days with `as_of`, and change nothing."""
    from tests.journeys.two_year_story import play

    story = play(tmp_path_factory.mktemp("story") / "Quillback Lane")
    with story.project:
        yield story


@pytest.fixture
def sample_copy(sample_folder: Path, tmp_path: Path) -> Path:
    """A copy of the sample house of this test's own, closed."""
    return Path(shutil.copytree(sample_folder, tmp_path / sample_folder.name))


@pytest.fixture
def sample_project(sample_copy: Path) -> Iterator[Project]:
    """The copy, open."""
    with Project.open(sample_copy) as project:
        yield project
