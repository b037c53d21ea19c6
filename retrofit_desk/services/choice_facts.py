"""What a chosen programme alone asks for, as the choice keeps it."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from retrofit_desk.records import models as m


class FactName(StrEnum):
    """Where a choice keeps what only its programme asks for."""

    UNITS = "units"
    """Tons, square feet, doors, as the programme counts."""
    SAVINGS_SHARE = "savings_share"
    """Of the energy, as the programme's own assessor found it."""
    SAVED_KWH = "saved_kwh"
    STATE_AVERAGE_KWH = "state_average_kwh"
    ASSESSED_ON = "assessed_on"
    """The day of the assessment that it asks for, as an ISO date."""
    PRODUCTS = "products"
    """What the rule asks of a product: whether it is so."""


def assessed_on(choice: m.ProgrammeChoice) -> date | None:
    """The day of the assessment, as far as it is told."""
    told = choice.facts.get(FactName.ASSESSED_ON)
    return date.fromisoformat(str(told)) if told else None
