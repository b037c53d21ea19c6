"""What runs out, and days without heat or hot water."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.rules.days_off import Holiday
from retrofit_desk.rules.deadlines import Ending, EndKind, Urgency, cancel_until, lien_window_ends, runs_out
from retrofit_desk.rules.gaps import (
    Source,
    Span,
    heat_gaps,
    heating_months,
    heating_spans,
    hot_water_gaps,
)

TODAY = date(2026, 11, 20)
WINTER = heating_spans(date(2026, 11, 20), date(2027, 6, 30), (11, 12, 1, 2, 3, 4))


def test_the_soonest_end_comes_first_and_what_is_settled_is_quiet() -> None:
    # QUO-7: expiries to track
    endings = [
        Ending(EndKind.RESERVATION, "Reservation 12", TODAY + timedelta(days=41), TODAY - timedelta(days=41)),
        Ending(EndKind.INSURANCE, "Insurance of Brindle", TODAY + timedelta(days=9)),
        Ending(EndKind.QUOTE, "Quote 7", TODAY - timedelta(days=2)),
        Ending(EndKind.CLAIM_BY, "Claim 3", TODAY + timedelta(days=5), settled_on=TODAY),
    ]
    found = runs_out(endings, TODAY)
    assert [one.ending.what for one in found] == ["Quote 7", "Insurance of Brindle", "Reservation 12"]
    assert [one.urgency for one in found] == [Urgency.OVER, Urgency.SOON, Urgency.LATER]
    assert found[2].share_left == 0.5
    assert found[0].sentence == "Quote 7 ran out 2 days ago, Nov 18, 2026."
    assert len(runs_out(endings, TODAY, within_days=30)) == 2


def test_a_sale_at_home_can_be_canceled_for_three_business_days() -> None:
    # 16 CFR 429 (from memory): Saturdays count, Sundays and holidays do not
    thanksgiving = Holiday("Thanksgiving Day", 11, weekday=3, nth=4)
    assert cancel_until(date(2026, 11, 20), [thanksgiving]) == date(2026, 11, 24)
    assert cancel_until(date(2026, 11, 25), [thanksgiving]) == date(2026, 11, 30)
    # the fourth of July 2026 is a Saturday and does not count; the Friday on which offices keep it does
    assert cancel_until(date(2026, 7, 1), [Holiday("Independence Day", 7, 4)]) == date(2026, 7, 6)
    # over the turn of the year
    assert cancel_until(date(2026, 12, 30), [Holiday("New Year's Day", 1, 1)]) == date(2027, 1, 4)


def test_a_lien_window_without_its_rule_is_unknown() -> None:
    assert lien_window_ends(date(2026, 9, 1), 90) == date(2026, 11, 30)
    assert lien_window_ends(date(2026, 9, 1), None) is None
    assert lien_window_ends(None, 90) is None


FURNACE = Source("furnace", date(2010, 1, 1))
HEAT_PUMP = Source("heat pump", None)


def test_an_untested_heat_pump_does_not_let_the_furnace_go() -> None:
    # NEED-13: never without heat between removal of the old and proof of the new
    gone = replace(FURNACE, gone_on=date(2026, 12, 1))
    gaps = heat_gaps([gone, HEAT_PUMP], WINTER)
    assert len(gaps) == 1
    assert gaps[0].span == Span(date(2026, 12, 1), date(2027, 4, 30))
    assert "not tested yet: heat pump" in gaps[0].sentence
    tested = Source("heat pump", date(2026, 11, 30))
    assert heat_gaps([gone, tested], WINTER) == ()


def test_a_gap_in_summer_is_no_heat_gap() -> None:
    gone = Source("furnace", date(2010, 1, 1), date(2027, 5, 10))
    assert heat_gaps([gone], WINTER) == ()
    assert hot_water_gaps([gone], [Span(date(2027, 5, 1), date(2027, 5, 31))])[0].span.days == 22


def test_a_source_too_small_for_the_design_day_does_not_count() -> None:
    small = Source("space heater", date(2026, 1, 1), is_enough=False)
    assert heat_gaps([small], WINTER)


def test_heating_months_follow_the_climate() -> None:
    means = [4.0, 6.0, 10.0, 15.0, 19.0, 23.5, 25.5, 25.0, 21.0, 15.0, 9.5, 5.0]
    assert heating_months(means, 15.5) == (1, 2, 3, 4, 10, 11, 12)


@given(st.lists(st.tuples(st.integers(0, 200), st.integers(0, 200)), max_size=5))
def test_a_day_is_in_a_gap_exactly_when_no_source_covers_it(spans: list[tuple[int, int]]) -> None:
    start = date(2026, 10, 1)
    days = [start + timedelta(days=at) for at in range(200)]
    sources = [Source("s", days[a] if a < 200 else None, start + timedelta(days=b)) for a, b in spans]
    gaps = heat_gaps(sources, [Span(days[0], days[-1])])
    in_gap = {gap.span.first + timedelta(days=at) for gap in gaps for at in range(gap.span.days)}
    for day in days:
        running = any(s.running_from and s.gone_on and s.running_from <= day < s.gone_on for s in sources)
        assert (day in in_gap) is not running
