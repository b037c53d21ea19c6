"""Best for the money: for each budget the set of measures that saves most.

Every measure counts with its gain in its place in the line-up, so what measures do to each other is
whole only for the line-up as a whole; each of the 2^n sets is looked at, none is guessed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from retrofit_desk.estimate.savings import SavingsLine

MOST_MEASURES = 16
SHARES = (0.05, 0.15, 0.3, 0.6, 1.0)
"""Budgets as shares of what everything costs."""
STEP_CENTS = 100_000


@dataclass(frozen=True)
class Rung:
    """One budget and its best set: measures by their place in the line-up, and what they do in a year."""

    budget_cents: int
    measures: tuple[int, ...]
    cost_cents: int
    money_saved_cents: int
    carbon_saved_kg: float


def ladder(lines: Sequence[SavingsLine]) -> tuple[Rung, ...]:
    """One rung for each budget, the lowest first. A measure of unknown cost stands on no rung.

    Nothing to say (an empty ladder) for no measures, or for more than sixteen.
    """
    count = len(lines)
    if not 0 < count <= MOST_MEASURES:
        return ()
    masks = np.arange(1 << count)
    member = (masks[:, None] >> np.arange(count)) & 1
    place = {line.key: number for number, line in enumerate(lines)}
    costs = np.array([_cash_cents(line) for line in lines])
    possible = np.ones(len(masks), dtype=bool)
    for number, line in enumerate(lines):
        needed = sum(1 << place[key] for key in line.needs if key in place)
        if line.cost_cents.value is None:
            possible &= member[:, number] == 0
        possible &= (member[:, number] == 0) | ((masks & needed) == needed)
    cost = member @ costs
    money = member @ np.array([line.in_its_place.money_saved_cents for line in lines])
    carbon = member @ np.array([line.in_its_place.carbon_saved_kg for line in lines])
    rungs = []
    for budget in _budgets(int(costs.sum())):
        fits = np.flatnonzero(possible & (cost <= budget))
        # the most money saved; of equal sets the cheapest
        best = fits[np.lexsort((cost[fits], -money[fits]))[0]]
        chosen = tuple(int(one) for one in np.flatnonzero(member[best]))
        rungs.append(Rung(budget, chosen, int(cost[best]), round(float(money[best])), float(carbon[best])))
    return tuple(rungs)


def _cash_cents(line: SavingsLine) -> int:
    """What has to be paid, rebates taken off."""
    return max((line.cost_cents.value or 0) - line.rebates_cents, 0)


def _budgets(whole_cents: int) -> list[int]:
    rounded = (-(-int(whole_cents * share) // STEP_CENTS) * STEP_CENTS for share in SHARES)
    return sorted(set(rounded))
