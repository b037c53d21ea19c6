"""What recorded things of the house are called, for answers that know them by their keys."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project


@dataclass(frozen=True)
class Names:
    """The owner's names by the keys of the record."""

    by_key: Mapping[str, str] = field(default_factory=dict)

    def of(self, key: str) -> str:
        """The name; of what is no longer recorded its key, readable."""
        return self.by_key.get(key, key.replace("-", " ").capitalize())

    def known(self, words: str) -> str:
        """Words with every key among them, parted by commas, told by its name."""
        return ", ".join(self.by_key.get(word, word) for word in words.split(", "))


class NamesService:
    """Reads the names as they are now."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def names(self) -> Names:
        with self._project.session() as session:
            return names_in(session)


def names_in(session: Session) -> Names:
    """Rooms last: where a machine has the key of a room, the room is meant."""
    openings, surfaces = session.scalars(select(m.Opening)), session.scalars(select(m.Surface))
    by_key: dict[str, str] = {}
    for plain in (
        select(m.Meter.key, m.Meter.name),
        select(m.Construction.key, m.Construction.name),
        select(m.Equipment.key, m.Equipment.name),
    ):
        by_key |= {key: name for key, name in session.execute(plain)}
    by_key |= {row.key: f"{row.name} of {row.surface.room.name}" for row in openings}
    by_key |= {row.key: f"{row.name} of {row.room.name}" for row in surfaces}
    return Names(by_key | {key: name for key, name in session.execute(select(m.Room.key, m.Room.name))})
