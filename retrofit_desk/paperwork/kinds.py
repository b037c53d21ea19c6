"""Each packet's title, its parts in order, and what its reader may see."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from retrofit_desk.paperwork.contents import PacketKind, Private


class Part(StrEnum):
    """A part of a packet; its word is its heading on paper."""

    READINESS = "What is here and what is not"
    REQUEST = "What is asked for"
    VISIT = "This visit"
    OVERRIDES = "Passed without the evidence"
    HOUSE = "The house before and after"
    MEASURES = "What was done"
    SAVINGS = "What it is worth"
    MONEY = "Costs, payments and rebates"
    PERMITS = "Permits and inspections"
    CAUTIONS = "Cautions and sources"
    PAPERS = "Papers"


@dataclass(frozen=True)
class PacketProfile:
    """How one kind of packet is made. `may_see` is what of the private matters its reader needs.

    `brings`: the kinds of paper merged behind, in their order. Overrides of holds stand in every packet.
    """

    kind: PacketKind
    title: str
    parts: tuple[Part, ...]
    may_see: frozenset[Private]
    brings: tuple[str, ...]


_TAIL = (Part.CAUTIONS, Part.PAPERS)

PROFILES = {
    profile.kind: profile
    for profile in (
        PacketProfile(
            PacketKind.REBATE,
            "Rebate packet",
            (
                Part.READINESS,
                Part.OVERRIDES,
                Part.HOUSE,
                Part.MEASURES,
                Part.SAVINGS,
                Part.MONEY,
                Part.PERMITS,
                *_TAIL,
            ),
            frozenset(Private),
            (
                "rebate claim",
                "reservation letter",
                "invoice",
                "receipt",
                "proof of payment",
                "equipment match certificate",
                "load calculation",
                "test sheet",
                "commissioning sheet",
                "final certificate",
                "inspection report",
                "license",
                "income proof",
                "ownership proof",
                "utility bill",
                "waste record",
                "photo",
            ),
        ),
        PacketProfile(
            PacketKind.LENDER,
            "Lender packet",
            (
                Part.READINESS,
                Part.OVERRIDES,
                Part.SAVINGS,
                Part.MONEY,
                Part.MEASURES,
                Part.HOUSE,
                Part.PERMITS,
                *_TAIL,
            ),
            frozenset({Private.INCOME, Private.PRICES, Private.CONTACT}),
            (
                "loan paper",
                "income proof",
                "ownership proof",
                "contract",
                "change order",
                "invoice",
                "receipt",
                "lien waiver",
                "lien notice",
                "insurance certificate",
                "permit",
                "final certificate",
                "inspection report",
                "correction list",
            ),
        ),
        PacketProfile(
            PacketKind.CONTRACTOR,
            "Request for quotes",
            (Part.REQUEST, Part.OVERRIDES, Part.HOUSE, *_TAIL),
            frozenset({Private.CONTACT}),
            ("load calculation", "drawing", "hazard report", "photo"),
        ),
        PacketProfile(
            PacketKind.INSPECTOR,
            "Papers for the visit",
            (Part.VISIT, Part.OVERRIDES, Part.PERMITS, Part.MEASURES, *_TAIL),
            frozenset({Private.CONTACT}),
            (
                "permit",
                "correction list",
                "inspection report",
                "manual",
                "data sheet",
                "test sheet",
                "commissioning sheet",
                "load calculation",
                "drawing",
                "equipment match certificate",
                "hazard report",
                "photo",
            ),
        ),
        PacketProfile(
            PacketKind.NEXT_OWNER,
            "House record for the next owner",
            (Part.READINESS, Part.OVERRIDES, Part.HOUSE, Part.MEASURES, Part.SAVINGS, Part.PERMITS, *_TAIL),
            frozenset(),
            (
                "final certificate",
                "permit",
                "inspection report",
                "test sheet",
                "commissioning sheet",
                "warranty",
                "manual",
                "data sheet",
                "equipment match certificate",
                "load calculation",
                "drawing",
                "hazard report",
                "waste record",
                "photo",
            ),
        ),
    )
}


def profile_of(kind: PacketKind) -> PacketProfile:
    return PROFILES[kind]
