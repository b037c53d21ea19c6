"""Whether a bill agrees with its stage, its contract and itself."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.values.cents import cents_text
from retrofit_desk.values.stated import StatedValue


@dataclass(frozen=True)
class BillFacts:
    """One bill beside the stage it asks for and the contract it belongs to, in cents.

    `stage_cents` none: it names no stage. `billed_before_cents`: earlier bills under the same contract.
    """

    amount_cents: int
    retained_cents: int
    parts_cents: tuple[StatedValue[int], ...]
    stage_cents: int | None
    signed_changes_cents: int
    contract_cents: int | None
    billed_before_cents: int
    retainage_cents: int
    """What the contract lets the owner hold back of this amount."""


def invoice_points(facts: BillFacts) -> tuple[str, ...]:
    """What does not agree, in sentences for the owner."""
    found: list[str] = []
    told = [part.value for part in facts.parts_cents if part.value is not None]
    rest = facts.amount_cents - sum(told)
    is_split = bool(told) and len(told) == len(facts.parts_cents)
    if is_split and rest < 0:
        found.append(
            f"Its parts add up to {cents_text(sum(told))}: {cents_text(-rest)} more than it asks for."
        )
    elif is_split and rest > 0:
        found.append(f"{cents_text(rest)} of it is neither equipment nor labor.")
    if facts.stage_cents is not None and facts.amount_cents > facts.stage_cents:
        over = facts.amount_cents - facts.stage_cents
        if over > facts.signed_changes_cents:
            found.append(
                f"It is {cents_text(over)} above its stage; "
                f"signed change orders come to {cents_text(facts.signed_changes_cents)}."
            )
    if facts.contract_cents is not None:
        over = facts.billed_before_cents + facts.amount_cents - facts.contract_cents
        if over > 0:
            found.append(f"With it, {cents_text(over)} more is billed than the contract with its changes.")
    if facts.retained_cents != facts.retainage_cents:
        found.append(
            f"It holds back {cents_text(facts.retained_cents)}; "
            f"by the contract it would be {cents_text(facts.retainage_cents)}."
        )
    return tuple(found)
