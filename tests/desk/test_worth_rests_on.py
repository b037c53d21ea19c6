"""What the Worth page says a sum rests on."""

from __future__ import annotations

from dataclasses import replace

from retrofit_desk.desk.pages.worth_answer_words import rests_on
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import WorthService


def test_a_fuel_without_a_tariff_is_named_where_the_sum_rests(sample_project: Project) -> None:
    found = WorthService(sample_project).latest()
    assert found is not None
    assert "No tariff" not in rests_on(found).why
    power = tuple(bill for bill in found.before.bills if bill.fuel == "electricity")
    told = rests_on(replace(found, before=replace(found.before, bills=power))).why
    assert "No tariff is recorded for gas: neither bills nor carbon count it." in told
