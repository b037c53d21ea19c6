"""Two years of works taken back one by one to the empty record, and done again."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from sqlalchemy import text

from retrofit_desk.records.errors import NothingTo
from retrofit_desk.records.models import Base
from retrofit_desk.records.project import Project
from tests.journeys.two_year_story import Story

HISTORY = ("action", "change")


def rows_of(project: Project) -> dict[str, list[str]]:
    """Every row of every table that the works are written in."""
    with project.session() as session:
        return {
            name: sorted(repr(row) for row in session.execute(text(f'SELECT * FROM "{name}"')))
            for name in Base.metadata.tables
            if name not in HISTORY
        }


def test_two_years_can_be_taken_back_and_done_again(two_years: Story, tmp_path: Path) -> None:
    copy = Path(shutil.copytree(two_years.project.path, tmp_path / "Quillback Lane.retrofit"))
    with Project.open(copy) as project:
        lived, steps = rows_of(project), 0
        with pytest.raises(NothingTo):
            while True:
                project.undo()
                steps += 1
        assert steps > 150
        undone = rows_of(project)
        assert not [name for name in ("contract", "permit", "payment", "hold", "measure") if undone[name]]
        for _ in range(steps):
            project.redo()
        assert rows_of(project) == lived
