"""The two-year story, played once; what the program said on its days is asked of the days themselves."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date, datetime, time
from decimal import Decimal

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.states import BillsAnswer, MeasureState
from retrofit_desk.services.at_hand import AtHand, AtHandService
from retrofit_desk.services.did_it_work import DidItWorkService
from retrofit_desk.services.heat_watch import HeatWatchService
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.inside import InsideService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.papers import PaperService
from retrofit_desk.services.past import NoSuchDay, PastService
from retrofit_desk.services.permits import PermitService
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.services.worth import WorthService
from retrofit_desk.services.worth_years import WorthYearsService
from retrofit_desk.services.worth_years_words import returning
from tests.journeys.two_year_story import CHAPTERS, Story
from tests.journeys.two_year_story.clock import HOUSE, end_of
from tests.journeys.two_year_story.words import face

Look = Callable[[date], AbstractContextManager[Project]]


@pytest.fixture
def told(two_years: Story) -> Story:
    return two_years


@pytest.fixture
def on(told: Story) -> Look:
    """The record as it stood at the end of a day, and what it says that day."""
    return lambda day: told.project.as_of(end_of(day))


def at_hand(project: Project) -> AtHand:
    return AtHandService(project).look()


def states(project: Project) -> dict[str, MeasureState]:
    return {row.title: row.state for row in MeasureService(project).rows()}


def not_yet(project: Project) -> str:
    return "\n".join(line.sentence for line in at_hand(project).not_yet)


def ready(project: Project) -> str:
    return "\n".join(line.title for line in at_hand(project).ready)


def ends(project: Project) -> dict[str, int]:
    return {line.seen.ending.what: line.seen.days_left for line in at_hand(project).runs_out}


def test_every_chapter_was_lived_through_in_its_order(told: Story) -> None:
    days = [line.at.astimezone(HOUSE).date() for line in reversed(told.project.history())]
    assert days == sorted(days)
    assert {day for day, _chapter in CHAPTERS} <= set(days)


def test_nothing_begins_before_the_find_in_the_attic_is_settled(on: Look) -> None:
    from retrofit_desk.services.hazards import HazardService

    with on(date(2025, 12, 10)) as project:
        (measure,) = [row for row in MeasureService(project).rows() if row.title == "Air sealing"]
        before = HazardService(project).before_work(measure.id)
        assert before is not None
        assert any(line.stops for line in before.found)
    with on(date(2025, 12, 22)) as project:
        assert states(project)["Air sealing"] is MeasureState.SIGNED_OFF


def test_a_tighter_house_burns_gas_only_after_the_combustion_safety_test(on: Look) -> None:
    # one sheet, filed once, answers for furnace, water heater and range
    with on(date(2025, 12, 22)) as project:
        burning = [view for view in HoldService(project).all() if "start burning" in view.sentence]
        assert len(burning) == 3
        assert all(view.answer.is_free for view in burning)
        (paper,) = [row for row in PaperService(project).rows() if row.title.startswith("Combustion safety")]
        assert paper.used == 3


def test_the_contract_is_not_signed_before_the_reservation(told: Story, on: Look) -> None:
    # NEED-1
    assert "until the reservation of Carraway Ground Heat is held" in told.said["signing early"]
    with on(date(2026, 3, 6)) as project:
        assert MoneyService(project).contracts() == ()
        waits = {wait.with_whom for wait in at_hand(project).with_others}
        assert any("Carraway" in who for who in waits)
        assert "don't sign Ground-source heat pump until the reservation" in not_yet(project)
    with on(date(2026, 3, 20)) as project:
        assert [row.price_cents for row in MoneyService(project).contracts()] == [3_980_000]
        assert "don't sign" not in not_yet(project)


def test_a_firm_that_does_not_come_is_late_and_moves_the_plan(told: Story, on: Look) -> None:
    # NEED-14
    morning = datetime.combine(date(2026, 5, 5), time(7), HOUSE)
    with told.project.as_of(morning) as project:
        (line,) = [one for one in at_hand(project).ready if "Drill" in one.title]
        assert line.is_late
        assert "agreed for May 4, 2026" in line.why
    with on(date(2026, 5, 5)) as project:
        step = next(one for one in ScheduleService(project).view().steps if "Drill" in one.title)
        assert (step.agreed_on, step.start) == (date(2026, 5, 18), date(2026, 5, 18))


def test_a_failed_visit_is_not_booked_again_before_its_list_is_closed(told: Story, on: Look) -> None:
    # NEED-15
    assert "Box fill exceeded at the double outlet" in told.said["booking again"]
    with on(date(2026, 5, 20)) as project:
        assert "rough electrical has passed (failed today" in not_yet(project)


def test_a_wall_covered_too_early_is_opened_and_waits_as_before(told: Story, on: Look) -> None:
    # NEED-16
    assert "three photos of the open wall with a tape are filed (0 of 3)" in told.said["covering early"]
    with on(date(2026, 5, 23)) as project:
        (view,) = HoldService(project).overridden()
        assert "My brother put the boards up" in view.sentence
    with on(date(2026, 5, 26)) as project:
        assert HoldService(project).overridden() == ()
        assert "don't cover the den north wall" in not_yet(project)
    with on(date(2026, 6, 12)) as project:
        (view,) = [one for one in HoldService(project).all() if "den north wall" in one.sentence]
        assert view.is_done
        assert "den north wall" not in not_yet(project)


def test_a_payment_waits_for_the_waiver_of_the_driller(told: Story, on: Look) -> None:
    # NEED-20, MOM-9
    assert "waiver of Ottermark Drilling" in told.said["paying without the waiver"]
    with on(date(2026, 6, 1)) as project:
        assert "don't pay “Bores tested” of Ground-source heat pump" in not_yet(project)
        assert "Bores tested" not in ready(project)
        assert MoneyService(project).contracts()[0].paid_cents == 398_000
    with on(date(2026, 6, 9)) as project:
        row = MoneyService(project).contracts()[0]
        assert (row.paid_cents, row.held_back_cents) == (398_000 + 1_559_900, 82_100)


def test_a_change_order_draws_on_what_was_set_aside(on: Look) -> None:
    # NEED-10, NEED-17: what old houses hide is met from what was set aside
    with on(date(2026, 5, 21)) as project:
        before = MoneyService(project).budget().contingency
        assert before.by_changes_cents == 0
    with on(date(2026, 5, 22)) as project:
        after = MoneyService(project).budget().contingency
        assert (after.share.value, after.by_changes_cents) == (Decimal("0.1"), 42_000)
        assert (before.left_cents.value or 0) - (after.left_cents.value or 0) == 42_000


def test_what_lies_in_the_wall_is_found_again_years_later(told: Story, on: Look) -> None:
    # NEED-16
    wall = face(told, "den-north")
    with on(date(2026, 5, 8)) as project:
        assert InsideService(project).look(wall).marks == ()
    with on(date(2028, 1, 15)) as project:
        (mark,) = InsideService(project).look(wall).marks
        assert "14 AWG to the outlets" in mark.words


def test_a_late_delivery_moves_the_plan_and_loses_the_reservation(on: Look) -> None:
    # NEED-2, NEED-11
    with on(date(2026, 7, 19)) as project:
        before = ScheduleService(project).view()
    with on(date(2026, 7, 20)) as project:
        after = ScheduleService(project).view()
    assert before.ends_on is not None
    assert after.ends_on is not None
    starts = [next(one.start for one in plan.steps if "Set and" in one.title) for plan in (before, after)]
    assert starts[0] < date(2026, 9, 1) < date(2026, 11, 10) < starts[1]
    with on(date(2026, 8, 20)) as project:
        held = "Reservation: Carraway Ground Heat, Ground-source heat pump"
        assert ends(project)[held] == 27
        sure = MoneyService(project).budget().project.rebates_reserved_cents
    with on(date(2026, 9, 18)) as project:
        assert sure == 400_000
        assert MoneyService(project).budget().project.rebates_reserved_cents == 0
        assert any("Reservation" in wait.what for wait in at_hand(project).with_others)


def test_one_letter_on_a_certificate_is_found_and_explained(on: Look) -> None:
    # NEED-3: "O" and "0"
    wrong = "Does not match: serial of Heat-pump water heater"
    with on(date(2026, 10, 20)) as project:
        (line,) = [one for one in at_hand(project).ready if one.title == wrong]
        assert '"0" and "O" look alike (character 9)' in line.why
        paper = PaperService(project).sheet(line.place.item or 0)
        assert paper.row.title == "Certificate of Pennant"
        assert paper.disagrees
    with on(date(2026, 10, 26)) as project:
        assert wrong not in ready(project)


def test_a_claim_never_sent_is_told_by_the_rule_of_its_programme(on: Look) -> None:
    with on(date(2026, 12, 9)) as project:
        # 60 days after October 14
        assert ends(project)["Claim: Carraway Water Heating, Heat-pump water heater"] == 4
        (line,) = [one for one in at_hand(project).ready if one.title.startswith("Send the claim")]
        assert (line.days_left, line.place.kind) == (4, "programme")
        assert "not paid" in line.why


def test_a_long_wait_is_asked_for_as_soon_as_it_can_begin(on: Look) -> None:
    # the utility takes 60 to 180 days for the cut-off: nothing has to be over before it is asked
    with on(date(2026, 6, 1)) as project:
        (line,) = [one for one in at_hand(project).ready if one.title.startswith("Ask Haw Bend Gas")]
        assert "takes 90 days, 60 to 180, ask by" in line.why
    with on(date(2027, 1, 9)) as project:
        assert not [one for one in at_hand(project).ready if one.title.startswith("Ask Haw Bend Gas")]
        assert "Haw Bend Gas" in {wait.with_whom for wait in at_hand(project).with_others}


def test_a_permit_near_its_end_is_told_and_an_extension_counts(on: Look) -> None:
    # NEED-21: IRC R105.5, 180 days without a visit
    with on(date(2026, 11, 18)) as project:
        assert ends(project)["Mechanical permit, heat pump"] == 18
    with on(date(2026, 11, 20)) as project:
        assert "Mechanical permit, heat pump" not in ends(project)


def test_a_furnace_out_in_a_cold_snap_is_a_heat_gap_until_the_heat_pump_runs(on: Look) -> None:
    # NEED-13
    with on(date(2026, 12, 8)) as project:
        assert HeatWatchService(project).look().gaps == ()
    with on(date(2026, 12, 9)) as project:
        (gap,) = HeatWatchService(project).look().gaps
        assert gap.days == 9
        assert "out of order: Gas furnace" in gap.sentence
        assert gap.coldest_c is not None
        assert gap.coldest_c < 0
        assert gap.temporary_heat_w is not None
        assert 9_000 < gap.temporary_heat_w < 16_000  # the design load of the house in proportion to the cold
    with on(date(2026, 12, 18)) as project:
        assert HeatWatchService(project).look().gaps == ()


def test_the_furnace_goes_only_after_the_cold_nights(told: Story) -> None:
    assert "two cold nights have passed on the heat pump alone" in told.said["taking the furnace out early"]


def test_the_gas_account_closes_and_everything_is_paid_and_proven(told: Story, on: Look) -> None:
    # NEED-18, MOM-8
    with on(date(2027, 3, 5)) as project:
        contract = MoneyService(project).contracts()[-1]
        assert {row.left_cents for row in MoneyService(project).contracts()} == {0}
        assert contract.held_back_cents == 0
    with on(date(2028, 1, 15)) as project:
        (work,) = DidItWorkService(project).works()
        assert work.answer is BillsAnswer.CONFIRMED
        assert work.site_kwh is not None
        assert work.site_kwh.half_width is not None
        assert work.site_kwh.saved > 3 * work.site_kwh.half_width
        assert set(states(project).values()) == {MeasureState.PROVEN}
        assert at_hand(project).ready == ()
        assert at_hand(project).not_yet == ()


def test_the_account_is_closed_and_a_new_sum_is_worked_out_with_what_it_cost(on: Look) -> None:
    with on(date(2026, 1, 26)) as project:
        first = WorthService(project).latest()
    with on(date(2028, 1, 15)) as project:
        last = WorthService(project).latest()
        assert WorthService(project).changed_since() == ()
        with project.session() as session:
            gas = session.scalars(select(m.UtilityAccount).where(m.UtilityAccount.key == "gas-account")).one()
            assert gas.closed_on == date(2027, 2, 10)
    assert first is not None
    assert last is not None
    days = [one.whole.money_saved.as_of for one in (first, last)]
    assert days == [date(2026, 1, 26), date(2028, 1, 15)]
    # nobody had named a price of three measures; in the end every cent and both rebates are known
    assert (first.whole.cost.unknown, last.whole.cost.unknown) == (3, 0)
    assert last.whole.cost.known == 120_000 + 88_000 + 3_980_000 + 42_000 + 392_000 + 214_000 + 42_000
    assert (first.whole.rebates_cents, last.whole.rebates_cents) == (0, 480_000)
    assert last.fingerprint != first.fingerprint
    with on(date(2028, 1, 15)) as project:
        years = WorthYearsService(project).of(last)
        assert returning(years) == ("nothing", "All that is in the line-up is in place.")


def test_what_was_known_when_the_contract_was_signed(told: Story) -> None:
    """The day is asked for as the window asks for it; what came later is not there."""
    with PastService(told.project).look_at(date(2026, 3, 20)) as project:
        (contract,) = MoneyService(project).contracts()
        assert contract.price_cents == 3_980_000
        (request,) = QuoteService(project).rows()
        prices = [quote.price_cents.value or 0 for quote in QuoteService(project).sheet(request.id).quotes]
        assert sorted(prices) == [3_610_000, 3_980_000, 4_420_000]
        known = WorthService(project).latest()
        assert known is not None
        assert known.whole.money_saved.as_of == date(2026, 1, 26)
        # and says by itself what it did not know yet on that day
        assert WorthService(project).changed_since() != ()
        (rebate,) = MoneyService(project).rebates()
        assert (rebate.is_reserved, rebate.reserved_until) == (True, date(2026, 9, 16))
        plan = ScheduleService(project).view()
        assert plan.ends_on is not None
        assert plan.ends_on < date(2026, 12, 1)
        assert PermitService(project).authorities() == ()
        assert PaperService(project).rows()[0].filed_on == date(2026, 3, 20)
    with pytest.raises(NoSuchDay, match="The first line is of Nov 10, 2025"):
        PastService(told.project).look_at(date(2025, 11, 9))


def test_steps_that_were_freed_long_ago_do_not_stand_on_an_accepted_measure(told: Story, on: Look) -> None:
    sealing = told.ids["sealing"]
    with on(date(2025, 12, 21)) as project:
        assert MeasureService(project).sheet(sealing).holds
    with on(date(2028, 1, 15)) as project:
        assert MeasureService(project).sheet(sealing).holds == ()
        settled = [view for view in HoldService(project).all() if "Vermiculite" in view.answer.hold.because]
        # the word of the day of the find is not told for ever
        assert {view.answer.hold.because for view in settled} == {
            "Vermiculite in the attic: not found, Laboratory of the county, Dec 15, 2025."
        }
