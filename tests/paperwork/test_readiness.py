"""What a packet needs against what is filed."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.paperwork.file_names import upload_name
from retrofit_desk.paperwork.needs import Need, Per, needs_of
from retrofit_desk.paperwork.readiness import Fact, FiledPaper, Subject, counts, readiness_of
from retrofit_desk.records.models.papers import PaperKind
from retrofit_desk.rules.matching import FactKind, Readiness

TODAY = date(2026, 11, 20)
HOUSE = Subject(
    "",
    "",
    "Larkmoor house",
    (Fact(FactKind.ADDRESS, "2218 Larkmoor Drive, Greensboro, NC 27455"), Fact(FactKind.NAME, "Marta Quill")),
)
PUMP = Subject(
    "heat-pump",
    "ground_source_heat_pump",
    "Heat pump",
    (
        Fact(FactKind.SERIAL, "GW4-O2187"),
        Fact(FactKind.MODEL, "WW-24/3"),
        Fact(FactKind.FIRM, "Deep Run LLC"),
    ),
    record_id=7,
)


def need(label="Invoice", per=Per.MEASURE, papers=("invoice",), **more):
    words = {"do": "Ask the firm.", "source": "", "confidence": ""}
    return Need(PacketKind.REBATE, label.lower(), label, per, papers, **(words | more))


def invoice(*facts, **more):
    return FiledPaper(
        "Invoice 4471", "invoice", date(2026, 10, 21), about=frozenset({"heat-pump"}), facts=facts, **more
    )


def lines(needs, *papers):
    return {line.need: line for line in readiness_of(needs, HOUSE, [PUMP], papers, TODAY)}


def test_a_paper_that_is_not_filed_is_missing_and_says_what_to_do():
    line = lines([need()])["Invoice, Heat pump"]
    assert (line.word, line.do) == (Readiness.MISSING, "Ask the firm.")
    assert line.place.item == 7


def test_a_filed_paper_is_had_and_named():
    line = lines([need()], invoice())["Invoice, Heat pump"]
    assert (line.word, line.found) == (Readiness.HAVE, "Invoice 4471, Oct 21, 2026")


def test_a_paper_of_another_measure_does_not_answer():
    other = FiledPaper("Invoice 12", "invoice", about=frozenset({"siding"}))
    assert lines([need()], other)["Invoice, Heat pump"].word is Readiness.MISSING


# NEED-3: stale income proof
@pytest.mark.parametrize(
    ("dated", "word"),
    [
        (date(2026, 8, 22), Readiness.HAVE),  # 90 days before
        (date(2026, 8, 21), Readiness.OUT_OF_DATE),
        (None, Readiness.OUT_OF_DATE),
    ],
)
def test_an_income_proof_grows_too_old(dated, word):
    wanted = need("Income", Per.PROJECT, ("income proof",), max_age_days=90)
    assert lines([wanted], FiledPaper("Tax return", "income proof", dated))["Income"].word is word


def test_a_license_that_ran_out_is_out_of_date_until_a_new_one_is_filed():
    wanted = need("License", papers=("license",))
    old = FiledPaper("License 2025", "license", ends_on=date(2026, 11, 19), about=frozenset({"heat-pump"}))
    new = FiledPaper("License 2026", "license", ends_on=date(2027, 11, 19), about=frozenset({"heat-pump"}))
    assert lines([wanted], old)["License, Heat pump"].word is Readiness.OUT_OF_DATE
    assert lines([wanted], old, new)["License, Heat pump"].word is Readiness.HAVE


def test_an_o_for_a_zero_is_found_between_record_and_invoice():
    line = lines([need(match=(FactKind.SERIAL,))], invoice(Fact(FactKind.SERIAL, "GW4-02187")))[
        "Serial number, Heat pump"
    ]
    assert line.word is Readiness.DOES_NOT_MATCH
    assert '"O" and "0" look alike' in line.found
    assert line.do.startswith("A slip is likely")


def test_an_invoice_that_does_not_state_the_serial_is_told():
    line = lines([need(match=(FactKind.SERIAL,))], invoice())["Serial number, Heat pump"]
    assert (line.word, line.found) == (Readiness.MISSING, "not stated on Invoice 4471")


def test_of_several_serials_on_one_paper_the_fitting_one_is_taken():
    filed = invoice(Fact(FactKind.SERIAL, "77-190-2231"), Fact(FactKind.SERIAL, "gw4 o2187"))
    assert lines([need(match=(FactKind.SERIAL,))], filed)["Serial number, Heat pump"].word is Readiness.HAVE


def test_a_labeled_serial_is_compared_with_its_own_label():
    split = Subject("s", "air_source_heat_pump", "Split", (Fact(FactKind.SERIAL, "A100", "outdoor"),))
    filed = FiledPaper(
        "Invoice",
        "invoice",
        about=frozenset({"s"}),
        facts=(Fact(FactKind.SERIAL, "A100", "indoor"), Fact(FactKind.SERIAL, "B100", "outdoor")),
    )
    found = readiness_of([need(match=(FactKind.SERIAL,))], HOUSE, [split], [filed], TODAY)
    assert found[1].need == "Serial number (outdoor), Split"
    assert found[1].word is Readiness.DOES_NOT_MATCH


def test_the_owners_address_is_compared_for_every_measure():
    filed = invoice(Fact(FactKind.ADDRESS, "2281 Larkmoor Dr, Greensboro NC 27455"))
    line = lines([need(match=(FactKind.ADDRESS,))], filed)["Address, Heat pump"]
    assert line.word is Readiness.DOES_NOT_MATCH
    assert "swapped" in line.found


def test_a_firms_short_name_on_an_invoice_does_not_match_its_legal_name():
    line = lines([need(match=(FactKind.FIRM,))], invoice(Fact(FactKind.FIRM, "Deep Run")))
    assert line["Firm's legal name, Heat pump"].word is Readiness.DOES_NOT_MATCH


def test_only_a_photo_that_shows_the_serial_is_a_nameplate():
    wanted = need("Nameplate", papers=("photo",), states=(FactKind.SERIAL,))
    wall = FiledPaper("Wall", "photo", about=frozenset({"heat-pump"}))
    plate = FiledPaper("Plate", "photo", about=frozenset({"heat-pump"}), facts=(Fact(FactKind.SERIAL, "X1"),))
    assert lines([wanted], wall)["Nameplate, Heat pump"].word is Readiness.MISSING
    assert lines([wanted], wall, plate)["Nameplate, Heat pump"].found == "Plate"


def test_all_four_words_can_stand_in_one_packet():
    needs = [
        need(match=(FactKind.SERIAL,)),
        need("License", papers=("license",)),
        need("Permit", papers=("permit",)),
    ]
    gone = FiledPaper("License", "license", ends_on=date(2026, 1, 1), about=frozenset({"heat-pump"}))
    found = readiness_of(needs, HOUSE, [PUMP], [invoice(Fact(FactKind.SERIAL, "ZZZ")), gone], TODAY)
    assert set(counts(found).values()) == {1}


@pytest.mark.parametrize("kind", list(PacketKind))
def test_the_shipped_needs_speak_the_words_of_the_record(kind):
    needs = needs_of(kind)
    assert needs
    assert all(set(one.paper_kinds) <= {paper.value for paper in PaperKind} for one in needs)
    assert all(one.do and one.source and one.confidence for one in needs)
    assert len({one.key for one in needs}) == len(needs)


# REB-12: federal 50122 reporting schema, files part: 2 to 64 characters of ^[0-9a-zA-Z\-.\(\)_ ]+$
@given(st.text(max_size=120))
def test_any_title_becomes_a_name_that_upload_forms_accept(title):
    name = upload_name(title, ".pdf")
    assert re.fullmatch(r"[0-9a-zA-Z\-.()_ ]{2,64}", name)
    assert name.endswith(".pdf")
