"""What each measure of a set is worth: alone, last, in its place, and its fair part.

A set of n measures is a bit mask; only sets that can stand together are possible. `worth(mask)` is a
vector of figures for the house with that set, such as fuel, money and carbon. The fair part of a measure is
its mean gain over all orders in which every step is possible (Shapley 1953; with needs between measures:
Faigle and Kern 1992, The Shapley value for cooperative games under precedence constraints), so the parts add
up to the whole.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from retrofit_desk.values.errors import DeskError

Array = NDArray[np.float64]
Worth = Callable[[int], Array]


class OrderImpossible(DeskError):
    """No order leads to the whole set, or the order asked for cannot be gone."""


@dataclass(frozen=True)
class SampledParts:
    """Fair parts (n, figures) from drawn orders, with the standard error of each."""

    parts: Array
    standard_error: Array
    orders: int


def _bits(mask: int) -> list[int]:
    return [bit for bit in range(mask.bit_length()) if mask >> bit & 1]


def fair_parts(n: int, possible: Collection[int], worth: Worth) -> Array:
    """Exact fair parts, shape (n, figures), from every possible set. Raises `OrderImpossible`."""
    whole = (1 << n) - 1
    ways_up, ways_down = _ways_up(possible), _ways_down(possible, whole)
    orders = ways_up.get(whole, 0)
    if not orders:
        raise OrderImpossible("these measures cannot all be done, in no order", do="take one of them out")
    parts = np.zeros((n, len(worth(0))))
    for mask in possible:
        for bit in range(n):
            after = mask | 1 << bit
            if after != mask and after in ways_down and mask in ways_up:
                # exact integers first: the weights of a large set would not be exact in floating point
                weight = ways_up[mask] * ways_down[after] / orders
                parts[bit] += weight * (worth(after) - worth(mask))
    return parts


def drawn_orders(
    n: int, is_possible: Callable[[int], bool], orders: int, seed: int
) -> tuple[tuple[tuple[int, ...], ...], Array]:
    """Drawn possible orders, each as its sets from nothing to all, and their weights, which add up to 1.

    Each step goes to any measure that may come next; an order that had more choices on its way was the less
    likely drawn and weighs the more, so that all possible orders count alike. Raises `OrderImpossible`.
    """
    rng = np.random.default_rng(seed)
    chains, choices = [], np.zeros(orders)
    for draw in range(orders):
        chain = [0]
        while chain[-1] != (1 << n) - 1:
            mask = chain[-1]
            after = [mask | 1 << bit for bit in range(n) if not mask >> bit & 1]
            free = [one for one in after if is_possible(one)]
            if not free:
                raise OrderImpossible("these measures cannot all be done, in no order", do="take one out")
            chain.append(int(rng.choice(free)))
            choices[draw] += np.log(len(free))
        chains.append(tuple(chain))
    weights = np.exp(choices - choices.max())
    return tuple(chains), weights / weights.sum()


def sampled_parts(
    n: int, is_possible: Callable[[int], bool], worth: Worth, orders: int, seed: int
) -> SampledParts:
    """Fair parts from `orders` drawn orders, for sets too large to enumerate. Raises `OrderImpossible`."""
    chains, weights = drawn_orders(n, is_possible, orders, seed)
    gains = np.zeros((orders, n, len(worth(0))))
    for draw, chain in enumerate(chains):
        for before, after in pairwise(chain):
            gains[draw, (before ^ after).bit_length() - 1] = worth(after) - worth(before)
    parts = np.tensordot(weights, gains, axes=1)
    spread = np.tensordot(weights**2, (gains - parts) ** 2, axes=1)
    return SampledParts(parts, np.sqrt(spread * orders / (orders - 1)), orders)


def in_its_place(order: Collection[int], is_possible: Callable[[int], bool], worth: Worth) -> Array:
    """Gain of each measure at its place in `order`, (n, figures) by measure. Raises `OrderImpossible`."""
    parts = np.zeros((len(order), len(worth(0))))
    mask = 0
    for bit in order:
        after = mask | 1 << bit
        if not is_possible(after):
            raise OrderImpossible(
                "a measure stands before one that it needs", do="move it down in the line-up"
            )
        parts[bit] = worth(after) - worth(mask)
        mask = after
    return parts


def alone(bit: int, possible: Collection[int], worth: Worth) -> Array:
    """Gain over the house as it stands; where a measure needs others, over the house with just those."""
    fits = [mask for mask in possible if mask >> bit & 1 and mask & ~(1 << bit) in possible]
    if not fits:
        raise OrderImpossible("this measure cannot be added to anything", do="check what it needs")
    smallest = min(fits, key=lambda mask: (mask.bit_count(), mask))
    return worth(smallest) - worth(smallest & ~(1 << bit))


def last(bit: int, possible: Collection[int], worth: Worth) -> Array:
    """Gain as the last of all; where others need it, those are left out on both sides."""
    fits = [mask for mask in possible if mask >> bit & 1 and mask & ~(1 << bit) in possible]
    if not fits:
        raise OrderImpossible("this measure cannot be added to anything", do="check what it needs")
    largest = max(fits, key=lambda mask: (mask.bit_count(), mask))
    return worth(largest) - worth(largest & ~(1 << bit))


def _ways_up(possible: Collection[int]) -> dict[int, int]:
    """Number of possible orders that lead from nothing to each set."""
    ways = {0: 1}
    for mask in sorted(possible, key=int.bit_count):
        if mask:
            count = sum(ways.get(mask & ~(1 << bit), 0) for bit in _bits(mask))
            if count:
                ways[mask] = count
    return ways


def _ways_down(possible: Collection[int], whole: int) -> dict[int, int]:
    """Number of possible orders that lead from each set to the whole."""
    known = set(possible)
    ways = {whole: 1}
    for mask in sorted(known, key=int.bit_count, reverse=True):
        if mask != whole:
            missing = _bits(whole & ~mask)
            count = sum(ways.get(mask | 1 << bit, 0) for bit in missing)
            if count:
                ways[mask] = count
    return ways
