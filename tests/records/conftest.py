"""An empty project, and builders that fill in what a test does not care about."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from retrofit_desk.records.project import Project


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with Project.create(tmp_path / "house") as made:
        yield made
