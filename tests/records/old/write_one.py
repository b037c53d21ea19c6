"""Writes the small record that later versions must still open, named after the newest migration."""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from datetime import UTC, date, datetime
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[3]))

from retrofit_desk.records import models
from retrofit_desk.records.database import database_of
from retrofit_desk.records.project import Project
from retrofit_desk.records.upgrade import SCHEMA_REVISION


def fill(project: Project) -> None:
    """Two measures, a room with a wall, a paper with its use, and an undone step."""
    with project.action("Describe the house") as work:
        room = models.Room(
            key="den", name="Den", floor_area_m2=14.2, outline=[[0, 0], [4.1, 0], [4.1, 3.46], [0, 3.46]]
        )
        room.surfaces.append(
            models.Surface(
                key="den-north",
                name="North wall",
                kind=models.SurfaceKind.WALL,
                boundary=models.Boundary.OUTDOORS,
                area_m2=9.9,
            )
        )
        work.session.add(models.Storey(key="lower", name="Lower level", rooms=[room]))
        attic = models.Measure(key="attic", kind="air_sealing", title="Seal the attic", cost_cents=98_765)
        attic.places.append(models.MeasurePlace(room=room))
        attic.entries.append(
            models.WorkEntry(
                worked_on=date(2026, 4, 18), written_at=datetime(2026, 4, 18, 21, 5, tzinfo=UTC), hours=6.5
            )
        )
        work.session.add(attic)
        work.session.add(models.Measure(key="range", kind="induction_range", title="Induction range"))
    with project.action("Think about the range") as work:
        work.session.get_one(models.Measure, 2).why = "no more gas in the kitchen"
    project.undo()


def main() -> None:
    target = Path(__file__).parent / f"{SCHEMA_REVISION}.sql"
    with tempfile.TemporaryDirectory() as folder, Project.create(Path(folder) / "old") as project:
        fill(project)
        with sqlite3.connect(database_of(project.path)) as database:
            target.write_text("\n".join(database.iterdump()) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
