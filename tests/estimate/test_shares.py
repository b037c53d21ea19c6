import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from retrofit_desk.estimate.shares import (
    OrderImpossible,
    alone,
    fair_parts,
    in_its_place,
    last,
    sampled_parts,
)


def everything(n: int) -> set[int]:
    return set(range(1 << n))


def mean_over_orders(n: int, possible: set[int], worth) -> np.ndarray:  # type: ignore[no-untyped-def]
    """The definition itself, order by order."""
    gains = []
    for order in itertools.permutations(range(n)):
        masks = list(itertools.accumulate((1 << bit for bit in order), initial=0))
        if all(mask in possible for mask in masks):
            gain = np.zeros((n, len(worth(0))))
            for bit, (before, after) in zip(order, itertools.pairwise(masks), strict=True):
                gain[bit] = worth(after) - worth(before)
            gains.append(gain)
    return np.mean(gains, axis=0)


def a_game(n: int, seed: int):  # type: ignore[no-untyped-def]
    table = np.random.default_rng(seed).normal(size=(1 << n, 3))
    return lambda mask: table[mask]


def test_the_glove_game_has_its_published_value() -> None:
    # Shapley 1953 / textbook glove game (from memory): two left gloves, one right: 1/6, 1/6, 2/3
    def worth(mask: int) -> np.ndarray:
        return np.array([float(bool(mask & 0b011) and bool(mask & 0b100))])

    np.testing.assert_allclose(fair_parts(3, everything(3), worth)[:, 0], [1 / 6, 1 / 6, 2 / 3], atol=1e-12)


@given(st.integers(1, 5), st.integers(0, 10**6))
@settings(max_examples=25, deadline=None)
def test_fair_parts_are_the_mean_over_orders_and_add_up(n: int, seed: int) -> None:
    worth = a_game(n, seed)
    parts = fair_parts(n, everything(n), worth)
    np.testing.assert_allclose(parts, mean_over_orders(n, everything(n), worth), atol=1e-9)
    np.testing.assert_allclose(parts.sum(axis=0), worth((1 << n) - 1) - worth(0), atol=1e-9)


@given(st.integers(0, 10**6), st.integers(0, 3), st.integers(0, 3))
@settings(max_examples=25, deadline=None)
def test_a_need_is_obeyed_in_every_order(seed: int, needy: int, needed: int) -> None:
    if needy == needed:
        return
    possible = {mask for mask in everything(4) if not mask >> needy & 1 or mask >> needed & 1}
    worth = a_game(4, seed)
    parts = fair_parts(4, possible, worth)
    np.testing.assert_allclose(parts, mean_over_orders(4, possible, worth), atol=1e-9)
    np.testing.assert_allclose(parts.sum(axis=0), worth(15) - worth(0), atol=1e-9)


def test_alone_and_last_leave_out_what_needs_each_other() -> None:
    possible = {0b00, 0b01, 0b11}  # the second needs the first
    worth = lambda mask: np.array([{0: 0.0, 1: 5.0, 3: 9.0}[mask]])  # noqa: E731
    assert (alone(1, possible, worth)[0], last(1, possible, worth)[0]) == (4.0, 4.0)
    assert (alone(0, possible, worth)[0], last(0, possible, worth)[0]) == (5.0, 5.0)


def test_steps_in_their_place_add_up_to_the_whole() -> None:
    worth = a_game(4, 7)
    parts = in_its_place((2, 0, 3, 1), lambda mask: True, worth)
    np.testing.assert_allclose(parts.sum(axis=0), worth(15) - worth(0), atol=1e-12)
    np.testing.assert_allclose(parts[2], worth(0b100) - worth(0), atol=1e-12)


def test_an_order_that_breaks_a_need_is_refused() -> None:
    with pytest.raises(OrderImpossible, match="before one that it needs"):
        in_its_place((1, 0), lambda mask: mask != 0b10, a_game(2, 1))


def test_measures_that_exclude_each_other_have_no_fair_part() -> None:
    with pytest.raises(OrderImpossible, match="cannot all be done"):
        fair_parts(2, {0, 1, 2}, a_game(2, 1))


def test_drawn_orders_come_near_the_exact_parts_within_their_stated_error() -> None:
    worth = a_game(5, 3)
    exact = fair_parts(5, everything(5), worth)
    drawn = sampled_parts(5, lambda mask: True, worth, orders=400, seed=1)
    # five standard errors: a false alarm in fifteen figures is less likely than 1e-5
    assert np.all(np.abs(drawn.parts - exact) <= 5 * drawn.standard_error + 1e-9)
    np.testing.assert_allclose(drawn.parts.sum(axis=0), worth(31) - worth(0), atol=1e-9)


def test_drawn_orders_count_alike_where_needs_bar_some_of_them() -> None:
    # of a, b, c the second needs the first: abc, acb, cab; a third of the orders begins with c
    possible = lambda mask: not mask & 0b010 or bool(mask & 0b001)  # noqa: E731
    worth = a_game(3, 11)
    exact = fair_parts(3, {mask for mask in everything(3) if possible(mask)}, worth)
    drawn = sampled_parts(3, possible, worth, orders=4000, seed=2)
    # five standard errors: a false alarm in nine figures is less likely than 1e-5
    assert np.all(np.abs(drawn.parts - exact) <= 5 * drawn.standard_error + 1e-9)
    assert drawn.standard_error.max() < 0.05  # a bias of the plain draw would show: it is 0.25 of a gain
    np.testing.assert_allclose(drawn.parts.sum(axis=0), worth(7) - worth(0), atol=1e-9)


def test_the_stated_error_is_the_spread_of_many_draws() -> None:
    worth = a_game(5, 4)
    draws = [sampled_parts(5, lambda mask: True, worth, orders=50, seed=seed) for seed in range(60)]
    spread = np.std([one.parts for one in draws], axis=0, ddof=1)
    stated = np.mean([one.standard_error for one in draws], axis=0)
    # sixty draws know their spread to about 9 % (one standard deviation)
    np.testing.assert_allclose(stated, spread, rtol=0.4)
