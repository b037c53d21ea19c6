"""One list of what can be done, what must wait, what is with others and what runs out."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.equipment import EquipmentStatus
from retrofit_desk.records.project import Project
from retrofit_desk.rules.permits import InspectionResult
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.at_hand import AtHand, AtHandService
from retrofit_desk.services.heat_watch import HeatWatchService
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.steps import StepService, StepUnclear
from retrofit_desk.services.visits import VisitResult, VisitService
from retrofit_desk.values.place import PageKey

TODAY = date(2026, 11, 20)


def look(project: Project) -> AtHand:
    return AtHandService(project).look()


def ready(project: Project) -> list[str]:
    return [one.title for one in look(project).ready]


def test_what_presses_most_comes_first(sample_project: Project) -> None:
    lines = look(sample_project).ready
    assert [one.title for one in lines[:3]] == [
        "Be ready for: Tubing before the pour, den",
        "Choose the firm for the south glass",
        "Be ready for: Electrical final, range",
    ]
    assert [one.presses_in_days for one in lines] == sorted(one.presses_in_days for one in lines)


def test_a_booked_visit_says_what_to_have_at_the_door(sample_project: Project) -> None:
    visit = look(sample_project).ready[0]
    assert "Booked for Monday, Nov 23, 2026, 8 to 12." in visit.why
    assert "Gauge on at 100 psi for 30 minutes" in visit.why
    assert (visit.place.page, visit.place.kind) == (PageKey.PERMITS, "inspection")


def test_what_waits_for_a_step_or_a_hold_is_not_ready(sample_project: Project) -> None:
    titles = ready(sample_project)
    assert "Pour the den floor" not in titles
    assert "Heat pump circuit" not in titles
    StepService(sample_project).finish(
        next(one for one in look(sample_project).with_others if one.what.startswith("Plate value")).task_id
        or 0
    )
    assert "Heat pump circuit" in ready(sample_project)


def test_a_step_not_before_a_day_is_not_ready_until_then(sample_project: Project) -> None:
    assert "Ask Haw Bend for the cut-off date" not in ready(sample_project)
    with sample_project.action("Three days pass") as work:
        site = work.session.get(m.Site, 1)
        assert site is not None
        site.story_date = date(2026, 11, 23)
    assert "Ask Haw Bend for the cut-off date" in ready(sample_project)


def test_a_visit_whose_day_is_over_asks_for_its_result(sample_project: Project) -> None:
    with sample_project.action("A week passes") as work:
        site = work.session.get(m.Site, 1)
        assert site is not None
        site.story_date = date(2026, 11, 25)
    lines = {one.title: one for one in look(sample_project).ready}
    assert lines["Record the result: Tubing before the pour, den"].is_late


def test_every_blocking_hold_is_there_in_the_order_of_its_step(sample_project: Project) -> None:
    sentences = [one.sentence for one in look(sample_project).not_yet]
    blocking = HoldService(sample_project).blocking()
    assert {one.sentence for one in blocking} <= set(sentences)
    assert sentences[0].startswith("Not yet: don't cover the boards on the east side until")
    furnace = next(number for number, one in enumerate(sentences) if "gas furnace" in one)
    den = next(number for number, one in enumerate(sentences) if "den north wall" in one)
    assert den < furnace


def test_a_visit_that_may_not_be_booked_yet_says_what_comes_first(sample_project: Project) -> None:
    fixes = next(one for one in look(sample_project).ready if one.title.startswith("Close the two"))
    assert fixes.task_id is not None
    StepService(sample_project).finish(fixes.task_id)
    sentence = "don't book Rough electrical, den, second visit until these are put right: Box fill exceeded"
    assert any(sentence in one.sentence for one in look(sample_project).not_yet)


def test_who_is_to_be_asked_again_comes_first_with_a_message(sample_project: Project) -> None:
    found = look(sample_project)
    first = found.with_others[0]
    assert (first.what, first.with_whom) == ("Final waiver of Pennant Hill", "Pennant Hill Plumbing")
    assert first.is_due(found.today)
    assert "since Oct 26, 2026" in first.message
    assert "Maren Hollowell\n218 Quillback Lane, Greensboro\n336-555-0118" in first.message
    days = [one.ask_again_on for one in found.with_others]
    assert days == sorted(days)


def test_an_answer_is_noted_and_moves_the_next_asking(sample_project: Project) -> None:
    wait = look(sample_project).with_others[0]
    assert wait.task_id is not None
    later = date(2026, 12, 1)
    StepService(sample_project).note_contact(wait.task_id, "It is in the mail", later)
    moved = next(one for one in look(sample_project).with_others if one.task_id == wait.task_id)
    assert (moved.ask_again_on, moved.last_said) == (later, "Nov 20, 2026: It is in the mail")
    with pytest.raises(StepUnclear):
        StepService(sample_project).note_contact(wait.task_id, "  ", later)


def test_one_wait_is_told_once_though_permit_and_step_both_know_it(sample_project: Project) -> None:
    solar = [one for one in look(sample_project).with_others if "Solar permit" in one.what]
    assert len(solar) == 1


def test_what_runs_out_is_told_from_quotes_to_permits(sample_project: Project) -> None:
    ends = look(sample_project).runs_out
    kinds = {str(one.seen.ending.kind) for one in ends}
    assert kinds >= {
        "quote",
        "insurance",
        "license",
        "claim by",
        "reservation",
        "permit",
        "warranty registration",
    }
    assert [one.seen.days_left for one in ends] == sorted(one.seen.days_left for one in ends)
    claim = next(one for one in ends if str(one.seen.ending.kind) == "claim by")
    assert (claim.seen.ending.ends_on, claim.needs_owner) == (date(2026, 12, 8), True)


def test_an_accepted_quote_no_longer_runs_out(sample_project: Project) -> None:
    before = [one for one in look(sample_project).runs_out if "South glass" in one.seen.ending.what]
    assert len(before) == 3
    with sample_project.action("Accept one") as work:
        quote = work.session.get(m.Quote, before[0].place.item)
        assert quote is not None
        quote.state = m.QuoteState.ACCEPTED
    assert not [one for one in look(sample_project).runs_out if "South glass" in one.seen.ending.what]


def test_a_renewed_insurance_is_quiet(sample_project: Project) -> None:
    with sample_project.action("File the new certificate") as work:
        firm = next(one for one in work.session.query(m.Firm) if one.name == "Brindle Carpentry")
        old = firm.insurance[0]
        firm.insurance.append(
            m.Insurance(kind=old.kind, starts_on=date(2026, 11, 29), ends_on=date(2027, 11, 29))
        )
    ends = [one.seen.ending.what for one in look(sample_project).runs_out]
    assert "Insurance of Brindle Carpentry, liability" not in ends


def test_a_passed_visit_leaves_the_list(sample_project: Project) -> None:
    visit = look(sample_project).ready[0].place.item
    assert visit is not None
    VisitService(sample_project).record_result(visit, VisitResult(TODAY, InspectionResult.PASSED))
    assert "Be ready for: Tubing before the pour, den" not in ready(sample_project)


def test_the_plan_has_no_gap_while_the_furnace_stays_until_the_heat_pump_runs(
    sample_project: Project,
) -> None:
    watch = HeatWatchService(sample_project).look()
    assert watch.gaps == ()
    assert "Gas furnace until it goes on Jan 14, 2027" in watch.heat
    assert "Ground-source heat pump, water to water from Dec 31, 2026, if its tests pass" in watch.heat


def test_a_furnace_gone_in_winter_is_a_heat_gap_with_the_heat_that_would_be_enough(
    sample_project: Project,
) -> None:
    with sample_project.action("The furnace dies") as work:
        furnace = next(one for one in work.session.query(m.Equipment) if one.key == "furnace")
        furnace.status, furnace.removed_on = EquipmentStatus.REMOVED, TODAY
    (gap,) = HeatWatchService(sample_project).look().gaps
    assert gap.is_heat
    assert gap.days == 41  # Nov 20 to Dec 30: the heat pump is planned to run on Dec 31
    assert "heat gap of 41 days from Nov 20, 2026" in gap.sentence
    assert gap.coldest_c is not None
    assert gap.temporary_heat_w is not None
    assert -15 < gap.coldest_c < 0
    assert 5_000 < gap.temporary_heat_w < 25_000


def test_an_untested_water_heater_makes_no_hot_water(sample_project: Project) -> None:
    with sample_project.action("Its test is withdrawn") as work:
        heater = next(one for one in work.session.query(m.Equipment) if one.key == "heat-pump-water-heater")
        heater.status, heater.tested_on = EquipmentStatus.NOT_YET_RUNNING, None
    (gap,) = HeatWatchService(sample_project).look().gaps
    assert not gap.is_heat
    assert "hot-water gap" in gap.sentence


def test_how_long_a_supplier_may_still_claim_runs_out_at_hand(sample_project: Project) -> None:
    # NEED-20; N.C. Gen. Stat. 44A-12(b), from memory: 120 days after the last labor or material
    lines = AtHandService(sample_project).look().runs_out
    (yard,) = [one for one in lines if "Linden Yard Supply" in one.seen.ending.what]
    assert yard.seen.ending.ends_on == date(2026, 10, 28) + timedelta(days=120)
    with sample_project.action("The final waiver is in") as work:
        party = work.session.scalars(
            select(m.ChainParty).where(m.ChainParty.name == "Linden Yard Supply")
        ).one()
        waiver = m.LienWaiver(
            party_id=party.id, kind=WaiverKind.UNCONDITIONAL_FINAL, signed_on=date(2026, 11, 19)
        )
        party.contract.waivers.append(waiver)
    again = AtHandService(sample_project).look().runs_out
    assert not any("Linden Yard Supply" in one.seen.ending.what for one in again)
