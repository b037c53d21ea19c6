"""How far what a line-up is worth may lie off: first-year saving, costs, growth of prices, lives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.factors import TERM_FACTORS
from retrofit_desk.estimate.later_money import Lasting, upkeep_known_cents
from retrofit_desk.estimate.over_years import Outlook, Stake
from retrofit_desk.estimate.ranges import COST, HIGH, LOW
from retrofit_desk.money.worth import internal_return
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


@dataclass(frozen=True)
class ReturnRange:
    """10, 50 and 90 % of the internal rate of return above inflation, of the draws that have one.

    All three are none where no draw has one. `none_share`: share of the draws without.
    """

    low: float | None
    median: float | None
    high: float | None
    none_share: float


@dataclass(frozen=True)
class RangesOverYears:
    """How far what a line-up is worth, and what it returns, may lie off."""

    net_present: NetPresentRange
    internal: ReturnRange


def ranges_over_years(
    stake: Stake, saved: Figure, outlook: Outlook, draws: int = DRAWS, seed: int = 1
) -> RangesOverYears:
    """Latin hypercube. `saved`: the first year's saving with its likely range, cents."""
    from scipy.stats import norm, qmc

    z = norm.ppf(qmc.LatinHypercube(d=len(NAMES), rng=seed).random(draws))
    flows = _flows_cents(stake, saved, outlook, z)
    values = flows @ (1.0 + float(outlook.discount_rate)) ** -np.arange(outlook.years + 1)
    low, median, high = (round(one) for one in _ten_fifty_ninety(values))
    worth = NetPresentRange(low, median, high, float((values > 0).mean()), _moves(z, values))
    return RangesOverYears(worth, _return_range(flows))


def _flows_cents(stake: Stake, saved: Figure, outlook: Outlook, z: Array) -> Array:
    """Flows at the end of years 0 to the last; (draws, years + 1). `z`: a column for each of `NAMES`."""
    from scipy.stats import norm

    spread = (saved.high - saved.low) / OF_TEN_TO_NINETY
    saving = 1.0 + z[:, 0] * spread / saved.value if saved.value else np.ones(len(z))
    cost_share = next(one.share for one in TERM_FACTORS if one.name == COST)
    cost = np.maximum(1.0 + cost_share * z[:, 1], 0.5)
    years, rank = outlook.years, norm.cdf(z[:, 4])
    fuel = stake.fuel_saved_cents * _growing(float(outlook.fuel_growth) + FUEL_GROWTH_SHARE * z[:, 2], years)
    power = stake.power_saved_cents * _growing(
        float(outlook.power_growth) + POWER_GROWTH_SHARE * z[:, 3], years
    )
    comes, ends = upkeep_known_cents(stake.later)
    flows = _paid_for(stake.instead, rank, years) - cost[:, None] * _paid_for(stake.own, rank, years)
    flows[:, 0] += stake.rebates_cents
    flows[:, 1:] += saving[:, None] * (fuel + power) + ends - comes
    return flows


def _growing(growth: Array, years: int) -> Array:
    """One at the end of the first year, growing by a share a year; (draws, years)."""
    return np.asarray((1.0 + growth[:, None]) ** np.arange(years))


def _paid_for(parts: Sequence[Lasting], rank: Array, years: int) -> Array:
    """All that is paid by year for things that last longer or shorter, all alike; (draws, years + 1).

    `rank`: 0 to 1, the place between the shortest and the longest life, triangular about the usual one.
    """
    from scipy.stats import triang

    whole: Array = np.zeros((len(rank), years + 1))
    for part in parts:
        if part.life is None or part.life.low_years == part.life.high_years:
            whole += np.array(part.by_year_cents(years))
            continue
        low, span = part.life.low_years, part.life.high_years - part.life.low_years
        drawn = np.rint(triang.ppf(rank, (part.life.years - low) / span, loc=low, scale=span)).astype(int)
        lives = range(low, part.life.high_years + 1)
        by_life = [part.lasting(life).by_year_cents(years) for life in lives]
        whole += np.array(by_life, dtype=float)[drawn - low]
    return whole


def _return_range(flows: Array) -> ReturnRange:
    rates = [internal_return([round(cents) for cents in row]).rate for row in flows.tolist()]
    found = np.array([rate for rate in rates if rate is not None])
    none_share = 1.0 - len(found) / len(rates)
    if not len(found):
        return ReturnRange(None, None, None, none_share)
    return ReturnRange(*_ten_fifty_ninety(found), none_share)


def _ten_fifty_ninety(values: Array) -> tuple[float, float, float]:
    low, median, high = np.percentile(values, [LOW, 50.0, HIGH]).tolist()
    return low, median, high


def _moves(z: Array, values: Array) -> tuple[tuple[str, float], ...]:
    if values.std() == 0:
        return ()
    shares = [float(np.corrcoef(z[:, at], values)[0, 1] ** 2) for at in range(len(NAMES))]
    return tuple(sorted(zip(NAMES, shares, strict=True), key=lambda pair: -pair[1]))
