"""The range of a present value: its middle is the plain sum, its width follows what is unsure."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from retrofit_desk.estimate import range_over_years as ranges
from retrofit_desk.estimate.later_money import Lasting, LaterMoney, Life
from retrofit_desk.estimate.over_years import Outlook, Stake, money_over_years
from retrofit_desk.estimate.range_over_years import NetPresentRange, ranges_over_years
from retrofit_desk.values.figure import Figure

OUTLOOK = Outlook(discount_rate=Decimal("0.03"), fuel_growth=Decimal("0.01"), years=20)
FIVE_EITHER_WAY = Life(15, 10, 20, "stated")


def put_in(cost_cents: int = 2_000_000, life: Life | None = None) -> Stake:
    own = (Lasting("own", cost_cents, cost_cents, life),)
    instead = (Lasting("anyway", 300_000, 300_000, None),)
    return Stake((LaterMoney("one", own, instead),), 100_000, 120_000, 30_000)


STAKE = put_in()
SURE = Figure(150_000.0, 150_000.0, 150_000.0, "cents/year", "made", date(2026, 11, 25))
NORMAL_90 = 1.2816


def net_present_range(stake: Stake, saved: Figure, outlook: Outlook) -> NetPresentRange:
    return ranges_over_years(stake, saved, outlook).net_present


def test_with_nothing_unsure_it_is_the_net_present_value(monkeypatch: pytest.MonkeyPatch) -> None:
    # NIST Handbook 135: end-of-year flows, constant dollars
    monkeypatch.setattr(ranges, "FUEL_GROWTH_SHARE", 0.0)
    monkeypatch.setattr(ranges, "POWER_GROWTH_SHARE", 0.0)
    free = put_in(0)
    found, plain = net_present_range(free, SURE, OUTLOOK), money_over_years(free, OUTLOOK)
    # each of twenty flows is rounded to a cent in the plain sum
    assert found.low_cents == pytest.approx(plain.net_present_cents, abs=20)
    assert found.high_cents == found.low_cents
    assert found.moves == ()


def test_costs_alone_widen_it_by_their_share(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ranges, "FUEL_GROWTH_SHARE", 0.0)
    monkeypatch.setattr(ranges, "POWER_GROWTH_SHARE", 0.0)
    found = net_present_range(STAKE, SURE, OUTLOOK)
    assert found.high_cents - found.low_cents == pytest.approx(2 * NORMAL_90 * 0.10 * 2_000_000, rel=0.01)
    assert found.moves[0] == ("cost of the measures", pytest.approx(1.0, abs=0.001))


def test_the_middle_is_near_the_plain_sum_and_growth_of_prices_counts() -> None:
    saved = replace(SURE, low=120_000.0, high=180_000.0)
    found, plain = net_present_range(STAKE, saved, OUTLOOK), money_over_years(STAKE, OUTLOOK)
    width = found.high_cents - found.low_cents
    assert found.median_cents == pytest.approx(plain.net_present_cents, abs=0.1 * width)
    assert found.low_cents < found.median_cents < found.high_cents
    assert 0.0 < found.pays_share < 1.0
    shares = dict(found.moves)
    assert shares["growth of fuel prices"] > shares["growth of power prices"] > 0.0
    wider = net_present_range(STAKE, replace(saved, low=100_000.0, high=200_000.0), OUTLOOK)
    assert wider.high_cents - wider.low_cents > width


def test_the_same_question_gets_the_same_range() -> None:
    assert net_present_range(STAKE, SURE, OUTLOOK) == net_present_range(STAKE, SURE, OUTLOOK)


def test_lives_alone_widen_it_between_the_shortest_and_the_longest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ranges, "FUEL_GROWTH_SHARE", 0.0)
    monkeypatch.setattr(ranges, "POWER_GROWTH_SHARE", 0.0)
    sure = replace(ranges.TERM_FACTORS[-1], name=ranges.COST, share=0.0)
    monkeypatch.setattr(ranges, "TERM_FACTORS", (sure,))
    found = net_present_range(put_in(life=FIVE_EITHER_WAY), SURE, OUTLOOK)

    def worth(years: int) -> int:
        life = replace(FIVE_EITHER_WAY, years=years)
        return money_over_years(put_in(life=life), OUTLOOK).net_present_cents

    assert worth(10) < found.low_cents < worth(15) < found.high_cents < worth(20)
    assert found.median_cents == pytest.approx(worth(15), abs=50)  # rounded flows
    assert found.moves[0][0] == "how long things last"


def test_the_range_of_the_return_holds_the_return_of_the_plain_sum() -> None:
    saved = replace(SURE, low=120_000.0, high=180_000.0)
    found = ranges_over_years(STAKE, saved, OUTLOOK).internal
    plain = money_over_years(STAKE, OUTLOOK).internal.rate
    assert found.low is not None
    assert found.median is not None
    assert found.high is not None
    assert plain is not None
    assert found.none_share == 0.0
    assert found.low < found.median < found.high
    assert found.median == pytest.approx(plain, abs=0.1 * (found.high - found.low))


def test_with_nothing_unsure_every_draw_returns_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    # an annuity: 1.5 dollars a year for 20 years on 15.5 paid more than anyway, rebate off
    monkeypatch.setattr(ranges, "FUEL_GROWTH_SHARE", 0.0)
    monkeypatch.setattr(ranges, "POWER_GROWTH_SHARE", 0.0)
    monkeypatch.setattr(
        ranges, "TERM_FACTORS", (replace(ranges.TERM_FACTORS[-1], name=ranges.COST, share=0.0),)
    )
    flat = Outlook(discount_rate=Decimal("0.03"), years=20)
    found = ranges_over_years(STAKE, SURE, flat).internal
    assert found.low == found.median == found.high
    rate = found.low
    assert rate is not None
    annuity = (1 - (1 + rate) ** -20) / rate  # NIST Handbook 135: uniform present value
    assert annuity * 150_000 == pytest.approx(2_000_000 - 300_000 - 100_000, abs=1.0)


def test_draws_without_any_return_are_counted_and_not_told_as_zero() -> None:
    # nothing extra is paid in most draws: the flows never change sign, and no rate fits
    found = ranges_over_years(put_in(400_000), SURE, OUTLOOK).internal
    assert 0.0 < found.none_share < 1.0
    assert found.low is not None
    never = ranges_over_years(put_in(100_000), SURE, OUTLOOK).internal
    assert (never.low, never.median, never.high, never.none_share) == (None, None, None, 1.0)
