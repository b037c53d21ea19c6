"""What the rooms are called, for answers that know them by their keys."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project


@dataclass(frozen=True)
class RoomNames:
    """The owner's names by the rooms' keys."""

    by_key: Mapping[str, str]

    def of(self, key: str) -> str:
        """The name; of a room that is no longer recorded its key, readable."""
        return self.by_key.get(key, key.replace("-", " ").capitalize())


class RoomNamesService:
    """Reads the names as they are now."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def names(self) -> RoomNames:
        with self._project.session() as session:
            return RoomNames({key: name for key, name in session.execute(select(m.Room.key, m.Room.name))})
