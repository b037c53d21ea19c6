"""The table of what each packet needs, read from the shipped reference tables."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.rules.matching import FactKind


class Per(StrEnum):
    """Whether a thing is needed once, or once for each measure."""

    PROJECT = "project"
    MEASURE = "measure"


class When(StrEnum):
    """What must be so of a measure for a need to concern it."""

    PERMIT_NEEDED = "permit needed"
    PAID = "paid"
    PAID_FOR_WORK = "paid for work under contract"
    UNDER_CONTRACT = "under contract"


@dataclass(frozen=True)
class Need:
    """One thing a packet needs; any of `paper_kinds` answers it. `measure_kinds` empty: all of them."""

    packet: PacketKind
    key: str
    label: str
    per: Per
    paper_kinds: tuple[str, ...]
    do: str
    source: str
    confidence: str
    measure_kinds: tuple[str, ...] = ()
    states: tuple[FactKind, ...] = ()
    """Only papers that state one of these count; empty: any paper of the kind."""
    match: tuple[FactKind, ...] = ()
    max_age_days: int | None = None
    when: When | None = None
    """None: always."""
    before: date | None = None
    """The paper must be of a day before this one; none: of any day."""


def needs_of(packet: PacketKind) -> tuple[Need, ...]:
    """The shipped needs of one packet, in the order of the table."""
    table = tomllib.loads((shipped_folder("shared") / "packet_needs.toml").read_text(encoding="utf-8"))
    return tuple(_need(row) for row in table["need"] if row["packet"] == packet.value)


def _need(row: dict[str, Any]) -> Need:
    return Need(
        packet=PacketKind(row["packet"]),
        key=row["key"],
        label=row["label"],
        per=Per(row["per"]),
        paper_kinds=tuple(row["papers"]),
        do=row["do"],
        source=row["source"],
        confidence=row["confidence"],
        measure_kinds=tuple(row.get("measures", ())),
        states=tuple(FactKind(kind) for kind in row.get("states", ())),
        match=tuple(FactKind(kind) for kind in row.get("match", ())),
        max_age_days=row.get("max_age_days"),
        when=When(row["when"]) if "when" in row else None,
    )
