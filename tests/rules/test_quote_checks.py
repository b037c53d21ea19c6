"""What is open about a quote, as pure rules."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.rules.invoices import BillFacts, invoice_points
from retrofit_desk.rules.quote_checks import (
    Listing,
    Proof,
    ScopeFact,
    SizeFacts,
    capacity_percent,
    deposit_points,
    listing_points,
    proof_points,
    scope_points,
    size_points,
    validity_points,
)
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.values.stated import Stated, StatedValue

SIGNING = date(2026, 11, 20)
NOT_STATED_W: StatedValue[float] = StatedValue(None, Stated.NOT_STATED)


def a_size(
    capacity_w: StatedValue[float] = NOT_STATED_W,
    at_c: float | None = None,
    firm_load_w: StatedValue[float] = NOT_STATED_W,
    newer: str = "",
) -> SizeFacts:
    return SizeFacts(
        capacity_w, at_c, firm_load_w, "", "after the attic", True, 8700.0, -7.0, "after the attic", newer
    )


def test_a_license_counts_on_the_day_of_signing_only() -> None:
    until = date(2026, 12, 31)
    license_ = [Proof("License H-1", date(2026, 1, 1), until, date(2026, 7, 1))]
    assert not proof_points("license", license_, until)[0].needs_owner
    (late,) = proof_points("license", license_, date(2027, 1, 1))
    assert late.needs_owner
    assert "ran out Dec 31, 2026" in late.text
    (early,) = proof_points("license", license_, date(2025, 12, 31))
    assert early.needs_owner
    (none,) = proof_points("liability insurance", [], SIGNING)
    assert none.text == "No liability insurance on record."


def test_the_longest_of_several_proofs_is_told() -> None:
    proofs = [Proof("Old", None, date(2026, 12, 1)), Proof("New", None, date(2027, 12, 1))]
    (point,) = proof_points("license", proofs, SIGNING)
    assert point.text.startswith("New")


def test_a_capacity_at_another_temperature_is_not_compared_with_the_load() -> None:
    # NEED-5: capacity at the design temperature, not at the catalog's
    assert capacity_percent(a_size(StatedValue(17600.0), 0.0)) is None
    (point, *_rest) = size_points(a_size(StatedValue(17600.0), 0.0))
    assert "another temperature" in point.text
    assert capacity_percent(a_size(StatedValue(9200.0), -7.0)) == 106


@pytest.mark.parametrize(
    ("capacity_w", "words", "needs_owner"),
    [(8000.0, "too little", True), (9200.0, "fits", False), (12300.0, "far more", True)],
)
def test_a_machine_outside_the_band_is_warned_about(capacity_w: float, words: str, needs_owner: bool) -> None:
    # NEED-7: band of capacity over load, common practice, no source
    point = size_points(a_size(StatedValue(capacity_w), -7.0))[0]
    assert words in point.text
    assert point.needs_owner is needs_owner


def test_a_quote_for_an_older_load_is_marked_out_of_date() -> None:
    # NEED-8
    points = size_points(a_size(StatedValue(9200.0), -7.0, StatedValue(8600.0), newer="with new windows"))
    assert any("out of date" in point.text and point.needs_owner for point in points)


def test_a_load_far_from_ones_own_is_asked_about() -> None:
    points = size_points(a_size(StatedValue(9200.0), -7.0, StatedValue(10400.0)))
    assert any("120%" in point.text and point.question for point in points)


def test_what_is_not_stated_becomes_a_question_and_what_has_no_guess_a_warning() -> None:
    # NEED-6
    lines = [
        ScopeFact("Permits", ScopeAnswer.NOT_STATED, has_guess=True),
        ScopeFact("Disposal", ScopeAnswer.EXCLUDED, has_guess=False),
        ScopeFact("Start-up sheet", ScopeAnswer.INCLUDED, has_guess=False),
    ]
    points = scope_points(lines)
    assert [point.question for point in points if point.question] == [
        "Is this in the price: Permits? If not, what does it cost?"
    ]
    assert [point.text for point in points if point.needs_owner] == [
        "No guess of yours for Disposal: the like-for-like price is only a lower bound."
    ]


def test_unseen_unlisted_and_lapsed_listings_are_three_warnings_and_a_good_one_is_none() -> None:
    # NEED-4
    seen = date(2026, 6, 28)
    points = listing_points(
        [
            Listing("Fund A", None),
            Listing("Fund B", is_listed=False, checked_on=seen),
            Listing("Fund C", is_listed=True, checked_on=seen, ends_on=date(2026, 10, 1)),
            Listing("Fund D", is_listed=True, checked_on=seen),
        ],
        SIGNING,
    )
    assert [point.needs_owner for point in points] == [True, True, True, False]


def test_a_deposit_above_the_limit_of_the_state_is_told_with_its_rule() -> None:
    # QUO-2: Cal. Bus. & Prof. Code 7159.5(a)(3): at most $1,000
    (point,) = deposit_points(StatedValue(150_000), StatedValue(1_500_000), 100_000, "At most $1,000.")
    assert point.needs_owner
    assert "10% of the price" in point.text
    assert not deposit_points(StatedValue(100_000), StatedValue(1_500_000), 100_000, "")[0].needs_owner


def test_a_price_that_ran_out_needs_the_owner_until_the_quote_is_settled() -> None:
    assert validity_points(date(2026, 11, 19), SIGNING, is_settled=False)[0].needs_owner
    assert validity_points(date(2026, 11, 19), SIGNING, is_settled=True) == ()
    assert validity_points(None, SIGNING, is_settled=False)[0].question


def a_bill(amount_cents: int, **facts: object) -> BillFacts:
    made: dict[str, object] = {
        "amount_cents": amount_cents,
        "retained_cents": 0,
        "parts_cents": (),
        "stage_cents": None,
        "signed_changes_cents": 0,
        "contract_cents": None,
        "billed_before_cents": 0,
        "retainage_cents": 0,
    }
    return BillFacts(**(made | facts))  # type: ignore[arg-type]


def test_a_bill_above_its_stage_agrees_only_with_signed_change_orders() -> None:
    assert invoice_points(a_bill(755_000, stage_cents=700_000, signed_changes_cents=55_000)) == ()
    (point,) = invoice_points(a_bill(755_000, stage_cents=700_000))
    assert "$550.00 above its stage" in point


def test_a_bill_holds_back_what_the_contract_says() -> None:
    assert invoice_points(a_bill(1_506_750, retained_cents=75_338, retainage_cents=75_338)) == ()
    assert "it would be $753.38" in invoice_points(a_bill(1_506_750, retainage_cents=75_338))[0]


@given(st.integers(1, 10**7), st.integers(0, 10**7), st.integers(0, 10**7))
def test_bills_over_the_contract_are_told_to_the_cent(amount: int, before: int, contract: int) -> None:
    points = invoice_points(a_bill(amount, contract_cents=contract, billed_before_cents=before))
    assert bool(points) is (before + amount > contract)
