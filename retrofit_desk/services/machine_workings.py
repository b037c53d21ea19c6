"""What stands beside a machine's plate: its workings, ratings and ties, read, checked and put on record."""

from __future__ import annotations

from dataclasses import fields
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.machine_facts import (
    DUCTLESS,
    FACTS_OF,
    HEATED_BY,
    LAYOUT,
    PASSES,
    PLATE_FACTS,
    RATED_AT,
    RATED_POWER,
    RATING_BOUNDS,
    RESET_KEYS,
    RETURN_KEYS,
    TIE_DISTANCE,
    MachineFact,
    RadiatorLayout,
)
from retrofit_desk.services.machine_values import (
    NOTHING,
    MachineFacts,
    MachineUnclear,
    WrittenRating,
    WrittenTie,
    WrittenWorkings,
)
from retrofit_desk.values.quantity import Units, show
from retrofit_desk.values.stated import StatedValue


def check_plate(facts: MachineFacts, units: Units) -> None:
    """Raises `MachineUnclear` for a number no machine has."""
    for fact in PLATE_FACTS:
        told = getattr(facts, fact.key)
        value = told.value if isinstance(told, StatedValue) else told
        if value is not None:
            _between(fact, value, facts.name, units)


def written_workings(row: m.Equipment) -> WrittenWorkings:
    keys = [fact.key for fact in FACTS_OF.get(row.kind, ())]
    return WrittenWorkings(
        tuple((key, float(row.details[key])) for key in keys if key in row.details),
        str(row.details.get(HEATED_BY, "")),
        str(row.details.get(PASSES) or ""),
        bool(row.details.get(DUCTLESS)),
        RadiatorLayout(row.details.get(LAYOUT, RadiatorLayout.TWO_PIPE)),
        tuple(row.serves),
    )


def put_workings(row: m.Equipment, told: WrittenWorkings, units: Units) -> None:
    """A blank is not zero: what is left empty is not on record. Raises `MachineUnclear`."""
    facts = FACTS_OF.get(row.kind, ())
    numbers = dict(told.numbers)
    for fact in facts:
        if fact.key in numbers:
            _between(fact, numbers[fact.key], row.name, units)
    _whole(numbers, RESET_KEYS, row, "the outdoor reset needs all four temperatures")
    _whole(numbers, RETURN_KEYS, row, "efficiency by return needs both returns")
    _check_reset(numbers, row)
    if told.layout is RadiatorLayout.STEAM and RESET_KEYS[0] in numbers:
        raise MachineUnclear(
            "steam has no outdoor reset", where=row.name, kept=NOTHING, do="leave the four temperatures empty"
        )
    piped = "" if told.layout is RadiatorLayout.TWO_PIPE else str(told.layout)
    links = {HEATED_BY: told.heated_by, PASSES: told.passes, DUCTLESS: told.ductless, LAYOUT: piped}
    asked = {fact.key for fact in facts} | set(links)
    kept = {key: value for key, value in row.details.items() if key not in asked}
    row.details = kept | numbers | {key: value for key, value in links.items() if value}
    row.serves = list(told.serves)


def _whole(numbers: dict[str, float], keys: tuple[str, ...], row: m.Equipment, why: str) -> None:
    if 0 < sum(key in numbers for key in keys) < len(keys):
        raise MachineUnclear(why, where=row.name, kept=NOTHING, do="fill them all or none")


def _check_reset(numbers: dict[str, float], row: m.Equipment) -> None:
    if RESET_KEYS[0] not in numbers:
        return
    cold, water_when_cold, mild, water_when_mild = (numbers.get(key, 0.0) for key in RESET_KEYS)
    if mild <= cold or water_when_mild > water_when_cold:
        raise MachineUnclear(
            "the outdoor reset runs backwards",
            where=row.name,
            kept=NOTHING,
            do="the cold day is the colder one and has the hotter water",
        )


def written_ratings(row: m.Equipment) -> tuple[WrittenRating, ...]:
    return tuple(
        WrittenRating(**{one.name: getattr(rating, one.name) for one in fields(WrittenRating)})
        for rating in row.ratings
    )


def put_ratings(row: m.Equipment, ratings: tuple[WrittenRating, ...], today: date, units: Units) -> None:
    """Those that stand as they were keep their date. Raises `MachineUnclear`."""
    old = {(one.name, one.value, one.source_temp_c, one.load_temp_c): one for one in row.ratings}
    kept = []
    for told in ratings:
        _check_rating(told, row.name, units)
        same = old.pop((told.name, told.value, told.source_temp_c, told.load_temp_c), None)
        one = same or m.EquipmentRating(as_of=today)
        for name in fields(WrittenRating):
            setattr(one, name.name, getattr(told, name.name))
        kept.append(one)
    row.ratings = kept


def _check_rating(told: WrittenRating, where: str, units: Units) -> None:
    low, high = RATING_BOUNDS.get(told.name.split(",")[0].strip().upper(), (0.0, 100.0))
    if not low <= told.value <= high:
        raise MachineUnclear(
            f"{told.name}: {told.value:g} is not possible",
            where=where,
            kept=NOTHING,
            do=f"between {low:g} and {high:g}",
        )
    for fact, value in (
        (RATED_AT, told.source_temp_c),
        (RATED_AT, told.load_temp_c),
        (RATED_POWER, told.capacity_w),
        (RATED_POWER, told.power_w),
    ):
        if value is not None:
            _between(fact, value, where, units)


def written_ties(session: Session, row: m.Equipment) -> tuple[WrittenTie, ...]:
    return tuple(
        WrittenTie(**{one.name: getattr(tie, one.name) for one in fields(WrittenTie)})
        for tie in _tie_rows(session, row)
    )


def put_ties(session: Session, row: m.Equipment, ties: tuple[WrittenTie, ...], units: Units) -> None:
    """In their order; a tie of the same name keeps its depth and its paper. Raises `MachineUnclear`."""
    old = {one.name: one for one in _tie_rows(session, row)}
    for told in ties:
        _check_tie(told, row.name, units)
        one = old.pop(told.name, None) or m.TiePoint(equipment_id=row.id)
        for name in fields(WrittenTie):
            setattr(one, name.name, getattr(told, name.name))
        session.add(one)
    for gone in old.values():
        session.delete(gone)
    session.flush()


def _tie_rows(session: Session, row: m.Equipment) -> list[m.TiePoint]:
    query = select(m.TiePoint).where(m.TiePoint.equipment_id == row.id).order_by(m.TiePoint.id)
    return list(session.scalars(query))


def _check_tie(told: WrittenTie, where: str, units: Units) -> None:
    if told.first_distance_m is None and told.latitude_deg is None:
        raise MachineUnclear(
            f"{told.name} is not tied to anything",
            where=where,
            kept=NOTHING,
            do="give its distance from two fixed points, or its coordinates",
        )
    for far in (told.first_distance_m, told.second_distance_m):
        if far is not None:
            _between(TIE_DISTANCE, far, where, units)
    for word, degrees, most in (
        ("latitude", told.latitude_deg, 90.0),
        ("longitude", told.longitude_deg, 180.0),
    ):
        if degrees is not None and abs(degrees) > most:
            raise MachineUnclear(
                f"{told.name}: a {word} of {degrees:g}° is not on earth",
                where=where,
                kept=NOTHING,
                do=f"between −{most:g}° and {most:g}°",
            )


def _between(fact: MachineFact, value: float, where: str, units: Units) -> None:
    if not fact.low_si <= value <= fact.high_si:
        told, low, high = (show(one, fact.dimension, units) for one in (value, fact.low_si, fact.high_si))
        raise MachineUnclear(
            f"{fact.words}: {told} is not possible",
            where=where,
            kept=NOTHING,
            do=f"between {low} and {high}",
        )
