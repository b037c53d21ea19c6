"""Choosing programmes, and what their offices answered."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.programme_amounts import WorkDates, WorkFacts, WorkItem
from retrofit_desk.rules.programme_checks import Met, checks
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.packets import PacketKind, PacketService
from retrofit_desk.services.programme_entry import (
    ClaimState,
    ProgrammeEntryService,
    RebateUnclear,
    ReservationState,
    WrittenClaim,
    WrittenFall,
    WrittenRebate,
    WrittenReservation,
)
from retrofit_desk.services.programmes import ProgrammeLine, ProgrammeService
from retrofit_desk.values.stated import Stated, StatedValue

TODAY = date(2026, 11, 20)


def offered(project: Project, key: str) -> ProgrammeLine:
    lines = ProgrammeService(project).view().could_apply
    return next(one for one in lines if one.programme_key == key and one.measure_id is not None)


def chosen(project: Project, choice_id: int) -> ProgrammeLine:
    lines = ProgrammeService(project).view().chosen
    return next(one for one in lines if one.rebate is not None and one.rebate.choice_id == choice_id)


def choose(project: Project, key: str) -> int:
    line = offered(project, key)
    assert line.measure_id is not None
    return ProgrammeEntryService(project).choose(line.measure_id, key, StatedValue(100_00))


def lose_the_reservation(project: Project) -> None:
    """Carraway takes the reservation for the ground heat back."""
    with project.session() as session:
        key = m.ProgrammeChoice.programme_key == "carraway-ground-heat"
        choice = session.scalars(select(m.ProgrammeChoice.id).where(key)).one()
    told = WrittenFall(ReservationState.DECLINED, TODAY, "The machine is not on the list")
    ProgrammeEntryService(project).record_fall(choice, told)


def test_a_programme_chosen_and_dropped_is_one_undo_step_each(sample_project: Project) -> None:
    before = ProgrammeService(sample_project).view()
    choice = choose(sample_project, "federal-25c")
    assert chosen(sample_project, choice).rebate is not None
    ProgrammeEntryService(sample_project).drop(choice)
    assert len(ProgrammeService(sample_project).view().chosen) == len(before.chosen)
    sample_project.undo()
    assert chosen(sample_project, choice)
    sample_project.undo()
    assert ProgrammeService(sample_project).view() == before


def test_a_reservation_held_until_the_days_of_the_rule(sample_project: Project) -> None:
    # NEED-1, NEED-2: the rule file of the invented fund names how long a reservation stands
    choice = choose(sample_project, "triad-warm-walls")
    rule = Tables().programme("triad-warm-walls").version_on(TODAY)
    assert rule is not None
    assert rule.reservation is not None
    told = WrittenReservation(ReservationState.HELD, "W-9", TODAY, TODAY, amount_cents=StatedValue(90_00))
    ProgrammeEntryService(sample_project).record_reservation(choice, told)
    found = ProgrammeEntryService(sample_project).sheet(choice).reservation
    assert found is not None
    if rule.reservation.valid_days:
        assert found.ends_on is not None
        assert (found.ends_on - TODAY).days <= rule.reservation.valid_days
    assert chosen(sample_project, choice).is_sure
    with pytest.raises(RebateUnclear, match="day of its letter"):
        ProgrammeEntryService(sample_project).record_reservation(
            choice, WrittenReservation(ReservationState.HELD)
        )


def test_a_refusal_says_until_when_to_appeal(sample_project: Project) -> None:
    # NEED-3, MOM-5: appeal within the days of the rule
    choice = choose(sample_project, "triad-warm-walls")
    entry = ProgrammeEntryService(sample_project)
    with pytest.raises(RebateUnclear, match="what the office said"):
        entry.record_claim(choice, WrittenClaim(ClaimState.REFUSED, answered_on=TODAY))
    entry.record_claim(choice, WrittenClaim(ClaimState.REFUSED, answered_on=TODAY, answer="no serial"))
    rule = Tables().programme("triad-warm-walls").version_on(TODAY)
    claim = entry.sheet(choice).claim
    assert rule is not None
    assert claim is not None
    assert rule.appeal_within_days is not None
    assert claim.appeal_by is not None
    assert (claim.appeal_by - TODAY).days == rule.appeal_within_days


def test_a_paid_claim_uses_its_reservation_up_and_cannot_be_dropped(sample_project: Project) -> None:
    choice = choose(sample_project, "triad-warm-walls")
    entry = ProgrammeEntryService(sample_project)
    entry.record_reservation(choice, WrittenReservation(ReservationState.HELD, held_from=date(2026, 10, 1)))
    with pytest.raises(RebateUnclear, match="day and its amount"):
        entry.record_claim(choice, WrittenClaim(ClaimState.PAID))
    paid = WrittenClaim(ClaimState.PAID, paid_on=TODAY, paid_cents=StatedValue(812_34))
    entry.record_claim(choice, paid)
    line = chosen(sample_project, choice)
    assert line.rebate is not None
    assert line.rebate.received_cents == StatedValue(812_34)
    with sample_project.session() as session:
        states = session.scalars(select(m.Reservation.state).where(m.Reservation.choice_id == choice)).all()
    assert states == [ReservationState.USED]
    with pytest.raises(RebateUnclear, match="paid"):
        entry.drop(choice)


FACTS = WorkFacts((WorkItem("air_source_heat_pump", 16_000_00),), WorkDates(), Decimal("0.6"), "natural gas")


def test_each_rule_says_yes_no_or_which_fact_is_needed() -> None:
    # REB-9: the version after the change of mid-2026 covers what replaces electric equipment only
    programme = Tables().programme("federal-hear")
    version = programme.version_on(TODAY)
    assert version is not None
    by_rule = {one.rule: one for one in checks(version, FACTS, TODAY)}
    fuel = next(one for rule, one in by_rule.items() if rule.startswith("replaces"))
    assert (fuel.met, fuel.why) == (Met.NO, "natural gas")
    income = next(one for rule, one in by_rule.items() if rule.startswith("income"))
    assert income.met is Met.YES
    unknown = WorkFacts(FACTS.items)
    asked = {one.rule: one for one in checks(version, unknown, TODAY)}
    assert asked[income.rule].met is Met.UNKNOWN
    assert "median" in asked[income.rule].why
    assert asked[fuel.rule].met is Met.UNKNOWN


@pytest.mark.parametrize(
    ("key", "last_day"),
    [
        # REB-3: IRS FS-2025-05, 2025-08-21, and P.L. 119-21, each by its own day
        ("federal-25c", date(2025, 12, 31)),
        ("federal-25d", date(2025, 12, 31)),
        ("federal-30c", date(2026, 6, 30)),
    ],
)
def test_federal_credits_end_by_their_day(key: str, last_day: date) -> None:
    programme = Tables().programme(key)
    assert programme.version_on(last_day) is not None
    assert programme.version_on(date.fromordinal(last_day.toordinal() + 1)) is None


def test_the_letter_is_filed_with_the_rebate(sample_project: Project, tmp_path: Path) -> None:
    letter = tmp_path / "letter.pdf"
    letter.write_bytes(b"%PDF-1.4 reserved")
    choice = choose(sample_project, "triad-warm-walls")
    told = WrittenReservation(ReservationState.HELD, held_from=TODAY, paper=letter)
    ProgrammeEntryService(sample_project).record_reservation(choice, told)
    with sample_project.session() as session:
        row = session.scalars(select(m.Reservation).where(m.Reservation.choice_id == choice)).one()
        assert row.paper_id is not None


def test_a_reservation_that_fell_away_says_why_until_when_to_appeal_and_is_asked_for_again(
    sample_project: Project, tmp_path: Path
) -> None:
    # NEED-2, NEED-3, MOM-5
    entry = ProgrammeEntryService(sample_project)
    choice = choose(sample_project, "triad-warm-walls")
    with pytest.raises(RebateUnclear, match="nothing was asked for"):
        entry.record_fall(choice, WrittenFall(ReservationState.LOST, TODAY, "x"))
    held = WrittenReservation(ReservationState.HELD, held_from=date(2026, 11, 2))
    entry.record_reservation(choice, held)
    with pytest.raises(RebateUnclear, match="nothing fell away"):
        entry.record_fall(choice, WrittenFall(ReservationState.APPEALED, TODAY))
    with pytest.raises(RebateUnclear, match="why is not said"):
        entry.record_fall(choice, WrittenFall(ReservationState.DECLINED, TODAY))
    with pytest.raises(RebateUnclear, match="no day"):
        entry.record_fall(choice, WrittenFall(ReservationState.DECLINED, None, "no"))
    with pytest.raises(RebateUnclear, match="its day and reason"):
        entry.record_reservation(choice, WrittenReservation(ReservationState.DECLINED))
    letter = tmp_path / "declined.pdf"
    letter.write_bytes(b"%PDF-1.4 declined")
    told = WrittenFall(ReservationState.DECLINED, TODAY, "No assessment was attached", paper=letter)
    entry.record_fall(choice, told)
    line = chosen(sample_project, choice)
    assert line.rebate is not None
    assert not line.is_sure
    assert line.rebate.needs_owner
    # 45 days by the fund's rule, invented for the sample house
    assert line.rebate.words.startswith(
        "reservation declined Nov 20, 2026 (“No assessment was attached”), appeal by Jan 4, 2027"
    )
    found = AtHandService(sample_project).look()
    (ending,) = [one.seen for one in found.runs_out if one.seen.ending.what.startswith("Appeal, reservation")]
    assert ending.days_left == 45
    with sample_project.session() as session:
        row = session.scalars(select(m.Reservation).where(m.Reservation.choice_id == choice)).one()
        assert row.paper_id is not None

    entry.record_fall(choice, WrittenFall(ReservationState.APPEALED, TODAY, "The assessment is attached now"))
    found = AtHandService(sample_project).look()
    assert not any(one.seen.ending.what.startswith("Appeal, reservation") for one in found.runs_out)
    (wait,) = [one for one in found.with_others if one.what.startswith("Appeal, reservation")]
    assert (wait.with_whom.split(" (")[0], wait.since) == ("Triad Warm Walls Fund", TODAY)
    for _ in range(3):
        sample_project.undo()
    assert chosen(sample_project, choice).rebate is not None
    assert entry.sheet(choice).reservation is None


def test_after_one_fell_away_the_next_reservation_is_its_own(sample_project: Project) -> None:
    lose_the_reservation(sample_project)
    with sample_project.session() as session:
        key = m.ProgrammeChoice.programme_key == "carraway-ground-heat"
        choice = session.scalars(select(m.ProgrammeChoice.id).where(key)).one()
    entry = ProgrammeEntryService(sample_project)
    entry.record_reservation(choice, WrittenReservation(ReservationState.ASKED, asked_on=TODAY))
    with sample_project.session() as session:
        states = session.scalars(select(m.Reservation.state).where(m.Reservation.choice_id == choice)).all()
    assert list(states) == [ReservationState.DECLINED, ReservationState.ASKED]


def test_the_income_of_the_household_answers_what_was_unknown(sample_project: Project) -> None:
    # REB-10: at exactly 150 % the sources disagree; IRA sec. 50122, second-hand
    entry = ProgrammeEntryService(sample_project)
    folder = sample_project.own_tables / "programmes"
    folder.mkdir(parents=True)
    (folder / "town-trees.toml").write_text(TOWN_BY_INCOME)

    def line() -> ProgrammeLine:
        return offered(sample_project, "town-trees")

    assert line().needs == "household income against the area's median is not known"
    entry.set_income(StatedValue(0.5))
    assert line().amount_cents == StatedValue(149_000)  # half of 2,980.00
    entry.set_income(StatedValue(1.5))
    assert "sources disagree" in line().needs
    entry.set_income(StatedValue(None, Stated.EXCLUDED))
    assert entry.income().stated is Stated.EXCLUDED
    with pytest.raises(RebateUnclear, match="less than nothing"):
        entry.set_income(StatedValue(-0.1))
    for _ in range(3):
        sample_project.undo()
    assert entry.income().stated is Stated.NOT_STATED


TOWN_BY_INCOME = """key = "town-trees"
name = "Town draft fund by income"
office = "Town hall"
[[versions]]
starts_on = 2024-01-01
checked_on = 2026-11-01
funding = "open"
date_tested = "placed in service"
kinds = ["air_sealing"]
amount = { kind = "share of cost" }
tiers = [{ up_to_median = 1.5, at_limit = "sources disagree", share = 0.5 }]
source = { title = "Town notice 4", retrieved = 2026-11-01, confidence = "published" }
"""


def for_the_house(project: Project) -> ProgrammeLine:
    view = ProgrammeService(project).view()
    return next(one for one in view.could_apply if one.programme_key == "federal-homes-modeled")


def test_a_rebate_for_the_house_is_chosen_told_with_its_measures_and_counted_once(
    sample_project: Project,
) -> None:
    # REB-9: 42 USC 18795, modeled path (second-hand): from 20% saved, 50% of the cost, no more than $2,000
    line, entry = for_the_house(sample_project), ProgrammeEntryService(sample_project)
    money = MoneyService(sample_project)
    before = money.budget().project.net_with_all_cents
    first, *others = line.measure_ids
    choice = entry.choose(
        first, line.programme_key, StatedValue(2_000_00), others=others, is_whole_house=True
    )
    told = chosen(sample_project, choice)
    assert told.measure == "The house as a whole"
    assert len(told.covers) == len(line.measure_ids) > 3
    assert told.needs == "household income against the area's median is not known"  # the sum stands in
    left = ProgrammeService(sample_project).view().could_apply
    assert line.programme_key not in {one.programme_key for one in left}
    entry.set_income(StatedValue(1.0))
    entry.correct(choice, WrittenRebate(StatedValue(2_000_00), savings_share=0.24))
    assert chosen(sample_project, choice).amount_cents == StatedValue(2_000_00)
    assert money.budget().project.net_with_all_cents == before - 2_000_00
    entry.correct(choice, WrittenRebate(StatedValue(2_000_00), savings_share=0.24, measure_ids=(first,)))
    assert chosen(sample_project, choice).covers == (chosen(sample_project, choice).covers[0],)
    sample_project.undo()
    assert len(chosen(sample_project, choice).covers) == len(line.measure_ids)


def test_one_reservation_for_several_measures_stands_until_the_last_of_them_is_done(
    sample_project: Project,
) -> None:
    entry = ProgrammeEntryService(sample_project)
    lines = [
        one
        for one in ProgrammeService(sample_project).view().could_apply
        if one.programme_key == "triad-warm-walls"
    ]
    assert len(lines) > 1
    ids = [one.measure_ids[0] for one in lines[:2]]
    choice = entry.choose(ids[0], "triad-warm-walls", StatedValue(300_00), others=ids[1:])
    told = WrittenReservation(ReservationState.HELD, "W-9", TODAY, TODAY, amount_cents=StatedValue(300_01))
    entry.record_reservation(choice, told)
    budget = MoneyService(sample_project).budget()
    parts = [one.money.rebates_reserved_cents for one in budget.lines if one.measure_id in ids]
    assert sum(parts) == 300_01
    assert all(parts)
    subject = f"{lines[0].measure} and {lines[1].measure}"
    assert any(subject in one.seen.ending.what for one in AtHandService(sample_project).look().runs_out)
    assert chosen(sample_project, choice).measure == subject
    packet = PacketService(sample_project).readiness(PacketKind.REBATE, choice)
    assert subject in packet.subject.title
