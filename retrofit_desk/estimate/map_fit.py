"""Traits with priors fitted to what was measured: the most likely values, and how sure they are.

Every trait is counted in standard deviations of its prior, so all priors are standard normal. The model is
taken as linear around a point, solved, and made linear anew at the answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Predict = Callable[[Array], Array]
FARTHEST = 3.0
"""Standard deviations beyond which a trait is not believed; a description that needs more is wrong."""
STEP = 0.5
MOST_ROUNDS, STILL = 3, 0.1
HALVINGS = 3


@dataclass(frozen=True, eq=False)
class MapFit:
    """The fit. `z`: (traits,); `covariance`: (traits, traits); `response`: (bills, traits), per unit of z."""

    z: Array
    covariance: Array
    response: Array
    before: Array
    after: Array

    @property
    def spread(self) -> Array:
        """Standard deviation of each trait after the bills; 1 where they say nothing."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))


def most_runs(traits: int) -> int:
    """Calls of the model that one fit takes at most."""
    return 1 + MOST_ROUNDS * (traits + HALVINGS)


def map_fit(predict: Predict, measured: Array, sigma: Array, traits: int) -> MapFit:
    """Least squares of (measured - predicted) / sigma and of z together.

    The covariance is that of the last linear model; where the bills scatter more than `sigma`
    says, they count for so much less in it.
    """
    at = np.zeros(traits)
    before = told = predict(at)
    for _ in range(MOST_ROUNDS):
        response = _response(predict, at, told)
        goal = _solve(response, measured - told + response @ at, sigma)
        moved, told = _step(predict, at, goal, told, measured, sigma)
        is_still = float(np.abs(moved - at).max(initial=0.0)) < STILL
        at = moved
        if is_still:
            break
    scaled = response / sigma[:, None]
    scatter = float((((measured - told) / sigma) ** 2).mean())
    precision = scaled.T @ scaled / max(scatter, 1.0) + np.eye(traits)
    return MapFit(at, np.asarray(np.linalg.inv(precision), np.float64), response, before, told)


def _response(predict: Predict, at: Array, told: Array) -> Array:
    """Towards the prior's middle, so that no trait leaves the range it is believed in."""
    columns = []
    for trait in range(len(at)):
        step = np.zeros(len(at))
        step[trait] = -STEP if at[trait] > 0 else STEP
        columns.append((predict(at + step) - told) / step[trait])
    return np.column_stack(columns) if columns else np.zeros((len(told), 0))


def _solve(response: Array, seen: Array, sigma: Array) -> Array:
    """The most likely z of the linear model `seen = response z`, within the range that is believed."""
    from scipy.optimize import lsq_linear

    traits = response.shape[1]
    rows = np.vstack([response / sigma[:, None], np.eye(traits)])
    aims = np.concatenate([seen / sigma, np.zeros(traits)])
    return np.asarray(lsq_linear(rows, aims, bounds=(-FARTHEST, FARTHEST)).x)


def _step(
    predict: Predict, at: Array, goal: Array, told: Array, measured: Array, sigma: Array
) -> tuple[Array, Array]:
    """To the goal, or a shorter way there where the true model gets no better; stays where nothing helps."""

    def misfit(z: Array, predicted: Array) -> float:
        return float((((measured - predicted) / sigma) ** 2).sum() + (z**2).sum())

    start = misfit(at, told)
    for halving in range(HALVINGS):
        tried = at + (goal - at) / 2**halving
        predicted = predict(tried)
        if misfit(tried, predicted) <= start:
            return tried, predicted
    return at, told
