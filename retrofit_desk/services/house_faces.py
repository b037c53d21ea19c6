"""One face of a room: layers as a core sample, figures at their faces, windows and their noon sun."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.surface_heat import faces_of, films_of, layer_resistances_m2k_w, resistance_of
from retrofit_desk.physics.layers import AssemblyResistance
from retrofit_desk.physics.moisture import Climate
from retrofit_desk.physics.noon_sun import NOON_DAYS, noon_profile_angle_deg
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.house import (
    FactSource,
    MeasureTouch,
    NotRecorded,
    SurfaceRow,
    sources_of,
    surface_row,
    touching,
)
from retrofit_desk.services.house_facts import OpeningFacts, SurfaceFacts, facts_of
from retrofit_desk.values.errors import CannotSay, DeskError
from retrofit_desk.values.stated import StatedValue

# Air on a cold day where nothing was measured; common practice, no source
INSIDE_HUMIDITY, OUTSIDE_HUMIDITY = 0.40, 0.80


@dataclass(frozen=True)
class LayerRow:
    """One layer as recorded, outside to inside; `resistance_m2k_w` with its framing, None if not known."""

    name: str
    material_key: str
    thickness_m: StatedValue[float]
    conductivity_w_mk: float | None
    stated_resistance_m2k_w: float | None
    framing_fraction: float
    framing_material_key: str
    resistance_m2k_w: float | None
    density_kg_m3: float | None


@dataclass(frozen=True)
class FaceFigure:
    """Temperature at one face, and the dew point of the vapor there when it can be said."""

    temp_c: float
    dew_point_c: float | None
    would_condense: bool


@dataclass(frozen=True)
class FaceAir:
    """The air on both sides that the figures are for."""

    inside_c: float
    outside_c: float
    inside_humidity: float
    outside_humidity: float


@dataclass(frozen=True)
class NoonSunAngle:
    """The noon sun of one day in the section across the wall; None when it does not stand before it."""

    day: str
    profile_angle_deg: float | None


@dataclass(frozen=True)
class OpeningSheet:
    """A window or door with its label and what shades it."""

    id: int
    facts: OpeningFacts
    noon: tuple[NoonSunAngle, ...]
    sources: tuple[FactSource, ...]

    @property
    def is_glass(self) -> bool:
        """Whether the sun comes through it."""
        return self.facts.kind in (m.OpeningKind.WINDOW, m.OpeningKind.GLASS_DOOR, m.OpeningKind.SKYLIGHT)


@dataclass(frozen=True)
class InsideLine:
    """Something recorded as covered up in this face."""

    name: str
    kind: str
    where: str


@dataclass(frozen=True)
class SurfaceSheet:
    """One face with everything that the drawing and the lists beside it show."""

    row: SurfaceRow
    facts: SurfaceFacts
    room_id: int
    room: str
    construction: str
    construction_source: str
    shared_by: int
    layers: tuple[LayerRow, ...]
    resistance: AssemblyResistance | None
    faces: tuple[FaceFigure, ...]
    air: FaceAir | None
    faces_cannot_say: str
    openings: tuple[OpeningSheet, ...]
    inside: tuple[InsideLine, ...]
    measures: tuple[MeasureTouch, ...]
    sources: tuple[FactSource, ...]


class FaceService:
    """Reads one surface at a time."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def sheet(self, surface_id: int) -> SurfaceSheet:
        """Everything about one face. Raises `NotRecorded`."""
        with self._project.session() as session:
            surface = session.get(m.Surface, surface_id)
            if surface is None:
                raise NotRecorded("this face is not recorded any more", do="undo brings it back")
            site = session.scalar(select(m.Site))
            construction = surface.construction
            faces, air, cannot_say = _faces(surface, site)
            return SurfaceSheet(
                row=surface_row(surface, surface.room),
                facts=facts_of(SurfaceFacts, surface),
                room_id=surface.room_id,
                room=surface.room.name,
                construction=construction.name if construction else "",
                construction_source=construction.source if construction else "",
                shared_by=_shared_by(session, surface.construction_id),
                layers=_layer_rows(surface),
                resistance=_resistance(surface),
                faces=faces,
                air=air,
                faces_cannot_say=cannot_say,
                openings=tuple(_opening(session, one, site) for one in surface.openings),
                inside=_inside(session, surface_id),
                measures=touching(session, m.MeasurePlace.surface_id == surface_id),
                sources=sources_of(session, "surface", surface_id),
            )


def blank_opening() -> OpeningSheet:
    """What the form of a new window begins with: nothing said, nothing before it."""
    return OpeningSheet(0, OpeningFacts("", str(m.OpeningKind.WINDOW), 0.0, 0.0), (), ())


def _shared_by(session: Session, construction_id: int | None) -> int:
    if construction_id is None:
        return 0
    query = select(func.count()).where(m.Surface.construction_id == construction_id)
    return session.scalar(query) or 0


def _layer_rows(surface: m.Surface) -> tuple[LayerRow, ...]:
    if surface.construction is None:
        return ()
    rows = surface.construction.layers
    resistances: tuple[float | None, ...]
    try:
        resistances = layer_resistances_m2k_w(surface)
    except DeskError:
        resistances = (None,) * len(rows)
    return tuple(_layer_row(row, resistance) for row, resistance in zip(rows, resistances, strict=True))


def _layer_row(row: m.ConstructionLayer, resistance_m2k_w: float | None) -> LayerRow:
    return LayerRow(
        name=row.name,
        material_key=row.material_key,
        thickness_m=row.stated("thickness_m"),
        conductivity_w_mk=row.conductivity_w_mk,
        stated_resistance_m2k_w=row.resistance_m2k_w,
        framing_fraction=row.framing_fraction,
        framing_material_key=row.framing_material_key,
        resistance_m2k_w=resistance_m2k_w,
        density_kg_m3=row.density_kg_m3,
    )


def _resistance(surface: m.Surface) -> AssemblyResistance | None:
    try:
        return resistance_of(surface)
    except DeskError:
        return None


def _faces(surface: m.Surface, site: m.Site | None) -> tuple[tuple[FaceFigure, ...], FaceAir | None, str]:
    """Figures on the design day, for faces to the outdoors; temperatures alone where vapor is not known."""
    inside_c = surface.room.heating_set_point_c
    outside_c = site.design_heating_c if site is not None else None
    if surface.boundary is not m.Boundary.OUTDOORS or inside_c is None or outside_c is None:
        return (), None, ""
    air = FaceAir(inside_c, outside_c, INSIDE_HUMIDITY, OUTSIDE_HUMIDITY)
    try:
        planes = faces_of(surface, Climate(inside_c, INSIDE_HUMIDITY, outside_c, OUTSIDE_HUMIDITY))
    except CannotSay as error:
        return _temperatures(surface, air), air, error.line()
    except DeskError as error:
        return (), None, error.line()
    figures = tuple(FaceFigure(plane.temp_c, plane.dew_point_c, plane.would_condense) for plane in planes)
    return figures, air, ""


def _temperatures(surface: m.Surface, air: FaceAir) -> tuple[FaceFigure, ...]:
    """Only the temperatures, by the share of resistance outside each face."""
    try:
        whole, parts = resistance_of(surface), layer_resistances_m2k_w(surface)
    except DeskError:
        return ()
    outward = whole.mean_m2k_w - sum(parts) - films_of(surface).inside_m2k_w
    figures = []
    for part in (0.0, *parts):
        outward += part
        temp = air.outside_c + (air.inside_c - air.outside_c) * outward / whole.mean_m2k_w
        figures.append(FaceFigure(temp, None, False))
    return tuple(figures)


def _opening(session: Session, row: m.Opening, site: m.Site | None) -> OpeningSheet:
    sources = sources_of(session, "opening", row.id)
    return OpeningSheet(row.id, facts_of(OpeningFacts, row), _noon(row.surface, site), sources)


def _noon(surface: m.Surface, site: m.Site | None) -> tuple[NoonSunAngle, ...]:
    if site is None or site.latitude_deg is None or surface.azimuth_deg is None:
        return ()
    return tuple(
        NoonSunAngle(day, noon_profile_angle_deg(site.latitude_deg, number, surface.azimuth_deg))
        for day, number in NOON_DAYS
    )


def _inside(session: Session, surface_id: int) -> tuple[InsideLine, ...]:
    hidden = session.scalars(select(m.HiddenThing).where(m.HiddenThing.surface_id == surface_id))
    lines = [InsideLine(one.name, str(one.kind), one.notes) for one in hidden]
    places = session.scalars(
        select(m.WorkPlace).where(m.WorkPlace.surface_id == surface_id, m.WorkPlace.what_is_inside != "")
    )
    for place in places:
        lines.append(InsideLine(place.what_is_inside, "written up", place.entry.measure.title))
    return tuple(lines)
