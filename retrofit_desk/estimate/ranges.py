"""Likely ranges: the response of a line-up to what is uncertain, sampled by Latin hypercube.

Each uncertain trait of the house, what the measures may miss, and the weather of a single year are moved by
one standard deviation and the whole line-up is run again; the response is taken as linear between. The
house's traits are drawn as they are believed: from the fit to the bills with its covariance, or from their
priors. Prices, the grid and costs enter exactly. The range runs from the tenth to the ninetieth percentile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.belief import Belief
from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.factors import (
    HOUSE_FACTORS,
    NEW_FACTORS,
    TERM_FACTORS,
    WEATHER_FACTOR,
    HouseFactor,
    NewFactor,
    TermFactor,
)
from retrofit_desk.estimate.line_up import FIGURES, Chosen, LineUp, Report
from retrofit_desk.estimate.scenario import Simulator, Terms, simulator_for
from retrofit_desk.estimate.weather_years import colder

Array = NDArray[np.float64]
DRAWS = 2000
LOW, HIGH = 10.0, 90.0
COST = "cost of the measures"
RUN_FACTORS: tuple[HouseFactor | NewFactor | TermFactor, ...] = (*HOUSE_FACTORS, *NEW_FACTORS, WEATHER_FACTOR)
"""What the line-up is run again for, in the order of the responses."""
_AT = {name: number for number, name in enumerate(FIGURES)}


@dataclass(frozen=True)
class Band:
    """A value with the tenth and the ninetieth percentile of its draws; the value lies inside."""

    value: float
    low: float
    high: float


def band(value: float, draws: Array) -> Band:
    """The likely range around the worked-out value."""
    low, high = np.percentile(draws, [LOW, HIGH])
    return Band(value, min(float(low), value), max(float(high), value))


@dataclass(frozen=True, eq=False)
class Draws:
    """Gains of every measure in its place, (draws, measures, figures), and the drawn cost factor (draws,)."""

    gains: Array
    costs: Array
    moves: tuple[tuple[str, float], ...]
    """What moves the money of the whole most: factor and its share of the variance, the largest first."""

    def of(self, bits: Sequence[int], figure: str) -> Array:
        """Sum over some measures of one figure, for each draw."""
        return np.asarray(self.gains[:, list(bits), _AT[figure]].sum(axis=1))


def responses(
    described: HouseCase,
    belief: Belief,
    chosen: Sequence[Chosen],
    simulator: Simulator,
    terms: Terms,
    report: Report,
) -> Array:
    """Change of all gains for one (prior) standard deviation of each factor, (factors, measures, figures)."""
    base = belief.house(described)
    exact = LineUp(base, chosen, simulator, terms).in_its_place(lambda share, doing: None)
    moved = []
    for number, factor in enumerate(RUN_FACTORS):
        report(number / len(RUN_FACTORS), f"likely range: {factor.name}")

        def told(share: float, doing: str, number: int = number, name: str = factor.name) -> None:
            report((number + share) / len(RUN_FACTORS), f"likely range, {name}: {doing}")

        line_up = _moved(number, described, belief, LineUp(base, chosen, simulator, terms), simulator)
        moved.append(line_up.in_its_place(told) - exact)
    return np.array(moved)


def _moved(
    number: int, described: HouseCase, belief: Belief, line_up: LineUp, simulator: Simulator
) -> LineUp:
    """The line-up with one factor a standard deviation higher."""
    base, chosen, terms = line_up.base, line_up.chosen, line_up.terms
    if number < len(HOUSE_FACTORS):
        return LineUp(belief.house_but(described, number), chosen, simulator, terms)
    new = number - len(HOUSE_FACTORS)
    if new < len(NEW_FACTORS):
        return LineUp(base, chosen, simulator, terms, partial(NEW_FACTORS[new].shift, z=1.0, base=base))
    cold = simulator_for(colder(simulator.weather, WEATHER_FACTOR.share))
    return LineUp(base, chosen, cold, terms)


def draw(exact: Array, response: Array, belief: Belief, draws: int = DRAWS, seed: int = 1) -> Draws:
    """Draw the gains. `exact`: (measures, figures); `response`: (factors, measures, figures)."""
    from scipy.stats import norm, qmc

    run, house = len(RUN_FACTORS), len(HOUSE_FACTORS)
    uniform = qmc.LatinHypercube(d=run + len(TERM_FACTORS), rng=seed).random(draws)
    z = norm.ppf(uniform)
    z[:, :house] = z[:, :house] @ belief.root().T
    gains = exact[None] + np.einsum("dt,tmf->dmf", z[:, :run], response)
    factor = {one.name: 1.0 + one.share * z[:, run + at] for at, one in enumerate(TERM_FACTORS)}
    gains[:, :, _AT["fuel_bill_cents"]] *= factor["fuel price"][:, None]
    gains[:, :, _AT["power_bill_cents"]] *= factor["electricity price"][:, None]
    gains[:, :, _AT["power_carbon_kg"]] *= factor["carbon of the grid"][:, None]
    return Draws(gains, np.maximum(factor[COST], 0.5), _moves(gains, z, response))


def _moves(gains: Array, z: Array, response: Array) -> tuple[tuple[str, float], ...]:
    """Share of the spread of the whole money saved.

    What the line-up was run for: covariance of its own part with the whole, over the variance, so that traits
    which the bills tie together share what they do. Prices: squared correlation.
    """
    columns = [_AT["fuel_bill_cents"], _AT["power_bill_cents"], _AT["own_cents"]]
    money = gains[:, :, columns].sum(axis=(1, 2))
    if money.std() == 0:
        return ()
    run = len(response)
    parts = z[:, :run] * response[:, :, columns].sum(axis=(1, 2))
    own = [max(float(np.cov(parts[:, at], money)[0, 1] / money.var(ddof=1)), 0.0) for at in range(run)]
    others = [float(np.corrcoef(z[:, at], money)[0, 1] ** 2) for at in range(run, z.shape[1])]
    names = [one.name for one in (*RUN_FACTORS, *TERM_FACTORS)]
    ranked = sorted(zip(names, own + others, strict=True), key=lambda pair: -pair[1])
    return tuple((name, share) for name, share in ranked if name != COST)
