"""What is believed about the traits of the house: their priors, or what a fit to the bills left of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.factors import HOUSE_FACTORS, shifted
from retrofit_desk.estimate.fit_to_bills import FitToBills

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Belief:
    """Center and covariance of all `HOUSE_FACTORS`, in standard deviations of their priors; and why these."""

    center: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    is_fitted: bool
    words: str

    @property
    def spread(self) -> tuple[float, ...]:
        """Standard deviation of each trait; 1 where nothing is known but its prior."""
        return tuple(float(one) for one in np.sqrt(np.diag(np.array(self.covariance))))

    def root(self) -> Array:
        """L with L L' the covariance, (traits, traits)."""
        return np.asarray(np.linalg.cholesky(np.array(self.covariance)))

    def house(self, described: HouseCase) -> HouseCase:
        """The house as it is believed to be."""
        return shifted(described, HOUSE_FACTORS, np.array(self.center))

    def house_but(self, described: HouseCase, trait: int) -> HouseCase:
        """The believed house with one trait a standard deviation of its prior higher."""
        z = np.array(self.center)
        z[trait] += 1.0
        return shifted(described, HOUSE_FACTORS, z)


def priors(why: str) -> Belief:
    """The house as described; `why`: no fit speaks for it."""
    traits = len(HOUSE_FACTORS)
    identity = tuple(tuple(float(one) for one in row) for row in np.eye(traits))
    return Belief(
        (0.0,) * traits,
        identity,
        is_fitted=False,
        words=f"The house as described, its traits as unsure as usual: {why}",
    )


def fitted(found: FitToBills, words: str) -> Belief:
    """What a fit left; traits it did not vary keep their priors."""
    at = {factor.name: number for number, factor in enumerate(HOUSE_FACTORS)}
    rows = [at[trait.name] for trait in found.traits]
    center, covariance = np.zeros(len(at)), np.eye(len(at))
    center[rows] = [trait.z for trait in found.traits]
    covariance[np.ix_(rows, rows)] = np.array(found.covariance).reshape(len(rows), len(rows))
    return Belief(
        tuple(float(one) for one in center),
        tuple(tuple(float(one) for one in row) for row in covariance),
        is_fitted=True,
        words=words,
    )
