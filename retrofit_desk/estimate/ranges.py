"""Likely ranges: the response of a line-up to what is uncertain, sampled by Latin hypercube.

Each uncertain trait of the house is moved by one standard deviation and the whole line-up is run again; the
response is taken as linear between. Prices, the grid and costs enter exactly. The range runs from the tenth
to the ninetieth percentile of the draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.factors import HOUSE_FACTORS, TERM_FACTORS
from retrofit_desk.estimate.line_up import FIGURES, Chosen, LineUp, Report
from retrofit_desk.estimate.scenario import Simulator, Terms

Array = NDArray[np.float64]
DRAWS = 2000
LOW, HIGH = 10.0, 90.0
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
    base: HouseCase, chosen: Sequence[Chosen], simulator: Simulator, terms: Terms, report: Report
) -> Array:
    """Change of all gains for one standard deviation of each trait, (traits, measures, figures)."""
    exact = LineUp(base, chosen, simulator, terms).in_its_place(lambda share, doing: None)
    moved = []
    for number, factor in enumerate(HOUSE_FACTORS):
        report(number / len(HOUSE_FACTORS), f"likely range: {factor.name}")
        shifted = LineUp(base, chosen, simulator, terms, partial(factor.shift, z=1.0))

        def told(share: float, doing: str, number: int = number, name: str = factor.name) -> None:
            report((number + share) / len(HOUSE_FACTORS), f"likely range, {name}: {doing}")

        moved.append(shifted.in_its_place(told) - exact)
    return np.array(moved)


def draw(exact: Array, response: Array, draws: int = DRAWS, seed: int = 1) -> Draws:
    """Draw the gains. `exact`: (measures, figures); `response`: (traits, measures, figures)."""
    from scipy.stats import norm, qmc

    traits, terms = len(HOUSE_FACTORS), len(TERM_FACTORS)
    uniform = qmc.LatinHypercube(d=traits + terms, rng=seed).random(draws)
    z = norm.ppf(uniform)
    gains = exact[None] + np.einsum("dt,tmf->dmf", z[:, :traits], response)
    factor = {one.name: 1.0 + one.share * z[:, traits + at] for at, one in enumerate(TERM_FACTORS)}
    gains[:, :, _AT["fuel_bill_cents"]] *= factor["fuel price"][:, None]
    gains[:, :, _AT["power_bill_cents"]] *= factor["electricity price"][:, None]
    gains[:, :, _AT["power_carbon_kg"]] *= factor["carbon of the grid"][:, None]
    return Draws(gains, np.maximum(factor["cost of the measures"], 0.5), _moves(gains, z))


def _moves(gains: Array, z: Array) -> tuple[tuple[str, float], ...]:
    """Squared correlation of each factor with the whole money saved."""
    money = gains[:, :, [_AT["fuel_bill_cents"], _AT["power_bill_cents"]]].sum(axis=(1, 2))
    names = [factor.name for factor in HOUSE_FACTORS] + [factor.name for factor in TERM_FACTORS]
    if money.std() == 0:
        return ()
    shares = [float(np.corrcoef(z[:, at], money)[0, 1] ** 2) for at in range(len(names))]
    ranked = sorted(zip(names, shares, strict=True), key=lambda pair: -pair[1])
    return tuple((name, share) for name, share in ranked if name != "cost of the measures")
