"""How far the present value of a line-up may lie off: first-year saving, costs, growth of prices, lives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.factors import TERM_FACTORS
from retrofit_desk.estimate.later_money import Lasting, upkeep_known_cents
from retrofit_desk.estimate.over_years import Outlook, Stake
from retrofit_desk.estimate.ranges import COST, HIGH, LOW
from retrofit_desk.money.worth import uniform_present_value
from retrofit_desk.values.figure import Figure

Array = NDArray[np.float64]
FUEL_GROWTH_SHARE, POWER_GROWTH_SHARE = 0.015, 0.010
"""One standard deviation of the yearly growth of prices above inflation, held over the period: own judgment
after the spread of the published outlooks' cases (from memory)."""
OF_TEN_TO_NINETY = 2.5631
"""Standard deviations between the tenth and the ninetieth percentile of a normal distribution (tables)."""
DRAWS = 500
NAMES = (
    "the first year's saving",
    "cost of the measures",
    "growth of fuel prices",
    "growth of power prices",
    "how long things last",
)


@dataclass(frozen=True)
class NetPresentRange:
    """10, 50 and 90 % of the net present value, cents; `moves`: shares of its spread, the largest first.

    `pays_share`: share of the draws in which the line-up is worth more than what would be bought anyway.
    """

    low_cents: int
    median_cents: int
    high_cents: int
    pays_share: float
    moves: tuple[tuple[str, float], ...]


def net_present_range(
    stake: Stake, saved: Figure, outlook: Outlook, draws: int = DRAWS, seed: int = 1
) -> NetPresentRange:
    """Latin hypercube. `saved`: the first year's saving with its likely range, cents."""
    from scipy.stats import norm, qmc

    z = norm.ppf(qmc.LatinHypercube(d=len(NAMES), rng=seed).random(draws))
    spread = (saved.high - saved.low) / OF_TEN_TO_NINETY
    saving = 1.0 + z[:, 0] * spread / saved.value if saved.value else np.ones(draws)
    cost_share = next(one.share for one in TERM_FACTORS if one.name == COST)
    cost = np.maximum(1.0 + cost_share * z[:, 1], 0.5)
    fuel = stake.fuel_saved_cents * _worth_of_growth(
        float(outlook.fuel_growth) + FUEL_GROWTH_SHARE * z[:, 2], outlook
    )
    power = stake.power_saved_cents * _worth_of_growth(
        float(outlook.power_growth) + POWER_GROWTH_SHARE * z[:, 3], outlook
    )
    own, instead = (
        _worth_of_parts(parts, norm.cdf(z[:, 4]), outlook) for parts in (stake.own, stake.instead)
    )
    values = (
        saving * (fuel + power)
        - own * cost
        + instead
        + stake.rebates_cents
        - _worth_of_upkeep(stake, outlook)
    )
    low, median, high = (round(float(one)) for one in np.percentile(values, [LOW, 50.0, HIGH]))
    return NetPresentRange(low, median, high, float((values > 0).mean()), _moves(z, values))


def _worth_of_growth(growth: Array, outlook: Outlook) -> Array:
    """Present value of a cent a year, paid at its end, that grows from the second year on; (draws,)."""
    years = np.arange(1, outlook.years + 1)
    discount = (1.0 + float(outlook.discount_rate)) ** -years
    return np.asarray(((1.0 + growth[:, None]) ** (years - 1) * discount).sum(axis=1))


def _worth_of_parts(parts: Sequence[Lasting], rank: Array, outlook: Outlook) -> Array:
    """Present value of all that is paid for things that last longer or shorter, all alike; (draws,).

    `rank`: 0 to 1, the place between the shortest and the longest life, triangular about the usual one.
    """
    from scipy.stats import triang

    whole: Array = np.zeros(len(rank))
    for part in parts:
        if part.life is None or part.life.low_years == part.life.high_years:
            whole += float(part.present_cents(outlook.discount_rate, outlook.years))
            continue
        low, span = part.life.low_years, part.life.high_years - part.life.low_years
        drawn = np.rint(triang.ppf(rank, (part.life.years - low) / span, loc=low, scale=span)).astype(int)
        lives = range(low, part.life.high_years + 1)
        by_life = [part.lasting(life).present_cents(outlook.discount_rate, outlook.years) for life in lives]
        whole += np.array(by_life, dtype=float)[drawn - low]
    return whole


def _worth_of_upkeep(stake: Stake, outlook: Outlook) -> float:
    comes, ends = upkeep_known_cents(stake.later)
    return float((comes - ends) * uniform_present_value(outlook.discount_rate, outlook.years))


def _moves(z: Array, values: Array) -> tuple[tuple[str, float], ...]:
    if values.std() == 0:
        return ()
    shares = [float(np.corrcoef(z[:, at], values)[0, 1] ** 2) for at in range(len(NAMES))]
    return tuple(sorted(zip(NAMES, shares, strict=True), key=lambda pair: -pair[1]))
