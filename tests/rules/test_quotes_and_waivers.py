"""Like-for-like prices, lawful deposits, waivers before money."""

from __future__ import annotations

from datetime import date

import pytest

from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.quotes import ScopeAnswer, ScopeLine, highest_deposit_cents, like_for_like
from retrofit_desk.rules.waivers import (
    ChainFirm,
    StagePaid,
    Waiver,
    WaiverKind,
    can_still_claim,
    waivers_before_paying,
)
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.stated import Stated, StatedValue

TABLES = Tables()
NO_GUESS = StatedValue[int](None, Stated.UNKNOWN)


def test_guesses_stand_beside_the_bid_and_a_missing_one_makes_it_at_least() -> None:
    # QUO-1: constructed
    lines = [
        ScopeLine("Pads", ScopeAnswer.INCLUDED, NO_GUESS),
        ScopeLine("Permit", ScopeAnswer.EXCLUDED, StatedValue(45_000)),
        ScopeLine("Disposal", ScopeAnswer.NOT_STATED, StatedValue(0)),
    ]
    found = like_for_like(StatedValue(1_700_000), lines)
    assert (found.price_cents, found.added_cents, found.is_at_least) == (1_745_000, 45_000, False)
    unknown = like_for_like(
        StatedValue(1_700_000), [*lines, ScopeLine("Wall repair", ScopeAnswer.NOT_STATED, NO_GUESS)]
    )
    assert unknown.words == "at least $17,450.00"
    assert unknown.bid_cents.value == 1_700_000
    assert like_for_like(StatedValue(None, Stated.NOT_STATED), lines).words == "no price"


@pytest.mark.parametrize(
    ("state", "price", "special", "deposit"),
    [
        ("CA", 800, None, 80),  # QUO-2: Cal. B&P 7159.5(a)(3), license board bulletin 22-14
        ("CA", 5000, None, 500),
        ("CA", 8000, None, 800),
        ("CA", 15000, None, 1000),
        ("CA", 50000, None, 1000),
        ("MD", 15000, None, 5000),  # QUO-3: Md. Bus. Reg. 8-617
        ("MA", 15000, 6200, 6200),  # QUO-4: M.G.L. c. 142A s. 2
        ("PA", 15000, 6200, 11200),  # QUO-5: PA home improvement act (second-hand)
    ],
)
def test_the_highest_lawful_deposit(state: str, price: int, special: int | None, deposit: int) -> None:
    limit = next(one for one in TABLES.deposit_limits if one.state == state)
    special_cents = None if special is None else special * 100
    assert highest_deposit_cents(limit, price * 100, special_cents) == deposit * 100


def test_a_deposit_that_turns_on_special_orders_is_not_guessed() -> None:
    limit = next(one for one in TABLES.deposit_limits if one.state == "MA")
    with pytest.raises(CannotSay, match="special-order"):
        highest_deposit_cents(limit, 1_500_000)
    small = next(one for one in TABLES.deposit_limits if one.state == "PA")
    assert highest_deposit_cents(small, 400_000, 0) is None


MAIN = ChainFirm("main", "Main Heat", is_main=True)
SUPPLIER = ChainFirm("pipe", "Pipe Supply", gave_notice=True)
QUIET = ChainFirm("quiet", "Quiet Sub")
DAY = date(2026, 5, 1)


def waiver(firm: str, stage: str, kind: WaiverKind) -> Waiver:
    return Waiver(firm, stage, kind, is_signed=True, through_on=DAY)


def test_money_follows_the_waivers() -> None:
    # QUO-6: constructed; Cal. Civ. Code 8124, 8132-8138
    firms = (MAIN, SUPPLIER, QUIET)
    first = waivers_before_paying("one", is_final=False, firms=firms, waivers=[])
    assert len(first) == 2
    conditional = [waiver(one.key, "one", WaiverKind.CONDITIONAL_PROGRESS) for one in (MAIN, SUPPLIER)]
    assert waivers_before_paying("one", is_final=False, firms=firms, waivers=conditional) == ()
    last = [waiver(one.key, "last", WaiverKind.CONDITIONAL_FINAL) for one in (MAIN, SUPPLIER)]
    cleared = [StagePaid("one", cleared=True)]
    blocked = waivers_before_paying(
        "last", is_final=True, firms=firms, waivers=[*conditional, *last], paid_before=cleared
    )
    assert len(blocked) == 2
    for missing, firm in zip(blocked, ("Main Heat", "Pipe Supply"), strict=True):
        assert firm in missing
        assert "unconditional" in missing
    whole = [waiver(one.key, "one", WaiverKind.UNCONDITIONAL_PROGRESS) for one in (MAIN, SUPPLIER)]
    done = [*conditional, *last, *whole]
    assert waivers_before_paying("last", is_final=True, firms=firms, waivers=done, paid_before=cleared) == ()
    assert can_still_claim(firms, done) == (MAIN, SUPPLIER)


def test_an_unsigned_waiver_or_one_without_its_day_is_none() -> None:
    unsigned = Waiver("main", "one", WaiverKind.CONDITIONAL_PROGRESS, is_signed=False, through_on=DAY)
    undated = Waiver("main", "one", WaiverKind.CONDITIONAL_PROGRESS, is_signed=True)
    for one in (unsigned, undated):
        assert waivers_before_paying("one", is_final=False, firms=[MAIN], waivers=[one])


def test_the_four_statutory_forms() -> None:
    # QUO-6: Cal. Civ. Code 8132, 8134, 8136, 8138 (2023)
    forms = {one.kind: one.statute for one in TABLES.waiver_forms if one.state == "CA"}
    assert forms[WaiverKind.CONDITIONAL_PROGRESS].endswith("8132")
    assert forms[WaiverKind.UNCONDITIONAL_FINAL].endswith("8138")
    assert len(forms) == 4
