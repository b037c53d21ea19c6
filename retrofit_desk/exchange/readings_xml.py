"""A meter's readings from the open exchange form of utilities (NAESB REQ.21, ESPI: an Atom feed).

Entries are tied by their links, in any order: a meter reading to what it counts (its reading type) and to its
blocks of intervals. FMT: NAESB ESPI schema 3.3 and 4.0; enumerations second-hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from retrofit_desk.exchange.readings_rows import BadReadings, Row, Unit, assemble
from retrofit_desk.physics.meter_readings import MeterReadings

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

ATOM, ESPI = "{http://www.w3.org/2005/Atom}", "{http://naesb.org/espi}"
UNITS_BY_CODE: dict[int, Unit] = {
    72: Unit("electricity", "kWh", 1e-3),
    38: Unit("electricity", "kWh", 1e-3, is_power=True),
    31: Unit("electricity", "kWh", 1 / 3.6e6),
    169: Unit("natural gas", "therm", 1.0),
    132: Unit("natural gas", "therm", 1e-5),
    119: Unit("natural gas", "CCF", 0.01),
    42: Unit("natural gas", "CCF", 0.353146667),
}
"""`uom`: Wh, W, J, therm, Btu, ft3, m3."""
GAS_COMMODITY = 7
FED_IN, NET = 19, 4
DELTA, INDICATING = (4,), (6, 12)
"""`accumulationBehaviour` of use in each interval; of power, whose mean over the interval is taken."""


@dataclass(frozen=True)
class _Kind:
    """What a meter reading counts."""

    unit: Unit
    is_fed_in: bool
    is_net: bool
    multiplier: int
    step_s: int | None


@dataclass(frozen=True)
class _Entry:
    own: str
    up: str
    related: tuple[str, ...]
    content: Element


def read_xml(path: Path, content: bytes) -> tuple[MeterReadings, ...]:
    """Readings of each fuel in the file. Raises `BadReadings`."""
    entries = _entries(path, content)
    kinds = {
        entry.own: _kind(path, entry.content)
        for entry in entries
        if entry.content.tag == f"{ESPI}ReadingType"
    }
    blocks = [entry for entry in entries if entry.content.tag == f"{ESPI}IntervalBlock"]
    if not kinds or not blocks:
        raise BadReadings(path, "it holds no intervals", "export the use by the hour, not the bills alone")
    by_meter: dict[str, list[tuple[_Kind, list[Row]]]] = {}
    usage: dict[tuple[str, _Kind], list[Row]] = {}
    for block in blocks:
        reading, kind = _belongs(path, block, entries, kinds)
        usage.setdefault((_point_of(reading), kind), []).extend(_rows(path, block.content, kind))
    for (point, kind), rows in usage.items():
        by_meter.setdefault(f"{point} {kind.unit.fuel}", []).append((kind, rows))
    found = [_meter(path, parts) for parts in by_meter.values()]
    if len({one.fuel for one in found}) < len(found):
        raise BadReadings(path, "it holds several meters of one fuel", "export one meter at a time")
    return tuple(found)


def _entries(path: Path, content: bytes) -> list[_Entry]:
    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import ParseError, fromstring

    try:
        root = fromstring(content, forbid_dtd=True)
    except (ParseError, DefusedXmlException, ValueError) as cause:
        raise BadReadings(path, "this is no XML that can be read", "export it again") from cause
    found = []
    for entry in root.iter(f"{ATOM}entry"):
        links: dict[str, list[str]] = {}
        for link in entry.iter(f"{ATOM}link"):
            links.setdefault(link.get("rel", ""), []).append(link.get("href", ""))
        for holder in entry.iter(f"{ATOM}content"):
            for inside in holder:
                own, up = links.get("self", [""])[0], links.get("up", [""])[0]
                found.append(_Entry(own, up, tuple(links.get("related", ())), inside))
    return found


def _kind(path: Path, content: Element) -> _Kind:
    code, flow = _whole(content, "uom"), _whole(content, "flowDirection")
    unit = UNITS_BY_CODE.get(code if code is not None else -1)
    if unit is None:
        raise BadReadings(
            path, f"it counts in a unit (code {code}) that is no use of a house", "export the use"
        )
    behaviour = _whole(content, "accumulationBehaviour")
    if behaviour is not None and behaviour not in (*DELTA, *INDICATING):
        raise BadReadings(path, "it holds counter states, not the use of each interval", "export the use")
    if _whole(content, "commodity") == GAS_COMMODITY and unit.fuel == "electricity":
        unit = Unit("natural gas", "therm", unit.factor / 29.30711)
    return _Kind(
        unit,
        flow == FED_IN,
        flow == NET,
        _whole(content, "powerOfTenMultiplier") or 0,
        _whole(content, "intervalLength"),
    )


def _belongs(
    path: Path, block: _Entry, entries: Sequence[_Entry], kinds: dict[str, _Kind]
) -> tuple[str, _Kind]:
    """The meter reading of a block, and what it counts."""
    for entry in entries:
        if entry.content.tag == f"{ESPI}MeterReading" and entry.own and _is_under(block, entry.own):
            kind = next((kinds[one] for one in entry.related if one in kinds), None)
            if kind is not None:
                return entry.own, kind
    if len(kinds) == 1:
        return "", next(iter(kinds.values()))
    raise BadReadings(path, "its blocks do not say what they count", "export one meter at a time")


def _is_under(block: _Entry, reading: str) -> bool:
    return any(one == reading or one.startswith(f"{reading}/") for one in (block.up, block.own))


def _point_of(reading: str) -> str:
    """The usage point in the address of a meter reading."""
    return reading.partition("/MeterReading")[0]


def _rows(path: Path, block: Element, kind: _Kind) -> Iterator[Row]:
    for number, one in enumerate(block.iter(f"{ESPI}IntervalReading"), start=1):
        period = one.find(f"{ESPI}timePeriod")
        start = _whole(period, "start") if period is not None else None
        value = one.findtext(f"{ESPI}value")
        if start is None or value is None:
            continue
        try:
            figure = float(value) * 10.0**kind.multiplier
        except ValueError:
            raise BadReadings(path, f"'{value}' is not a number", "export it again") from None
        used, fed_in = max(figure, 0.0), max(-figure, 0.0)
        yield Row(start, fed_in, used, number) if kind.is_fed_in else Row(start, used, fed_in, number)


def _meter(path: Path, parts: Sequence[tuple[_Kind, list[Row]]]) -> MeterReadings:
    """What is used and what is fed in, of one meter."""
    if len({kind.unit for kind, _ in parts}) > 1 or len({kind.is_fed_in for kind, _ in parts}) < len(parts):
        raise BadReadings(
            path, "it counts one meter in several ways", "export the use in kWh or therms alone"
        )
    by_start: dict[int, Row] = {}
    rows: list[Row] = []
    if len(parts) == 1:
        rows = parts[0][1]
    else:
        for _, of_one in parts:
            for row in of_one:
                last = by_start.get(row.start_s, Row(row.start_s, 0.0, 0.0, row.number))
                by_start[row.start_s] = Row(
                    row.start_s, last.used + row.used, last.fed_in + row.fed_in, row.number
                )
        rows = list(by_start.values())
    kind = parts[0][0]
    return assemble(path, rows, kind.unit, kind.step_s, ())


def _whole(holder: Element | None, name: str) -> int | None:
    text = holder.findtext(f"{ESPI}{name}") if holder is not None else None
    try:
        return int(text) if text else None
    except ValueError:
        return None
