"""Bad days of the works, lived through at the window with the keyboard."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.values.place import PageKey, Place
from tests.journeys.owner import Owner
from tests.journeys.papers import a_letter
from tests.records.builders import everything_stored

TODAY = date(2026, 11, 20)


def test_a_failed_inspection_lists_its_corrections_and_must_be_put_right_before_the_next(
    owner: Owner, sample_copy: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    project = owner.window.desk.project
    with project.session() as session:
        visit = session.scalars(
            select(m.Inspection.id).where(m.Inspection.title == "Electrical final, range")
        ).one()
    owner.goes_to(Place(PageKey.PERMITS, "inspection", visit))
    owner.fills_in_beside(
        "Electrical final, range",
        "Result …",
        {
            "Day of the visit": "today",
            "Result": "failed",
            "Inspector": "J. Thackeray-Lum",
            "Corrections 1, To put right": "No label in the panel",
            "Corrections 1, Code section": "NEC 408.4",
        },
    )
    assert owner.told[-1].startswith("Visit recorded.")
    assert "Electrical final, range, second visit" in owner.reads()
    owner.opens_the_page("At hand")
    assert (
        "don't book Electrical final, range, second visit until this is put right: No label" in owner.reads()
    )
    owner.opens_the_page("Permits")
    owner.fills_in_beside("No label in the panel", "Put right …", {"How it was put right": "Label printed"})
    owner.fills_in_beside("Electrical final, range, second visit", "Book …", {"Day": "dec 1 2026"})
    owner.opens_the_page("At hand")
    assert "Be ready for: Electrical final, range, second visit" in owner.reads()
    assert owner.troubles == []


def test_a_lost_reservation_changes_the_budget_and_is_asked_for_again(
    owner: Owner, sample_copy: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    project = owner.window.desk.project
    before = everything_stored(project)
    sure = MoneyService(project).budget().project.rebates_reserved_cents
    owner.opens_the_page("Money")
    owner.turns_to("Rebates due")
    line = "Carraway Ground Heat, Ground-source"
    owner.fills_in_beside(
        line,
        "It fell away …",
        {"What happened": "declined", "Why, in the office's words": "The money for this year is spent"},
    )
    assert MoneyService(project).budget().project.rebates_reserved_cents == sure - 450_000
    words = owner.reads()
    assert "Reservation declined Nov 20, 2026 (“The money for this year is spent”)" in words
    assert "appeal by Dec 20, 2026" in words  # 30 days by the rule
    assert "is not reserved: the project costs" in words
    owner.opens_the_page("At hand")
    assert "Reservation: Carraway Ground Heat" not in owner.reads()
    assert "Appeal, reservation: Carraway Ground Heat" in owner.reads()
    owner.opens_the_page("Money")
    owner.fills_in_beside(
        line, "It fell away …", {"Why, in the office's words": "Our letter of July says it is set aside"}
    )
    owner.opens_the_page("At hand")
    assert "Appeal, reservation CGH-0066, Carraway Ground Heat" in owner.reads()
    owner.opens_the_page("Money")
    owner.fills_in_beside(
        line,
        "Reserve …",
        {"State": "held", "Held from, by its letter": "today", "Amount set aside": "$4,500"},
    )
    assert MoneyService(project).budget().project.rebates_reserved_cents == sure
    for _ in range(3):
        owner.undoes()
    assert everything_stored(project) == before
    assert owner.troubles == []


def test_a_find_behind_a_wall_is_held_against_what_is_set_aside_and_its_change_order_takes_from_it(
    owner: Owner, sample_copy: Path
) -> None:
    # NEED-17
    owner.opens_the_sample_house(sample_copy)
    owner.opens_the_page("Money")
    owner.turns_to("By measure")
    assert "Left: $16,370.80." in owner.reads()
    owner.fills_in("Budget and contingency …", {"Set aside, of the budget": "3 %"})
    assert "Set aside $4,961.70 (3% of $165,390.00)" in owner.reads()
    owner.opens_the_page("Measures")
    owner.chooses_the_measure("Wood-fiber batts in the den walls")
    owner.fills_in(
        "Record a find …",
        {
            "What": "Vermiculite",
            "Where": "behind the panel",
            "How sure": "found",
            "Cost to deal with it": "$2,600",
        },
    )
    assert "Vermiculite" in owner.reads()
    owner.opens_the_page("Money")
    owner.turns_to("By measure")
    words = owner.reads()
    assert "$2,600.00 of it for hazards that were found" in words
    assert "more than is left" in words
    owner.turns_to("Contracts")
    contract = next(
        row for row in MoneyService(owner.window.desk.project).contracts() if "sheathing" in row.title
    )
    owner.goes_to(Place(PageKey.MONEY, "contract", contract.id))
    owner.fills_in(
        "Change order …",
        {"Reason": "Vermiculite taken out", "Change of price": "$2,600", "Signed by you": "today"},
    )
    owner.presses_beside("No. 2", "The firm signed")
    owner.turns_to("By measure")
    assert "$3,570.00 by change orders" in owner.reads()
    for _ in range(4):
        owner.undoes()
    assert "Left: $16,370.80." in owner.reads()
    assert owner.troubles == []


def test_the_case_of_the_utility_is_typed_once_found_by_its_number_and_stands_in_the_message(
    owner: Owner, sample_copy: Path
) -> None:
    # NEED-10
    owner.opens_the_sample_house(sample_copy)
    project = owner.window.desk.project
    with project.session() as session:
        meter = session.scalars(select(m.Meter.id).where(m.Meter.key == "electric-meter")).one()
    owner.goes_to(Place(PageKey.HOUSE, "meter", meter))
    owner.fills_in("Account …", {"Case numbers": "CL-8841 to connect, UC-4471 for added load"})
    assert "Case with Carraway Light and Power: CL-8841 to connect, UC-4471" in owner.reads()
    owner.opens_the_page("At hand")
    owner.presses_beside("Carraway answers the application to connect", "Copy message")
    assert "My case with you: CL-8841 to connect, UC-4471 for added load." in owner.has_copied()
    owner.looks_up("uc-4471")
    assert "Electric meter" in owner.reads()
    owner.undoes()
    assert "UC-4471" not in owner.reads()
    assert owner.troubles == []


def test_a_payment_stopped_by_a_missing_waiver_goes_through_when_the_waiver_is_filed(
    owner: Owner, sample_copy: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    project = owner.window.desk.project
    contract = next(row for row in MoneyService(project).contracts() if "sheathing" in row.title)
    paid = contract.paid_cents
    owner.goes_to(Place(PageKey.MONEY, "contract", contract.id))
    assert "Not yet: don't pay until the waiver of Brindle Carpentry" in owner.reads()
    filing = {"Kind": "conditional, progress", "Stage": "East", "Signed on": "today", "Through": "today"}
    owner.fills_in("File a waiver …", {"From": "Brindle", **filing})
    sent_out = {"From": "Linden", "Kind": "conditional, progress", "Stage": "East", "Received on": ""}
    owner.fills_in("File a waiver …", sent_out)
    assert "not in yet" in owner.reads()
    assert "Not yet: don't pay until the waiver of Linden" in owner.reads()
    owner.fills_in_beside(
        "Linden Yard Supply: conditional, progress",
        "Came back …",
        {"Signed on": "today", "Through": "today", "Received on": "today"},
    )
    owner.fills_in_beside("East", "Pay …", {"How": "check 1215"})
    after = next(row for row in MoneyService(project).contracts() if row.id == contract.id)
    assert after.paid_cents > paid
    owner.undoes()
    again = next(row for row in MoneyService(project).contracts() if row.id == contract.id)
    assert again.paid_cents == paid
    assert owner.troubles == []


def test_a_wall_covered_for_a_reason_is_opened_again_and_waits_as_before(
    owner: Owner, sample_copy: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    project = owner.window.desk.project
    owner.opens_the_page("Measures")
    owner.chooses_the_measure("Wood-fiber batts in the den walls")
    wall = "cover the den north wall"
    before = everything_stored(project)
    owner.gives_a_reason(wall, "Go on for a reason …", "My brother put the boards up")
    assert "Going on without" in owner.reads()
    assert any("My brother" in view.sentence for view in HoldService(project).overridden())
    owner.gives_a_reason(wall, "Open again …", "The inspector wants to see the cable")
    assert not any("My brother" in view.sentence for view in HoldService(project).overridden())
    assert "Not yet: don't cover the den north wall" in owner.reads()
    assert "The inspector wants to see the cable" in owner.reads()
    owner.undoes()
    owner.undoes()
    assert everything_stored(project) == before
    assert owner.troubles == []


def test_a_firm_that_does_not_come_gets_another_day_and_the_plan_moves(
    owner: Owner, sample_copy: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    project = owner.window.desk.project

    def boards() -> date | None:
        return next(
            one.agreed_on for one in ScheduleService(project).view().steps if "Tape and batten" in one.title
        )

    with project.action("A day is over") as work:
        row = work.session.scalars(select(m.Task).where(m.Task.key == "east-boards")).one()
        row.planned_on = date(2026, 11, 18)
    owner.opens_the_page("At hand")
    assert "agreed for Nov 18, 2026" in owner.reads()
    owner.opens_the_page("Measures")
    owner.turns_to("Schedule")
    owner.chooses_the_step("Tape and batten the east side")
    owner.fills_in_beside("begin by", "Agree a day …", {"Agreed for": "nov 30 2026"})
    assert boards() == date(2026, 11, 30)
    owner.undoes()
    assert boards() == date(2026, 11, 18)
    assert owner.troubles == []


def test_a_paper_with_a_slip_of_the_pen_is_told_the_moment_it_is_filed(
    owner: Owner, sample_copy: Path, tmp_path: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    letter = a_letter(tmp_path / "tax.pdf", "Bill of the county, 218 Quillback Lane")
    owner.files(
        letter,
        {
            "Kind": "letter",
            "Address on it": "218 Quilback Lane, Greensboro, NC 27407",
            "Runs out": "feb 1 2027",
            "Asked for by": "the lender",
        },
    )
    assert any("Does not match: the record says 218 Quillback Lane" in line for line in owner.troubles)
    words = owner.reads()
    assert "the lender" in words
    assert "Feb 1, 2027" in words
    owner.opens_the_page("At hand")
    assert "Does not match: address of the house" in owner.reads()


def test_a_first_idea_is_written_down_costed_and_planned_at_the_window(
    owner: Owner, sample_copy: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    project = owner.window.desk.project
    owner.opens_the_page("Measures")
    owner.fills_in(
        "Add a measure …",
        {"Kind of work": "Induction range", "What is done": "Second range", "Who": True},
    )
    owner.fills_in("Your own costing …", {"Cost": "$1,850", "Source": "Catalog"})
    owner.fills_in("Plan the steps …", {"Work out the load on the panel with everything added": True})
    row = next(one for one in MeasureService(project).rows() if one.title == "Second range")
    assert (row.own_work, row.cost_cents.value) == (True, 185_000)
    steps = [one.title for one in ScheduleService(project).view().steps if one.measure_id == row.id]
    assert "Work out the load on the panel with everything added" in steps
    for _ in range(3):
        owner.undoes()
    assert "Second range" not in [one.title for one in MeasureService(project).rows()]
    assert owner.troubles == []
