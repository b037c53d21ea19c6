"""The house before and after, as a packet tells it: loads, shell, machines, leakage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.from_records import case_of
from retrofit_desk.paperwork.contents import (
    ElementLine,
    HousePart,
    LeakageLine,
    MachineLine,
    QuantityLine,
)
from retrofit_desk.physics.description import House, Surface
from retrofit_desk.physics.elements import GlazingByLabel
from retrofit_desk.records import models as m
from retrofit_desk.services.changed_house import (
    face_u_w_m2k,
    line_up,
    made_of,
    panes_words,
    with_measures,
)
from retrofit_desk.services.written_leakage import written_leakage
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension, count_text
from retrofit_desk.values.stated import Stated, StatedValue

UNKNOWN: StatedValue[float] = StatedValue(None, Stated.UNKNOWN)


def house_part(session: Session) -> HousePart:
    """The house as found against the house with the whole line-up; what cannot be said is unknown."""
    site = session.scalar(select(m.Site))
    measures = line_up(session)
    elements: tuple[ElementLine, ...] = ()
    unsaid = ""
    try:
        before = case_of(session)
        elements = _elements(session, before.house, with_measures(before, measures).house)
    except DeskError as error:
        unsaid = f". Walls and windows are left out: {error.line()}"
    every = "the one measure" if len(measures) == 1 else f"all {len(measures)} measures"
    built = _built_words(measures)
    return HousePart(
        year_built=site.stated("year_built") if site else StatedValue(None, Stated.UNKNOWN),
        stories=_stories(session),
        after_is=f"with {every} of the line-up; {built}{unsaid}",
        quantities=_quantities(session, site),
        elements=elements,
        machines=_machines(session, measures),
        leakage=_leakage(session),
    )


def _built_words(measures: Sequence[m.Measure]) -> str:
    built = sum(1 for measure in measures if measure.placed_in_service_on is not None)
    if built == len(measures):
        return "every one is in place today"
    if not built:
        return "none is in place today, all are as planned"
    return f"{built} {'is' if built == 1 else 'are'} in place today, the others as planned"


def _stories(session: Session) -> str:
    storeys = session.scalars(select(m.Storey).order_by(m.Storey.position, m.Storey.id)).all()
    rooms = [room for storey in storeys for room in storey.rooms if room.is_heated]
    return f"{', '.join(storey.name for storey in storeys)}; {count_text(len(rooms), 'heated room')}"


def _quantities(session: Session, site: m.Site | None) -> tuple[QuantityLine, ...]:
    lines = []
    if site is not None:
        area = site.stated("floor_area_m2")
        lines.append(QuantityLine("Heated floor area", Dimension.AREA, area, area, "the record of the house"))
    loads = session.scalars(select(m.DesignLoad).order_by(m.DesignLoad.made_at, m.DesignLoad.id)).all()
    if loads:
        first, last = loads[0], loads[-1]
        after = StatedValue(last.heating_w) if last is not first else UNKNOWN
        source = f"{last.method}; after: {last.name}" if last is not first else first.method
        lines.append(
            QuantityLine("Design heat loss", Dimension.POWER, StatedValue(first.heating_w), after, source)
        )
        if first.cooling_w is not None:
            cooled = last.cooling_w if last is not first else None
            lines.append(
                QuantityLine(
                    "Design cooling",
                    Dimension.POWER,
                    StatedValue(first.cooling_w),
                    StatedValue.of(cooled, Stated.KNOWN),
                    source,
                )
            )
    return tuple(lines)


# shell


@dataclass(frozen=True)
class _Face:
    """One surface or window with what it is before and after."""

    group: str
    room: str
    area_m2: float
    before: str
    after: str
    u_before: float
    u_after: float
    shgc_before: float | None = None
    shgc_after: float | None = None


@dataclass(frozen=True)
class _Words:
    """Recorded rooms, constructions and openings by the keys that the described house calls them by."""

    rooms: dict[str, m.Room]
    constructions: dict[str, str]
    openings: dict[str, m.Opening]

    @classmethod
    def of(cls, session: Session) -> _Words:
        return cls(
            {room.key: room for room in session.scalars(select(m.Room))},
            {one.key: one.name for one in session.scalars(select(m.Construction))},
            {opening.key: opening for opening in session.scalars(select(m.Opening))},
        )

    def parts_warm_from_cold(self, surface: Surface) -> bool:
        if not self.rooms[surface.zone].is_heated:
            return False
        if surface.boundary.kind == "zone":
            return not self.rooms[surface.boundary.zone].is_heated
        return surface.boundary.kind != "adiabatic"


def _elements(session: Session, before: House, after: House) -> tuple[ElementLine, ...]:
    """Outer surfaces and windows that are alike before and after stand in one line."""
    words = _Words.of(session)
    later = {surface.name: surface for surface in after.surfaces}
    faces = [
        face
        for surface in before.surfaces
        for face in _faces(surface, later[surface.name], before, after, words)
    ]
    return tuple(_line(list(group)) for _, group in groupby(sorted(faces, key=_alike), key=_alike))


def _alike(face: _Face) -> tuple[str, str, str, float, float, float, float]:
    return (
        face.group,
        face.before,
        face.after,
        round(face.u_before, 3),
        round(face.u_after, 3),
        face.shgc_before or 0.0,
        face.shgc_after or 0.0,
    )


def _line(faces: Sequence[_Face]) -> ElementLine:
    first = faces[0]
    rooms = list(dict.fromkeys(face.room for face in faces))
    return ElementLine(
        where=f"{first.group}: {', '.join(rooms)}",
        area_m2=sum(face.area_m2 for face in faces),
        made_of_before=first.before,
        made_of_after="same" if first.before == first.after else first.after,
        u_before_w_m2k=StatedValue(first.u_before),
        u_after_w_m2k=StatedValue(first.u_after),
        shgc_before=None if first.shgc_before is None else StatedValue(first.shgc_before),
        shgc_after=None if first.shgc_after is None else StatedValue(first.shgc_after),
    )


def _faces(surface: Surface, later: Surface, before: House, after: House, words: _Words) -> list[_Face]:
    """The face itself where it changes or parts warm from cold, and the windows in it."""
    windows = _windows(surface, later, before, after, words)
    if surface.construction == later.construction and not words.parts_warm_from_cold(surface):
        return windows
    glass = sum(window.width_m * window.height_m for window in surface.windows)
    face = _Face(
        group=_group(surface.tilt_deg),
        room=words.rooms[surface.zone].name,
        area_m2=surface.area_m2 - glass,
        before=words.constructions.get(surface.construction, surface.construction),
        after=made_of(words.constructions, surface.construction, later.construction),
        u_before=face_u_w_m2k(before, surface),
        u_after=face_u_w_m2k(after, later),
    )
    return [face, *windows]


def _group(tilt_deg: float) -> str:
    if tilt_deg > 120.0:
        return "Floors"
    return "Walls" if tilt_deg >= 60.0 else "Roofs and ceilings"


def _windows(surface: Surface, later: Surface, before: House, after: House, words: _Words) -> list[_Face]:
    known = {one.name: one for one in (*before.glazings, *after.glazings)}
    faces = []
    for window, then in zip(surface.windows, later.windows, strict=True):
        was, now = known[window.glazing], known[then.glazing]
        if was.kind != "label" or now.kind != "label":
            continue
        opening = words.openings[window.name]
        is_door = opening.kind is m.OpeningKind.DOOR
        faces.append(
            _Face(
                group="Doors" if is_door else "Windows",
                room=words.rooms[surface.zone].name,
                area_m2=window.width_m * window.height_m,
                before=opening.name if is_door else _glass(opening, was),
                after=opening.name if is_door and was == now else panes_words(now),
                u_before=was.u_value_w_m2k,
                u_after=now.u_value_w_m2k,
                shgc_before=was.shgc,
                shgc_after=now.shgc,
            )
        )
    return faces


def _glass(opening: m.Opening, glass: GlazingByLabel) -> str:
    return f"{opening.frame} {opening.operation}, {panes_words(glass)}"


# machines and leakage

_PURPOSES: tuple[tuple[str, frozenset[m.EquipmentKind], frozenset[str]], ...] = (
    (
        "Heating",
        frozenset(
            {
                m.EquipmentKind.FURNACE,
                m.EquipmentKind.BOILER,
                m.EquipmentKind.AIR_SOURCE_HEAT_PUMP,
                m.EquipmentKind.GROUND_SOURCE_HEAT_PUMP,
                m.EquipmentKind.ELECTRIC_HEATER,
                m.EquipmentKind.STOVE,
            }
        ),
        frozenset({"ground_source_heat_pump", "air_source_heat_pump"}),
    ),
    (
        "Giving off heat",
        frozenset(
            {
                m.EquipmentKind.DUCTS,
                m.EquipmentKind.RADIANT_FLOOR,
                m.EquipmentKind.RADIATORS,
                m.EquipmentKind.FAN_COIL,
            }
        ),
        frozenset({"radiant_floor"}),
    ),
    ("Cooling", frozenset({m.EquipmentKind.AIR_CONDITIONER}), frozenset({"ground_source_heat_pump"})),
    (
        "Hot water",
        frozenset({m.EquipmentKind.WATER_HEATER, m.EquipmentKind.HEAT_PUMP_WATER_HEATER}),
        frozenset({"heat_pump_water_heater"}),
    ),
    ("Heat storage", frozenset({m.EquipmentKind.STORAGE_TANK}), frozenset({"thermal_storage"})),
    ("Cooking", frozenset({m.EquipmentKind.RANGE}), frozenset({"induction_range"})),
    ("Drying", frozenset({m.EquipmentKind.DRYER}), frozenset()),
    (
        "Solar power",
        frozenset({m.EquipmentKind.PV_ARRAY, m.EquipmentKind.INVERTER}),
        frozenset({"photovoltaics"}),
    ),
)
"""What machines are for: the kinds of equipment, and the kinds of measure that bring a new one."""


def _machines(session: Session, measures: Sequence[m.Measure]) -> tuple[MachineLine, ...]:
    machines = session.scalars(select(m.Equipment).order_by(m.Equipment.id)).all()
    lines = []
    for what_for, equipment_kinds, measure_kinds in _PURPOSES:
        mine = [one for one in machines if one.kind in equipment_kinds]
        old = [_machine(one) for one in mine if one.measure_id is None]
        bringing = [one for one in measures if one.kind in measure_kinds]
        new = [_brought(measure, mine) for measure in bringing]
        if old or new:
            after = "; ".join(new) or ("same" if old else "")
            lines.append(MachineLine(what_for, "; ".join(old), after))
    return tuple(lines)


def _brought(measure: m.Measure, machines: Sequence[m.Equipment]) -> str:
    own = [_machine(one) for one in machines if one.measure_id == measure.id]
    return "; ".join(own) if own else f"{measure.title} ({measure.state})"


def _machine(row: m.Equipment) -> str:
    name = " ".join(part for part in (row.make, row.model) if part)
    year = f"installed {day_text(row.installed_on)}" if row.installed_on else ""
    state = "" if row.status is m.EquipmentStatus.IN_USE else str(row.status)
    if row.removed_on is not None:
        state = f"removed {day_text(row.removed_on)}"
    return ", ".join(part for part in (row.name, name, year, state) if part)


def _leakage(session: Session) -> tuple[LeakageLine, ...]:
    rows = session.scalars(select(m.LeakageTest).order_by(m.LeakageTest.tested_on, m.LeakageTest.id))
    lines = [_leakage_line(session, row) for row in rows]
    lines += [
        LeakageLine(
            one.tested_on,
            f"after {one.measure}",
            one.flow_50pa_m3_s,
            _ach50(one.flow_50pa_m3_s, one.volume_m3),
            one.by,
        )
        for one in written_leakage(session)
    ]
    return tuple(sorted(lines, key=lambda line: line.tested_on))


def _ach50(flow_m3_s: float, volume_m3: float | None) -> StatedValue[float]:
    return UNKNOWN if not volume_m3 else StatedValue(flow_m3_s * 3600.0 / volume_m3)


def _leakage_line(session: Session, row: m.LeakageTest) -> LeakageLine:
    firm = session.get(m.Firm, row.firm_id) if row.firm_id else None
    ach50 = _ach50(row.flow_50pa_m3_s, row.volume_m3)
    by = ", ".join(part for part in (row.tested_by, firm.name if firm else "") if part)
    return LeakageLine(row.tested_on, row.house_version or "as found", row.flow_50pa_m3_s, ach50, by)
