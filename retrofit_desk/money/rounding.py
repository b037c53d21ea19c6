"""Dollars to whole cents as a utility rounds them, and sums split without losing one."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal


def to_cents(dollars: Decimal) -> int:
    """Whole cents, halves away from zero."""
    return int((dollars * 100).to_integral_value(rounding=ROUND_HALF_UP))


def whole_cents(cents: Decimal) -> int:
    """Whole cents of an exact number of cents, halves away from zero."""
    return int(cents.to_integral_value(rounding=ROUND_HALF_UP))


def to_dollars(cents: int) -> Decimal:
    """Exact dollars of whole cents."""
    return Decimal(cents) / 100


def split_cents(total_cents: int, weights: Sequence[Decimal]) -> tuple[int, ...]:
    """Parts in proportion to `weights` that add up to the total; the largest remainders get the odd cents.

    Raises `ValueError` for a negative weight or weights that sum to nothing.
    """
    whole = sum(weights, Decimal(0))
    if whole <= 0 or any(weight < 0 for weight in weights):
        raise ValueError("weights must be positive")
    shares = [Decimal(total_cents) * weight / whole for weight in weights]
    parts = [int(share.to_integral_value(rounding=ROUND_FLOOR)) for share in shares]
    by_remainder = sorted(range(len(parts)), key=lambda at: (parts[at] - shares[at], at))
    for at in by_remainder[: total_cents - sum(parts)]:
        parts[at] += 1
    return tuple(parts)
