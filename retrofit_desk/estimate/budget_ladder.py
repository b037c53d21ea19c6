"""Best for the money: for each budget the set of measures that does most by money, carbon or fuel.

Only sets that were run are told, each as it was run, with all that its measures do to each other. Before
every set was run, those worth running are proposed by adding gains up; another set may then do more than the
best of those.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.savings import Gain, SavingsLine, SetWorth

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


def ladder(lines: Sequence[SavingsLine], sets: Sequence[SetWorth], aim: Aim = Aim.MONEY) -> tuple[Rung, ...]:
    """One rung for each budget, the lowest first: the best of the sets that were run, nothing among them.

    A measure of unknown cost stands on no rung. Empty for no measures, or no sets.
    """
    if not lines or not sets:
        return ()
    masks = np.array([one.members for one in sets], dtype=np.int64)
    gains = np.array(
        [(one.money_saved_cents, one.carbon_saved_kg, one.fuel_removed_kwh) for one in sets], dtype=float
    )
    rungs = []
    for budget, best in _best(lines, masks, gains[:, list(Aim).index(aim)]):
        chosen = tuple(bit for bit in range(len(lines)) if int(masks[best]) >> bit & 1)
        money, carbon, fuel = (float(gain) for gain in gains[best])
        cost = sum(_cash_cents(lines[bit]) for bit in chosen)
        rungs.append(Rung(budget, chosen, cost, round(money), carbon, fuel))
    return tuple(rungs)


def proposals(lines: Sequence[SavingsLine]) -> tuple[int, ...]:
    """Sets worth running for a ladder: for each budget and aim the best by gains in place, alone and last.

    Each of the 2^n sets is looked at, its measures' gains added up; none for more than sixteen measures.
    """
    if not 0 < len(lines) <= MOST_MEASURES:
        return ()
    masks = _with_what_they_need(lines)
    member = (masks[:, None] >> np.arange(len(lines))) & 1
    found: set[int] = set()
    for view in (_in_place, _alone, _last):
        each = np.array([_aims(view(line)) for line in lines])
        for gains in (member @ each).T:
            found |= {int(masks[best]) for _, best in _best(lines, masks, gains)}
    return tuple(sorted(found))


def _best(lines: Sequence[SavingsLine], masks: NDArray[np.int64], gains: Array) -> list[tuple[int, np.intp]]:
    """For each budget the place of the set that gains most; of equal sets the cheapest."""
    member = (masks[:, None] >> np.arange(len(lines))) & 1
    costs = np.array([_cash_cents(line) for line in lines])
    unpriced = np.array([line.cost_cents.value is None for line in lines])
    possible = ~(member[:, unpriced].any(axis=1))
    cost = member @ costs
    found = []
    for budget in _budgets(int(costs.sum())):
        fits = np.flatnonzero(possible & (cost <= budget))
        found.append((budget, fits[np.lexsort((cost[fits], -gains[fits]))[0]]))
    return found


def _in_place(line: SavingsLine) -> Gain:
    return line.in_its_place


def _alone(line: SavingsLine) -> Gain:
    return line.alone or line.in_its_place


def _last(line: SavingsLine) -> Gain:
    return line.last or line.in_its_place


def _aims(gain: Gain) -> tuple[float, float, float]:
    return gain.money_saved_cents, gain.carbon_saved_kg, gain.fuel_removed_kwh


def _with_what_they_need(lines: Sequence[SavingsLine]) -> NDArray[np.int64]:
    """Every set in which each measure has what it needs."""
    count = len(lines)
    masks = np.arange(1 << count, dtype=np.int64)
    place = {line.key: number for number, line in enumerate(lines)}
    possible = np.ones(len(masks), dtype=bool)
    for number, line in enumerate(lines):
        needed = sum(1 << place[key] for key in line.needs if key in place)
        possible &= ((masks >> number) & 1 == 0) | ((masks & needed) == needed)
    return masks[possible]


def _cash_cents(line: SavingsLine) -> int:
    """What has to be paid, rebates taken off."""
    return max((line.cost_cents.value or 0) - line.rebates_cents, 0)


def _budgets(whole_cents: int) -> list[int]:
    rounded = (-(-int(whole_cents * share) // STEP_CENTS) * STEP_CENTS for share in SHARES)
    return sorted(set(rounded))
