"""What becomes of one face: with the measures that are in place, and with all of the line-up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import select

from retrofit_desk.estimate.from_records import case_of
from retrofit_desk.physics.description import House, Surface
from retrofit_desk.physics.elements import GlazingByLabel
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.changed_house import (
    face_u_w_m2k,
    line_up,
    made_of,
    panes_words,
    with_measures,
)
from retrofit_desk.services.house import NotRecorded
from retrofit_desk.values.errors import DeskError

IN_PLACE, ALL = "with what is in place", "with all measures"


@dataclass(frozen=True)
class GlassThen:
    """One window as it then is."""

    name: str
    made_of: str
    u_value_w_m2k: float
    shgc: float


@dataclass(frozen=True)
class FaceThen:
    """The face at one moment. `made_of` is empty where the wall itself stays as it was; ISO 6946:2017."""

    when: str
    made_of: str
    u_value_w_m2k: float
    glass: tuple[GlassThen, ...]


@dataclass(frozen=True)
class FaceChanges:
    """The moments at which it is another; `cannot_say` in one line where the house is not whole."""

    moments: tuple[FaceThen, ...] = ()
    cannot_say: str = ""


class FaceChangesService:
    """Reads the recorded house and the line-up; keeps nothing."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def of(self, surface_id: int) -> FaceChanges:
        """What changes at this face, nothing where no measure touches it. Raises `NotRecorded`."""
        with self._project.session() as session:
            surface = session.get(m.Surface, surface_id)
            if surface is None:
                raise NotRecorded("this face is not recorded any more", do="undo brings it back")
            names = {one.key: one.name for one in session.scalars(select(m.Construction))}
            names |= {one.key: one.name for one in session.scalars(select(m.Opening))}
            measures = line_up(session)
            done = [one for one in measures if one.placed_in_service_on is not None]
            try:
                before = case_of(session)
                houses = [
                    (when, with_measures(before, some).house) for when, some in _moments(done, measures)
                ]
            except DeskError as error:
                return FaceChanges(cannot_say=error.line())
            moments: list[FaceThen] = []
            for when, house in houses:
                then = _then(when, surface.key, before.house, house, names)
                if then is not None and not (moments and replace(then, when=moments[0].when) == moments[0]):
                    moments.append(then)
            return FaceChanges(tuple(moments))


def _moments(
    done: Sequence[m.Measure], measures: Sequence[m.Measure]
) -> list[tuple[str, Sequence[m.Measure]]]:
    """Once where all or none of the measures are in place."""
    if not done or len(done) == len(measures):
        return [(IN_PLACE if done else ALL, measures)]
    return [(IN_PLACE, done), (ALL, measures)]


def _then(when: str, key: str, before: House, after: House, names: dict[str, str]) -> FaceThen | None:
    was, now = _face(before, key), _face(after, key)
    if was is None or now is None:
        return None
    changed = was.construction != now.construction
    glass = _glass(was, now, before, after, names)
    if not changed and not glass:
        return None
    return FaceThen(
        when,
        made_of(names, was.construction, now.construction) if changed else "",
        face_u_w_m2k(after, now),
        glass,
    )


def _face(house: House, key: str) -> Surface | None:
    return next((one for one in house.surfaces if one.name == key), None)


def _glass(
    was: Surface, now: Surface, before: House, after: House, names: dict[str, str]
) -> tuple[GlassThen, ...]:
    """The windows that are others then, by their labels."""
    labels = {one.name: one for one in (*before.glazings, *after.glazings)}
    found = []
    for old, new in zip(was.windows, now.windows, strict=True):
        label = labels[new.glazing]
        if labels[old.glazing] != label and isinstance(label, GlazingByLabel):
            name = names.get(new.name, new.name)
            found.append(GlassThen(name, panes_words(label), label.u_value_w_m2k, label.shgc))
    return tuple(found)
