"""The facts of a measure as its form shows them: plain words, units, choices from the record; keeping them.

The form of a kind grows from its `Inputs`: a new kind of measure needs none of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import UnionType
from typing import Annotated, Any, Literal, TypeAlias, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.measures import MeasureKind, kinds
from retrofit_desk.estimate.measures.reason import path_of
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.materials import materials
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension

_EMPTY = re.compile(r"\bNone\b|\bnone(?=:)|\bnull\b")
"""What the models call a fact that is not stated; in the form the field is empty."""
FactValue: TypeAlias = "float | int | str | bool | tuple[Any, ...] | Mapping[str, Any] | None"
"""SI numbers, texts, choices by key; a group is a mapping, rows are a tuple of groups."""


class FactWrong(DeskError):
    """A fact of a measure that cannot be so."""


class NoFacts(DeskError):
    """A measure of a kind that the program cannot work out."""


class FactSort(StrEnum):
    """How a fact is typed."""

    QUANTITY = "quantity"
    MONEY = "money"
    COUNT = "count"
    WORDS = "words"
    YES_NO = "yes or no"
    CHOICE = "one of several"
    TICKS = "any of several"
    NUMBERS = "a list of numbers"
    ROWS = "rows"
    GROUP = "group"


@dataclass(frozen=True)
class Option:
    """One choice. `fills`: facts beside it that it brings along, such as the conductivity of a material."""

    key: str
    words: str
    fills: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Fact:
    """One fact of the form. `factor`: its unit in the record, in SI units of `dimension`."""

    name: str
    words: str
    explained: str
    sort: FactSort
    is_needed: bool
    value: FactValue
    dimension: Dimension = Dimension.PLAIN
    factor: float = 1.0
    options: tuple[Option, ...] = ()
    facts: tuple[Fact, ...] = ()
    """Of a group, or of an empty row."""


@dataclass(frozen=True)
class FactsSheet:
    """All facts of one measure. `missing`: what the sum cannot do without, in words."""

    measure_id: int
    title: str
    kind: str
    facts: tuple[Fact, ...]
    missing: tuple[str, ...]

    @property
    def cannot_say(self) -> str:
        """One line; empty when the measure can be worked out."""
        if not self.missing:
            return ""
        return f"Cannot say what {self.title} is worth, needs: {', '.join(self.missing)}."


class MeasureInputsService:
    """Shows and records what a measure is made of, as far as the owner knows it."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def sheet(self, measure_id: int) -> FactsSheet | None:
        """The form of one measure; None for a kind that the program cannot work out."""
        with self._project.session() as session:
            found = _measure(session, measure_id)
            if found is None:
                return None
            measure, kind = found
            facts = _facts(kind.inputs, measure.inputs, _Places(session))
            missing = missing_facts(kind, measure.inputs)
            return FactsSheet(measure_id, measure.title, kind.title, facts, missing)

    def record(self, measure_id: int, values: Mapping[str, FactValue]) -> FactsSheet:
        """Record the facts; None: not stated. Raises `FactWrong` or `NoFacts`: nothing is changed then."""
        stated = _plain(values)
        with self._project.action("Record what a measure is made of") as work:
            found = _measure(work.session, measure_id)
            if found is None:
                raise NoFacts("the program knows no facts of this measure", do="choose another measure")
            measure, kind = found
            for name, words in _troubles(kind.inputs, stated):
                raise FactWrong(words, where=name, kept="nothing was changed", do="correct it")
            measure.inputs = stated
        after = self.sheet(measure_id)
        assert after is not None
        return after


def missing_facts(kind: MeasureKind[Any], inputs: Mapping[str, Any]) -> tuple[str, ...]:
    """What the kind cannot be worked out without, in words."""
    try:
        kind.inputs.model_validate(inputs)
    except ValidationError as error:
        return tuple(dict.fromkeys(_named(kind.inputs, path_of(one)) for one in error.errors()))
    return ()


def _measure(session: Session, measure_id: int) -> tuple[m.Measure, MeasureKind[Any]] | None:
    measure = session.get(m.Measure, measure_id)
    kind = kinds().get(measure.kind) if measure is not None else None
    return None if measure is None or kind is None else (measure, kind)


def _troubles(inputs: type[BaseModel], stated: Mapping[str, Any]) -> Iterable[tuple[str, str]]:
    """What is wrong, not what is missing: (the fact in words, the trouble in words)."""
    try:
        inputs.model_validate(stated)
    except ValidationError as error:
        for one in error.errors():
            empty = one["type"] == "too_short" and not one["ctx"].get("actual_length")
            needs = one["msg"].removeprefix("Value error, ")
            if one["type"] != "missing" and not empty and not needs.startswith("needs "):
                yield _named(inputs, path_of(one)), needs[0].lower() + needs[1:]


def _named(inputs: type[BaseModel], path: tuple[int | str, ...]) -> str:
    """A place in the facts, in words: "arrays 1, tilt"."""
    words: list[str] = []
    model: type[BaseModel] | None = inputs
    for step in path:
        if isinstance(step, int):
            words[-1] += f" {step + 1}" if words else str(step + 1)
            continue
        info = model.model_fields.get(step) if model is not None else None
        words.append(fact_words(step, info) if info is not None else step.replace("_", " "))
        model = part_of(info.annotation) if info is not None else None
    return ", ".join(words) or "heating COPs or HSPF2"


def _plain(value: Any) -> Any:
    """As the record keeps it: lists and mappings, groups without what is not stated."""
    if isinstance(value, Mapping):
        return {name: _plain(one) for name, one in value.items() if one is not None}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return value


# the form of a kind, from its model


def _facts(model: type[BaseModel], values: Mapping[str, Any], places: _Places) -> tuple[Fact, ...]:
    return tuple(_fact(name, info, values, places) for name, info in model.model_fields.items())


def _fact(name: str, info: FieldInfo, values: Mapping[str, Any], places: _Places) -> Fact:
    value = values.get(name)
    if value is None and not info.is_required() and info.default not in (None, (), ""):
        value = info.default
    dimension, factor = measured(name)
    options = places.options(name) or _literal(info.annotation)
    sort, inner = _sort(name, info, bool(options)), part_of(info.annotation)
    facts: tuple[Fact, ...] = ()
    if inner is not None:
        held = value if isinstance(value, Mapping) else {}
        facts = _facts(inner, held if sort is FactSort.GROUP else {}, places)
    if sort is FactSort.ROWS:
        rows = value or ()
        value = tuple(_facts(inner, dict(row), places) for row in rows) if inner is not None else ()
    needed = info.is_required()
    about = _EMPTY.sub("empty", info.description or "")
    return Fact(name, fact_words(name, info), about, sort, needed, value, dimension, factor, options, facts)


def _sort(name: str, info: FieldInfo, has_options: bool) -> FactSort:
    plain = _bare(info.annotation)
    if get_origin(plain) is tuple:
        if part_of(info.annotation) is not None:
            return FactSort.ROWS
        return FactSort.TICKS if has_options else FactSort.NUMBERS
    if part_of(info.annotation) is not None:
        return FactSort.GROUP
    if has_options:
        return FactSort.CHOICE
    number = FactSort.MONEY if name.endswith("_cents") else FactSort.QUANTITY
    return {bool: FactSort.YES_NO, int: FactSort.COUNT, str: FactSort.WORDS}.get(plain, number)


def _bare(annotation: Any) -> Any:
    """Without `Annotated` and without "or None"."""
    while True:
        if get_origin(annotation) is Annotated:
            annotation = get_args(annotation)[0]
        elif get_origin(annotation) in (Union, UnionType):
            annotation = next(one for one in get_args(annotation) if one is not type(None))
        else:
            return annotation


def part_of(annotation: Any) -> type[BaseModel] | None:
    """The model of a group or of a row."""
    plain = _bare(annotation)
    if get_origin(plain) is tuple:
        plain = _bare(get_args(plain)[0])
    return plain if isinstance(plain, type) and issubclass(plain, BaseModel) else None


def _literal(annotation: Any) -> tuple[Option, ...]:
    plain = _bare(annotation)
    return tuple(Option(one, one) for one in get_args(plain)) if get_origin(plain) is Literal else ()


ENDINGS: tuple[tuple[str, Dimension, float], ...] = (
    ("_m2k_w", Dimension.R_VALUE, 1.0),
    ("_w_m2k", Dimension.U_VALUE, 1.0),
    ("_w_mk", Dimension.CONDUCTIVITY, 1.0),
    ("_w_m2", Dimension.HEAT_FLUX, 1.0),
    ("_w_k", Dimension.HEAT_LOSS_RATE, 1.0),
    ("_m3_s", Dimension.AIR_FLOW, 1.0),
    ("_kg_m3", Dimension.DENSITY, 1.0),
    ("_j_kgk", Dimension.HEAT_CAPACITY, 1.0),
    ("_m2_s", Dimension.DIFFUSIVITY, 1.0),
    ("_kg_s", Dimension.FLUID_FLOW, 1.0),
    ("_kwh_per_km", Dimension.CAR_POWER, 1.0),
    ("_kg_per_kwh", Dimension.LAUNDRY, 1.0),
    ("_km_per_l", Dimension.CAR_REACH, 1.0),
    ("_cents_per_l", Dimension.LIQUID_PRICE, 1.0),
    ("_km_per_year", Dimension.DISTANCE, 1.0),
    ("_coefficient_per_k", Dimension.PLAIN, 1.0),
    ("_mass_percent", Dimension.SHARE, 0.01),
    ("_m2", Dimension.AREA, 1.0),
    ("_m3", Dimension.LIQUID, 1.0),
    ("_kwh", Dimension.ENERGY, 1.0),
    ("_kg", Dimension.MASS, 1.0),
    ("_deg", Dimension.ANGLE, 1.0),
    ("_w", Dimension.POWER, 1.0),
    ("_l", Dimension.LIQUID, 0.001),
    ("_c", Dimension.TEMPERATURE, 1.0),
    ("_k", Dimension.TEMPERATURE_STEP, 1.0),
    ("_m", Dimension.LENGTH, 1.0),
    ("_a", Dimension.CURRENT, 1.0),
    ("_fraction", Dimension.SHARE, 1.0),
    ("_share", Dimension.SHARE, 1.0),
    ("_recovery", Dimension.SHARE, 1.0),
    ("efficiency", Dimension.SHARE, 1.0),
    ("solar_factor", Dimension.SHARE, 1.0),
    ("round_trip", Dimension.SHARE, 1.0),
    ("absorptance", Dimension.SHARE, 1.0),
    ("_per_hour_after", Dimension.AIR_CHANGES, 1.0),
)
"""How the name of a fact ends, what it measures, and its unit in the SI unit of that; the longest first."""
ELECTRIC = ("pump", "fan", "power", "dc_w", "ac_limit", "charger", "element", "limit", "backup", "crankcase")
THIN = ("thickness", "depth", "radius", "shank", "cover", "insulation", "spacing", "above", "beyond", "side")
DEEP = ("bore_depth", "overhang_depth")


def measured(name: str) -> tuple[Dimension, float]:
    """What a fact measures by the end of its name, and its unit in the SI unit of that."""
    for ending, dimension, factor in ENDINGS:
        if f"_{name}".endswith(ending):
            if dimension is Dimension.POWER and any(word in name for word in ELECTRIC):
                return Dimension.ELECTRIC_POWER, factor
            if dimension is Dimension.LENGTH and _is_thin(name):
                return Dimension.THICKNESS, factor
            return dimension, factor
    return Dimension.PLAIN, 1.0


def _is_thin(name: str) -> bool:
    return any(word in name for word in THIN) and not any(word in name for word in DEEP)


def fact_words(name: str, info: FieldInfo | None) -> str:
    """Its title, or its name without the unit."""
    if info is not None and info.title:
        return info.title
    stem = name
    for ending, _, _ in ENDINGS:
        if name.endswith(ending) and ending.startswith("_") and ending not in KEPT_ENDINGS:
            stem = name.removesuffix(ending)
            break
    stem = stem.removesuffix("_cents").removesuffix("_key")
    return stem.replace("_", " ").strip().capitalize()


KEPT_ENDINGS = ("_recovery", "_share", "_fraction", "_km_per_year", "_per_hour_after", "_coefficient_per_k")


class _Places:
    """What the record offers to choose from."""

    def __init__(self, session: Session) -> None:
        rooms = list(session.scalars(select(m.Room).order_by(m.Room.id)))
        self._rooms = tuple(Option(room.key, room.name) for room in rooms)
        self._surfaces = tuple(
            Option(one.key, f"{room.name}: {one.name}") for room in rooms for one in room.surfaces
        )
        self._openings = tuple(
            Option(opening.key, f"{room.name}: {opening.name}")
            for room in rooms
            for one in room.surfaces
            for opening in one.openings
        )
        machines = session.scalars(select(m.Equipment).order_by(m.Equipment.id))
        self._machines = tuple(Option(one.key, one.name) for one in machines)

    def options(self, name: str) -> tuple[Option, ...]:
        match name:
            case "surfaces":
                return self._surfaces
            case "openings":
                return self._openings
            case "rooms" | "spaces" | "room" | "stands_in":
                return self._rooms
            case "replaces":
                return self._machines
            case "material_key" | "framing_material_key":
                return _materials()
        return ()


def _materials() -> tuple[Option, ...]:
    return tuple(
        Option(
            one.key,
            one.name,
            (
                ("conductivity_w_mk", one.conductivity_w_mk),
                ("density_kg_m3", one.density_kg_m3),
                ("specific_heat_j_kgk", one.specific_heat_j_kgk),
            ),
        )
        for one in materials().values()
        if one.conductivity_w_mk is not None
    )
