"""What the Worth page says a sum rests on."""

from __future__ import annotations

from dataclasses import replace

from retrofit_desk.desk.pages.worth_answer_words import rests_on
from retrofit_desk.estimate.from_records import ASSUMED
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import WorthService


def test_a_fuel_without_a_tariff_is_named_where_the_sum_rests(sample_project: Project) -> None:
    found = WorthService(sample_project).latest()
    assert found is not None
    assert "No tariff" not in rests_on(found).why
    power = tuple(bill for bill in found.before.bills if bill.fuel == "electricity")
    told = rests_on(replace(found, before=replace(found.before, bills=power))).why
    assert "No tariff is recorded for gas: neither bills nor carbon count it." in told


def test_what_the_record_does_not_tell_stands_among_the_sources(sample_project: Project) -> None:
    told = {line.subject: line.source for line in WorthService(sample_project).asked().sources}
    for what, origin in ASSUMED:
        assert told[f"assumed of {what}"] == origin
    assert "eGRID" in told["lost in the lines: 5.1%"]
