"""What is written down of a chosen rebate, and how it stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from retrofit_desk.records.models.programmes import ClaimState, ReservationState
from retrofit_desk.values.stated import Stated, StatedValue

UNKNOWN_CENTS: StatedValue[int] = StatedValue(None, Stated.UNKNOWN)


@dataclass(frozen=True)
class WrittenReservation:
    """What the office said about money set aside. Without `ends_on` the rule's days count."""

    state: ReservationState
    number: str = ""
    asked_on: date | None = None
    held_from: date | None = None
    ends_on: date | None = None
    amount_cents: StatedValue[int] = UNKNOWN_CENTS
    paper: Path | None = None


@dataclass(frozen=True)
class WrittenFall:
    """What became of a reservation that does not stand, or that it is appealed against.

    `on`: the day of the office's answer, or of the appeal. Without `appeal_by` the rule's days count.
    """

    state: ReservationState
    on: date | None
    said: str = ""
    appeal_by: date | None = None
    paper: Path | None = None


@dataclass(frozen=True)
class WrittenClaim:
    """How far a claim is. Without `appeal_by` the rule's days count from a refusal."""

    state: ClaimState
    number: str = ""
    claim_by: date | None = None
    sent_on: date | None = None
    answered_on: date | None = None
    appeal_by: date | None = None
    asked_cents: StatedValue[int] = UNKNOWN_CENTS
    paid_on: date | None = None
    paid_cents: StatedValue[int] = UNKNOWN_CENTS
    answer: str = ""
    paper: Path | None = None


@dataclass(frozen=True)
class WrittenRebate:
    """What the owner counts on. `measure_ids`: what it pays for; empty leaves that as it is.

    `units`: tons, square feet, doors, as the rule counts. `savings_share`, `saved_kwh`: of the energy, as the
    programme's own assessor or meter found them. `products`: what the rule asks of one, and whether it is so.
    """

    expected_cents: StatedValue[int]
    units: float | None = None
    savings_share: float | None = None
    measure_ids: tuple[int, ...] = ()
    saved_kwh: float | None = None
    state_average_kwh: float | None = None
    products: tuple[tuple[str, bool], ...] = ()
    assessed_on: date | None = None


@dataclass(frozen=True)
class RebateSheet:
    """One chosen programme as it stands, to be corrected in its forms."""

    choice_id: int
    programme: str
    measure: str
    today: date
    written: WrittenRebate
    measures: tuple[tuple[int, str], ...]
    """Those that it may pay for, whether it does or not."""
    by_savings: bool
    """Its rule pays by the share of energy saved."""
    by_kwh: bool
    """Its rule pays for each unit of energy saved, as measured."""
    products: tuple[str, ...]
    """What its rule asks of the products."""
    asks_assessment: bool
    """Its rule asks for an assessment before or after another step."""
    modeled: str
    """What counts for the energy saved while no office told it; empty where nothing does."""
    reservation: WrittenReservation | None
    claim: WrittenClaim | None
