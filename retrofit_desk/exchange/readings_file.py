"""Readings of a meter by the hour or finer, from a table or from the open exchange form of utilities."""

from __future__ import annotations

from datetime import tzinfo
from pathlib import Path

from retrofit_desk.exchange.readings_csv import headings_of, read_csv
from retrofit_desk.exchange.readings_rows import LARGEST_FILE_BYTES, BadReadings
from retrofit_desk.exchange.readings_xml import read_xml
from retrofit_desk.physics.meter_readings import MeterReadings

__all__ = ["BadReadings", "looks_like_xml", "names_readings", "read_readings"]


def read_readings(path: Path, zone: tzinfo, name: str = "") -> tuple[MeterReadings, ...]:
    """Readings of each fuel in a file; `name` is told in errors, else the path's own.

    Times that state no offset are those of the clock on the wall in `zone`. Raises `BadReadings`.
    """
    called = Path(name or path.name)
    if path.stat().st_size > LARGEST_FILE_BYTES:
        raise BadReadings(called, "it is larger than any year of readings", "export it in parts")
    content = path.read_bytes()
    return read_xml(called, content) if looks_like_xml(content) else (read_csv(called, content, zone),)


def looks_like_xml(content: bytes) -> bool:
    return content.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<")


def names_readings(head: bytes) -> bool:
    """Whether the beginning of a table has headings of a meter's readings."""
    try:
        headings_of(Path("table"), head)
    except BadReadings:
        return False
    return True
