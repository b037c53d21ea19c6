"""Best for the money: for each budget the set of measures that does most by money, carbon or fuel.

Where every set was run, each counts as it was run, with all that its measures do to each other. Before that
each measure counts with its gain in its place in the line-up; each of the 2^n sets is looked at all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.savings import SavingsLine, SetWorth

Array = NDArray[np.float64]
MOST_MEASURES = 16
SHARES = (0.05, 0.15, 0.3, 0.6, 1.0)
"""Budgets as shares of what everything costs."""
STEP_CENTS = 100_000


class Aim(StrEnum):
    """What the best set does most of."""

    MONEY = "money saved"
    CARBON = "carbon saved"
    FUEL = "fuel removed"


@dataclass(frozen=True)
class Rung:
    """One budget and its best set: measures by their place in the line-up, and what they do in a year."""

    budget_cents: int
    measures: tuple[int, ...]
    cost_cents: int
    money_saved_cents: int
    carbon_saved_kg: float
    fuel_removed_kwh: float


def ladder(
    lines: Sequence[SavingsLine], sets: Sequence[SetWorth] = (), aim: Aim = Aim.MONEY
) -> tuple[Rung, ...]:
    """One rung for each budget, the lowest first. A measure of unknown cost stands on no rung.

    `sets`: every set that was run; none: gains in their places are added up. Nothing to say (an empty
    ladder) for no measures, or for more than sixteen.
    """
    count = len(lines)
    if not 0 < count <= MOST_MEASURES:
        return ()
    masks, gains = _as_run(sets) if sets else _added_up(lines)
    member = (masks[:, None] >> np.arange(count)) & 1
    costs = np.array([_cash_cents(line) for line in lines])
    unpriced = np.array([line.cost_cents.value is None for line in lines])
    possible = ~(member[:, unpriced].any(axis=1))
    cost, best_of = member @ costs, gains[:, list(Aim).index(aim)]
    rungs = []
    for budget in _budgets(int(costs.sum())):
        fits = np.flatnonzero(possible & (cost <= budget))
        # the most of what is aimed at; of equal sets the cheapest
        best = fits[np.lexsort((cost[fits], -best_of[fits]))[0]]
        chosen = tuple(int(one) for one in np.flatnonzero(member[best]))
        money, carbon, fuel = (float(gain) for gain in gains[best])
        rungs.append(Rung(budget, chosen, int(cost[best]), round(money), carbon, fuel))
    return tuple(rungs)


def _as_run(sets: Sequence[SetWorth]) -> tuple[NDArray[np.int64], Array]:
    """Sets as bit masks, and what each does: (sets, aims)."""
    gains = [(one.money_saved_cents, one.carbon_saved_kg, one.fuel_removed_kwh) for one in sets]
    return np.array([one.members for one in sets], dtype=np.int64), np.array(gains, dtype=float)


def _added_up(lines: Sequence[SavingsLine]) -> tuple[NDArray[np.int64], Array]:
    """Every set in which each measure has what it needs, with the gains of its measures in their places."""
    count = len(lines)
    masks = np.arange(1 << count)
    place = {line.key: number for number, line in enumerate(lines)}
    possible = np.ones(len(masks), dtype=bool)
    for number, line in enumerate(lines):
        needed = sum(1 << place[key] for key in line.needs if key in place)
        possible &= ((masks >> number) & 1 == 0) | ((masks & needed) == needed)
    masks = masks[possible]
    each = np.array(
        [
            (gain.money_saved_cents, gain.carbon_saved_kg, gain.fuel_removed_kwh)
            for gain in (line.in_its_place for line in lines)
        ]
    )
    member = (masks[:, None] >> np.arange(count)) & 1
    return masks, member @ each


def _cash_cents(line: SavingsLine) -> int:
    """What has to be paid, rebates taken off."""
    return max((line.cost_cents.value or 0) - line.rebates_cents, 0)


def _budgets(whole_cents: int) -> list[int]:
    rounded = (-(-int(whole_cents * share) // STEP_CENTS) * STEP_CENTS for share in SHARES)
    return sorted(set(rounded))
