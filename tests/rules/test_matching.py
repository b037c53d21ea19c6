"""Two papers that should say the same."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.rules.addresses import SUFFIXES, read_address
from retrofit_desk.rules.firm_names import read_firm_name
from retrofit_desk.rules.matching import (
    FactKind,
    Readiness,
    Reading,
    compare,
    cross_check,
    read_amount,
    read_date,
    shown,
)

CODE = st.text(alphabet=string.ascii_uppercase + string.digits, min_size=3, max_size=16)
ANY_KIND = st.sampled_from(list(FactKind))


@given(ANY_KIND, st.text(max_size=30), st.text(max_size=30))
def test_comparing_never_fails_and_does_not_depend_on_the_order(kind, left, right):
    one, other = compare(kind, left, right), compare(kind, right, left)
    assert (one.same, one.near) == (other.same, other.near)
    assert not (one.same and one.near)


@given(CODE)
def test_a_serial_is_the_same_however_it_is_spaced_and_cased(code):
    assert compare(FactKind.SERIAL, code, f" {code[:2].lower()}-{code[2:]} ").same


@given(CODE, st.data())
def test_swapped_neighbors_are_told_and_never_the_same(code, data):
    i = data.draw(st.integers(0, len(code) - 2))
    if code[i] == code[i + 1]:
        return
    swapped = code[:i] + code[i + 1] + code[i] + code[i + 2 :]
    result = compare(FactKind.SERIAL, code, swapped)
    assert not result.same
    assert result.near
    assert "swapped" in result.why or "look alike" in result.why


@given(CODE, st.data())
def test_one_lost_character_is_a_near_miss(code, data):
    i = data.draw(st.integers(0, len(code) - 1))
    result = compare(FactKind.MODEL, code, code[:i] + code[i + 1 :])
    assert result.near


@pytest.mark.parametrize(
    ("left", "right", "why"),
    [
        ("GW4-O2187", "GW4 02187", '"O" and "0" look alike (character 4)'),
        ("C65B80114", "C65880114", '"B" and "8" look alike (character 4)'),
        ("HX65", "HX56", "characters 3 and 4 are swapped"),
        ("HX65", "HX67", 'one character differs ("5" and "7", character 4)'),
        ("WW-24/3", "WW-24/3-208", "the shorter one leaves out the ending"),
    ],
)
def test_near_misses_of_serials_are_explained(left, right, why):
    result = compare(FactKind.SERIAL, left, right)
    assert (result.same, result.near, result.why) == (False, True, why)


def test_two_quite_different_serials_are_no_near_miss():
    assert not compare(FactKind.SERIAL, "GW4-O2187", "77-190-2231").near


@pytest.mark.parametrize(
    ("left", "right"),
    [
        ("2218 Larkmoor Drive, Greensboro, NC 27455", "2218 LARKMOOR DR GREENSBORO NC 27455-1120"),
        ("77 N. Elm Street, Apt. 4B, Durham, North Carolina", "77 North Elm St #4b, Durham, NC"),
        ("5 Hill Street", "5 hill st."),
        ("12 Cedar Ct", "12 Cedar Court, Hartford, CT 06103"),
        ("400 SW Fern Hill Road\nGreensboro NC", "400 Southwest Fern Hill Rd, Greensboro, NC"),
    ],
)
def test_two_spellings_of_one_address_are_the_same(left, right):
    # USPS Publication 28, appendices B and C (from memory): standard abbreviations
    assert compare(FactKind.ADDRESS, left, right).same


@pytest.mark.parametrize(
    ("left", "right", "near", "why"),
    [
        ("481 Fernhill Rd", "418 Fernhill Rd", True, "swapped"),
        ("77 N Elm St, Durham, NC", "77 N Elm St Unit 4, Durham, NC", True, "unit 4 is left out"),
        ("77 N Elm St", "77 S Elm St", True, "street differs"),
        ("77 Elm St, Durham, NC 27701", "77 Elm St, Durham, NC 27710", True, "ZIP code differs"),
        ("77 Elm St, Durham, NC", "77 Elm St, Raleigh, NC", False, "city differs"),
        ("77 Elm St", "912 Larkmoor Drive", False, "house number differs"),
    ],
)
def test_addresses_that_may_be_another_home_do_not_match(left, right, near, why):
    result = compare(FactKind.ADDRESS, left, right)
    assert not result.same
    assert result.near is near
    assert why in result.why


def test_what_only_one_address_states_is_told_but_does_not_part_them():
    result = compare(FactKind.ADDRESS, "77 Elm St", "77 Elm Street, Durham, NC 27701")
    assert result.same
    assert result.why == "city and state and ZIP code on one of them only"


@given(st.sampled_from(sorted(SUFFIXES)), st.integers(1, 9999), st.sampled_from(["Fern", "Oakmere", "Tarn"]))
def test_every_street_suffix_equals_its_abbreviation(suffix, number, street):
    long, short = f"{number} {street} {suffix}", f"{number} {street.upper()} {SUFFIXES[suffix]}."
    assert read_address(long) == read_address(short)


@pytest.mark.parametrize(
    ("left", "right", "same", "near", "why"),
    [
        ("Hollin & Sons, L.L.C.", "HOLLIN AND SONS LLC", True, False, ""),
        ("Hollin Heating", "Hollin Heating LLC", False, True, 'the legal name reads "Hollin Heating LLC"'),
        ("Hollin Heating Inc", "Hollin Heating LLC", False, True, "legal form differs"),
        ("Hollin", "Hollin Heating & Cooling, LLC", False, True, "short name"),
        ("Marta Quill", "Marta J. Quill", False, True, "short name"),
        ("Marta Quill", "Marat Quill", False, True, "two letters are swapped"),
        ("Deep Run Geothermal", "DeepRun Geothermal", True, False, "with and without a space"),
        ("Hollin Heating", "Ostrow Siding", False, False, ""),
    ],
)
def test_names_of_firms_and_people(left, right, same, near, why):
    result = compare(FactKind.FIRM, left, right)
    assert (result.same, result.near) == (same, near)
    assert why in result.why


def test_a_firm_called_only_by_a_legal_form_keeps_its_word():
    assert read_firm_name("The Company") == read_firm_name("company")
    assert read_firm_name("The Company").words == ("company",)


@pytest.mark.parametrize(
    ("left", "right", "near", "why"),
    [
        ("2026-05-04", "4/5/2026", True, "day and month are swapped"),
        ("2026-05-04", "2025-05-04", True, "only the year differs"),
        ("2026-05-04", "2026-05-05", True, "1 day apart"),
        ("2026-05-04", "2026-07-19", False, "76 days apart"),
    ],
)
def test_dates_tell_how_they_differ(left, right, near, why):
    result = compare(FactKind.DATE, left, right)
    assert not result.same
    assert (result.near, result.why) == (near, why)


def test_dates_are_read_in_iso_and_us_form_and_impossible_ones_are_not():
    assert read_date("2026-05-04") == read_date("5/4/2026")
    assert read_date("2026-02-30") is None


@given(st.integers(-(10**9), 10**9))
def test_cents_of_the_record_and_dollars_of_a_paper_are_the_same_amount(cents):
    dollars = f"{'-' if cents < 0 else ''}${abs(cents) // 100:,}.{abs(cents) % 100:02d}"
    assert compare(FactKind.AMOUNT, str(cents), dollars).same
    assert read_amount(shown(FactKind.AMOUNT, str(cents))) == read_amount(str(cents))


@pytest.mark.parametrize(
    ("left", "right", "why"),
    [
        ("1245000", "$12,540.00", "two digits are swapped, 90.00 apart"),
        ("1245000", "$124.50", "the decimal point is in another place"),
        ("1245000", "$12,450.40", "0.40 apart"),
    ],
)
def test_near_misses_of_amounts_are_explained(left, right, why):
    result = compare(FactKind.AMOUNT, left, right)
    assert (result.same, result.near, result.why) == (False, True, why)


# NEED-3: serial and model compared over quote, invoice, certificate and photo
def test_one_wrong_paper_among_many_is_named():
    check = cross_check(
        FactKind.SERIAL,
        "heat pump",
        Reading("the record", "GW4-O2187"),
        [Reading("nameplate photo", "GW4O2187"), Reading("invoice", "GW4-02187")],
    )
    assert check.word is Readiness.DOES_NOT_MATCH
    assert check.near
    assert (
        check.line
        == 'the record says GW4-O2187, invoice says GW4-02187: "O" and "0" look alike (character 4)'
    )


def test_papers_alone_can_agree_or_be_too_few():
    agree = cross_check(FactKind.MODEL, "tank", None, [Reading("quote", "BT-60"), Reading("invoice", "bt60")])
    assert agree.word is Readiness.HAVE
    assert agree.line == "same on quote; invoice"
    alone = cross_check(FactKind.MODEL, "tank", None, [Reading("quote", "BT-60"), Reading("invoice", None)])
    assert alone.word is Readiness.MISSING
    none = cross_check(FactKind.MODEL, "tank", None, [Reading("invoice", None)])
    assert none.line == "no paper states the model"


def test_an_amount_that_differs_is_told_in_dollars():
    check = cross_check(
        FactKind.AMOUNT, "tank", Reading("contract", "480000"), [Reading("invoice", "512000")]
    )
    assert check.line == "contract says $4,800.00, invoice says $5,120.00: 320.00 apart"
