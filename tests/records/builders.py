"""Builders of recorded things, and an exact picture of everything stored."""

from __future__ import annotations

import itertools
import sqlite3
from datetime import UTC, datetime

from retrofit_desk.records import models
from retrofit_desk.records.database import database_of
from retrofit_desk.records.project import Project
from retrofit_desk.records.unit_of_work import Work

_count = itertools.count(1)


def a_measure(title: str = "Air sealing", **columns: object) -> models.Measure:
    return models.Measure(key=f"m{next(_count)}", kind="air_sealing", title=title, **columns)


def a_storey(rooms: int = 1) -> models.Storey:
    """A storey whose rooms have one wall with one window each."""
    storey = models.Storey(key=f"s{next(_count)}", name="Upper level")
    for _ in range(rooms):
        n = next(_count)
        room = models.Room(
            key=f"r{n}", name="Den", floor_area_m2=14.2, outline=[[0.0, 0.0], [4.1, 0.0], [4.1, 3.46]]
        )
        wall = models.Surface(
            key=f"w{n}",
            name="North wall",
            kind=models.SurfaceKind.WALL,
            boundary=models.Boundary.OUTDOORS,
            area_m2=10.0,
        )
        window = models.Opening(
            key=f"o{n}", name="Window", kind=models.OpeningKind.WINDOW, width_m=1.2, height_m=1.1, shgc=0.55
        )
        wall.openings.append(window)
        room.surfaces.append(wall)
        storey.rooms.append(room)
    return storey


def file_a_paper(work: Work, content: bytes = b"%PDF-1.4 invented", name: str = "quote.pdf") -> models.Paper:
    filed = work.file_bytes(content, name)
    paper = models.Paper(
        kind=models.PaperKind.QUOTE,
        title="Quote",
        original_name=filed.original_name,
        sha256=filed.sha256,
        size_bytes=filed.size_bytes,
        media_type=filed.media_type,
        filed_at=datetime(2026, 3, 1, 20, 15, tzinfo=UTC),
    )
    work.session.add(paper)
    return paper


def everything_stored(project: Project) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table with a history, with SQLite's own type of each value."""
    connection = sqlite3.connect(f"{database_of(project.path).absolute().as_uri()}?mode=ro", uri=True)
    try:
        return {
            mapper.class_.__tablename__: _rows(connection, mapper.class_.__tablename__)
            for mapper in models.Base.registry.mappers
            if mapper.class_.in_history
        }
    finally:
        connection.close()


def _rows(connection: sqlite3.Connection, table: str) -> list[tuple[object, ...]]:
    names = [row[1] for row in connection.execute(f'PRAGMA table_info("{table}")')]
    columns = ", ".join(f'"{name}", typeof("{name}")' for name in names)
    return connection.execute(f'SELECT {columns} FROM "{table}" ORDER BY id').fetchall()
