"""A recorded air-source machine for the plant: by tested points, else by its seasonal ratings, marked so."""

from __future__ import annotations

from retrofit_desk.estimate.recorded_facts import detail, stated
from retrofit_desk.estimate.seasonal_ratings import (
    CAPACITY_17_BY_47,
    HSPF2_BY_HSPF,
    SEER2_BY_SEER,
    cooling_point,
    heating_points,
    worked_back,
)
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.plant_machines import HeatPump, OutdoorAir, RatingPoint, Ratings
from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import CAPACITY_COLD
from retrofit_desk.records.models import EquipmentKind as Kind
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import Stated

COOLING = "COP, cooling"
"""The name of a rated point of cooling, beside "COP" for one of heating."""


def air_machine(row: m.Equipment) -> HeatPump:
    """An air conditioner or an air-source heat pump. Raises `CannotSay` for a missing rating."""
    cools_only = row.kind is Kind.AIR_CONDITIONER
    air = OutdoorAir(
        frost_dip=not cools_only,
        off_below_c=row.details.get("off_below_c"),
        crankcase_w=row.details.get("crankcase_w", 0.0),
    )
    return HeatPump(
        name=row.key,
        source=air,
        heating=None if cools_only else _heating(row),
        cooling=_cooling(row) if cools(row) else None,
        refrigerant=row.refrigerant,
        charge_kg=row.refrigerant_charge_kg,
    )


def cools(row: m.Equipment) -> bool:
    """A heat pump cools where its capacity to cool is known; excluded and not stated: it does not."""
    if row.kind is Kind.AIR_CONDITIONER:
        return True
    said = row.stated("cooling_capacity_w")
    if said.stated is Stated.UNKNOWN:
        raise CannotSay(f"whether the {row.name} cools", "its capacity, which is unknown", where="House")
    return said.value is not None


def known_by(row: m.Equipment) -> tuple[str, ...]:
    """The seasonal ratings that this machine is known by for want of anything better; empty: by more."""
    names = []
    if row.kind is Kind.AIR_SOURCE_HEAT_PUMP and not _tested(row, "COP"):
        names.append(_first(row, "HSPF2", "HSPF"))
    if row.kind in (Kind.AIR_SOURCE_HEAT_PUMP, Kind.AIR_CONDITIONER) and not _knows_cooling(row):
        names.append(_first(row, "SEER2", "SEER"))
    return tuple(name for name in names if name)


def marked(row: m.Equipment) -> str:
    """How results from such a machine are marked; empty where more is known of it."""
    known = known_by(row)
    if not known:
        return ""
    guessed = known[0].startswith("HSPF") and CAPACITY_COLD.key not in row.details
    cold = f" Its capacity at 17 °F (−8 °C) is taken as {CAPACITY_17_BY_47:.0%} of the one stated."
    return worked_back(known) + (cold if guessed else "")


def _heating(row: m.Equipment) -> Ratings:
    points = _points(row, "COP")
    if points:
        return Ratings(points=points)
    hspf2 = _rated(row, "HSPF2", "HSPF", HSPF2_BY_HSPF)
    if hspf2 is None:
        raise CannotSay(
            f"the power of the {row.name}",
            "a COP with what it gives and takes in, or its HSPF2",
            where="House",
        )
    warm_w = stated(row, "heating_capacity_w")
    cold_w = row.details.get(CAPACITY_COLD.key, CAPACITY_17_BY_47 * warm_w)
    line_w = row.cooling_capacity_w or warm_w  # App. M1: the load line goes with the cooling
    try:
        return Ratings(points=heating_points(hspf2, warm_w, cold_w, line_w), basis="seasonal ratings")
    except ImpossibleValue as error:
        raise CannotSay(
            f"the power of the {row.name}", "an HSPF2 that its capacities can earn", where="House"
        ) from error


def _cooling(row: m.Equipment) -> Ratings:
    drop = 0.20 if row.kind is Kind.AIR_CONDITIONER else 0.25
    points = _points(row, COOLING)
    if points:
        return Ratings(points=points, cycling_coefficient=drop)
    if row.kind is Kind.AIR_CONDITIONER and row.electric_input_w is not None:
        point = RatingPoint(
            source_c=detail(row, "rated_outdoor_c"),
            capacity_w=stated(row, "cooling_capacity_w"),
            power_w=row.electric_input_w,
        )
        return Ratings(points=(point,), cycling_coefficient=drop)
    seer2 = _rated(row, "SEER2", "SEER", SEER2_BY_SEER)
    if seer2 is None:
        raise CannotSay(
            f"the power of the {row.name}", "its electric input when rated, or its SEER2", where="House"
        )
    point = cooling_point(seer2, stated(row, "cooling_capacity_w"))
    return Ratings(points=(point,), cycling_coefficient=0.20, basis="seasonal ratings")


def _knows_cooling(row: m.Equipment) -> bool:
    if row.kind is Kind.AIR_CONDITIONER and row.electric_input_w is not None:
        return True
    return bool(_tested(row, COOLING)) or row.cooling_capacity_w is None


def _tested(row: m.Equipment, name: str) -> list[m.EquipmentRating]:
    return [one for one in row.ratings if _named(one) == name.casefold() and one.capacity_w and one.power_w]


def _points(row: m.Equipment, name: str) -> tuple[RatingPoint, ...]:
    """Ratings of that name with capacity and input."""
    found = []
    for one in row.ratings:
        if one.name != name or not one.capacity_w or not one.power_w:
            continue
        if one.source_temp_c is None:
            raise CannotSay(f"the power of the {row.name}", "the temperature of its rating", where="House")
        found.append(RatingPoint(source_c=one.source_temp_c, capacity_w=one.capacity_w, power_w=one.power_w))
    return tuple(found)


def _rated(row: m.Equipment, name: str, older: str, newer_by_older: float) -> float | None:
    """The rating, or the one of the older procedure brought to it."""
    values = {_named(one): one.value for one in reversed(row.ratings)}
    if name.casefold() in values:
        return values[name.casefold()]
    return values[older.casefold()] * newer_by_older if older.casefold() in values else None


def _first(row: m.Equipment, *names: str) -> str:
    here = {_named(one) for one in row.ratings}
    return next((name for name in names if name.casefold() in here), "")


def _named(rating: m.EquipmentRating) -> str:
    """As compared: the owner may type "seer2"."""
    return " ".join(rating.name.split()).casefold()
